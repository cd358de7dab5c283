"""Metre and key as printed, and where the beats fall."""

from dataclasses import dataclass
from fractions import Fraction

from coach.music.pitch import STEPS
from coach.music.rhythm import Value, simplest_value

_SHARP_ORDER = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature: `beats` of `beat_type`; `groups` for additive ones (3+2/8 has groups (3, 2))."""

    beats: int
    beat_type: int
    groups: tuple[int, ...] = ()
    symbol: str = ""

    @property
    def name(self) -> str:
        """As printed: "3/4", "6/8", "3+2/8"."""
        top = "+".join(map(str, self.groups)) if self.groups else str(self.beats)
        return f"{top}/{self.beat_type}"

    @property
    def length_q(self) -> Fraction:
        """Length of a full measure in quarters."""
        return Fraction(4 * self.beats, self.beat_type)

    @property
    def is_compound(self) -> bool:
        """Whether three printed units make one beat (6/8, 9/8, 12/8, 6/4; not 3/8 and not additive metres)."""
        return not self.groups and self.beats > 3 and self.beats % 3 == 0 and self.beat_type >= 4

    @property
    def unit_q(self) -> Fraction:
        """The printed lower number as a length in quarters."""
        return Fraction(4, self.beat_type)

    @property
    def beat_q(self) -> Fraction:
        """Length of one felt beat in quarters: three units in compound metres, one unit otherwise."""
        return self.unit_q * (3 if self.is_compound else 1)

    @property
    def beat_unit(self) -> Value:
        """The note value of one felt beat; what a tempo counts when the page does not say."""
        value = simplest_value(self.beat_q)
        return value if value is not None else Value("quarter")

    def beat_onsets_q(self, length_q: Fraction | None = None) -> tuple[Fraction, ...]:
        """Beat onsets from the start of a measure of `length_q` quarters (the full measure if None)."""
        end = self.length_q if length_q is None else length_q
        if self.groups:
            starts, at = [], Fraction(0)
            for group in self.groups:
                starts.append(at)
                at += group * self.unit_q
            return tuple(start for start in starts if start < end)
        count = -(-end // self.beat_q)
        return tuple(k * self.beat_q for k in range(int(count)))


@dataclass(frozen=True, slots=True)
class Key:
    """A key signature: `fifths` sharps (negative: flats); `alters` lists (step, semitones) of an unusual one."""

    fifths: int = 0
    mode: str = ""
    alters: tuple[tuple[str, int], ...] = ()

    def alter_of(self, step: str) -> int:
        """Semitones that this key adds to a step."""
        if self.alters:
            return dict(self.alters).get(step, 0)
        order = _SHARP_ORDER if self.fifths > 0 else _SHARP_ORDER[::-1]
        whole, part = divmod(abs(self.fifths), 7)
        size = whole + (1 if step in order[:part] else 0)
        return size if self.fifths > 0 else -size

    @property
    def name(self) -> str:
        """In words, such as "5 flats", "1 sharp" or "no sharps or flats"."""
        if self.alters:
            return "its own signature of " + " ".join(
                f"{step}{'#' * alter if alter > 0 else 'b' * -alter}" for step, alter in self.alters
            )
        count = abs(self.fifths)
        if not count:
            return "no sharps or flats"
        return f"{count} {'sharp' if self.fifths > 0 else 'flat'}{'s' if count > 1 else ''}"


assert set(STEPS) == set(_SHARP_ORDER)  # noqa: S101  a typing slip in a table would silently misspell every key


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef: `sign` G, F, C or another of MusicXML's, the staff line it sits on, and its octave change."""

    sign: str = "G"
    line: int = 2
    octaves: int = 0
