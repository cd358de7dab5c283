"""The built-in instrument: from a note of a timeline to a tone, and how one tone takes over from another."""

from math import ceil, floor, log2

from coach.sound.articulation import Join, attack, join, release_s
from coach.sound.breath_noise import FRAMES, breath_db, noise, place
from coach.sound.oscillator import BANDS, Tables
from coach.sound.register import register_colour
from coach.sound.timeline import Event
from coach.sound.tone import Breath, Course, Samples, Tone

DRONE_BRIGHTNESS = 0.25
DRONE_DB = -6.0
# Brightness follows both the colour asked for and the level, which falls this far from bright to dark.
_LEVEL_RANGE_DB = 32.0
_OPEN_CLOSING = 0.35
_FALL_POWER = 1.6
# A note opens longer than its level rises: the upper partials come after the first.
_OPENING = 2.0


class Clarinet:
    """Tones at a sample rate and a tuning. `chance` seeds the breath and the drift; None leaves both out."""

    def __init__(self, sample_rate: int, a_hz: float, chance: int | None) -> None:
        self._sample_rate = sample_rate
        self._chance = chance
        self._tables = Tables(sample_rate, a_hz)
        self._noise: Samples | None = None if chance is None else noise(chance, sample_rate)

    def frames(self, length_s: float) -> int:
        """Frames of a length, at least one."""
        return max(1, round(length_s * self._sample_rate))

    def drone(self, midi: float) -> Tone:
        """A steady tone at any pitch (MIDI number, fractions allowed); the caller lets it in."""
        table = self._tables.table(midi, round(DRONE_BRIGHTNESS * BANDS))
        return Tone((table, table), self._tables.increment(midi), Course((DRONE_DB,)))

    def tongued(self, event: Event, rate: float) -> Tone:
        """A note that begins with the tongue."""
        length_s = event.length_s / max(rate, 1e-6)
        begins = attack(event, event.level_db, length_s)
        opening = self.frames(begins.length_s * _OPENING)
        tone = self._tone(event, length_s, begins.lag, begins.over_db, opening, self._breath(event, begins.burst, None))
        tone.fade(self.frames(begins.length_s))
        return tone

    def slurred(self, event: Event, rate: float, before: Tone) -> Tone:
        """A note that takes over from one before, which goes out; the two share a phase, and over a step a glide."""
        length_s = event.length_s / max(rate, 1e-6)
        target = self._tables.increment(event.midi)
        semitones = 12 * log2(target / before.increment_now)
        how = join(semitones, length_s)
        lag = 0.0 if how.bend == abs(semitones) else 0.12
        opening = self.frames(how.cross_s * _OPENING)
        breath = self._breath(event, 0.0, before.breath_at)
        tone = self._tone(event, length_s, lag, 0.0, opening, breath, before.phase)
        self._cross(tone, before, how, semitones)
        return tone

    def alone(self, event: Event, rate: float) -> Tone:
        """A slurred note with nothing to take over from: gently, without the tongue."""
        length_s = event.length_s / max(rate, 1e-6)
        how = join(0.0, length_s)
        tone = self._tone(event, length_s, 0.0, 0.0, 1, self._breath(event, 0.0, None))
        tone.fade(self.frames(how.cross_s))
        return tone

    def end(self, tone: Tone, event: Event) -> None:
        """Let a note end as its event says."""
        if event.slurred:
            tone.release(self.frames(join(0.0, event.length_s).cross_s))
            return
        closing = _OPEN_CLOSING if event.ends_open else 0.0
        tone.release(self.frames(release_s(event, event.curve[-1][1])), _FALL_POWER, closing)

    def _cross(self, tone: Tone, before: Tone, how: Join, semitones: float) -> None:
        cross, glide = self.frames(how.cross_s), self.frames(how.glide_s)
        target, now = tone.increment, before.increment_now
        part = 2.0 ** ((how.bend if semitones > 0 else -how.bend) / 12)
        whole = how.bend == abs(semitones)
        tone.glide(now if whole else target / part, target, glide)
        before.glide(now, target if whole else now * part, glide)
        tone.fade(cross, how.dip)
        before.release(cross, how.dip)

    def _breath(self, event: Event, burst: float, going_on: int | None) -> Breath | None:
        """The breath of the practised line; the other lines do without."""
        if self._noise is None or self._chance is None or event.line:
            return None
        begins = place(event, self._chance)
        register = register_colour(event.midi)
        levels = [breath_db(db, register.trim_db + register.breath_db) for _, db in event.curve]
        return Breath(self._noise, begins if going_on is None else going_on, levels, burst, begins / self._noise.size)

    def _tone(
        self,
        event: Event,
        length_s: float,
        lag: float,
        over_db: float,
        opening: int,
        breath: Breath | None,
        phase: float | None = None,
    ) -> Tone:
        if phase is None:  # many lines that begin together in one phase would add up to a bang
            phase = place(event, 0) / FRAMES if event.line else 0.0
        levels_db = [db for _, db in event.curve]
        bright = [brightness(event.colour, db) for db in levels_db]
        low = floor(max(min(bright) - max(lag, _OPEN_CLOSING if event.ends_open else 0.0), 0.0) * BANDS)
        high = min(max(ceil(max(bright) * BANDS + 0.25), low + 1), BANDS)
        low = min(low, high - 1)
        tables = self._tables.table(event.midi, low), self._tables.table(event.midi, high)
        width = (high - low) / BANDS
        trim_db = register_colour(event.midi).trim_db
        course = Course(
            [db + trim_db for db in levels_db],
            [(b - low / BANDS) / width for b in bright],
            [share * length_s * self._sample_rate for share, _ in event.curve],
            lag / width,
            over_db,
            float(opening),
        )
        return Tone(tables, self._tables.increment(event.midi), course, phase, breath)


def brightness(colour: float, level_db: float) -> float:
    """Brightness 0 to 1 from the colour asked for and the level in dB, half each."""
    return 0.5 * colour + 0.5 * min(max(1.0 + level_db / _LEVEL_RANGE_DB, 0.0), 1.0)
