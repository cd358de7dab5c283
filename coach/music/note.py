"""Notes of a part, with everything printed at them."""

from dataclasses import dataclass
from fractions import Fraction

from coach.music.pitch import Pitch
from coach.music.rhythm import Value


@dataclass(frozen=True, slots=True)
class SlurEnd:
    """One end of a slur at a note: `kind` is "start", "stop" or "continue"; `number` tells nested ones apart."""

    kind: str
    number: int = 1


@dataclass(frozen=True, slots=True)
class Ornament:
    """A printed ornament. `kind` is MusicXML's word: "trill-mark", "turn", "inverted-turn", "delayed-turn", "mordent",
    "inverted-mordent", "wavy-line", "tremolo", ...; `accidentals` are (placement, accidental) marks, placement "above"
    or "below"; `attributes` are the file's own (start-note, trill-step, accelerate, beats, type, ...)."""

    kind: str
    accidentals: tuple[tuple[str, str], ...] = ()
    attributes: tuple[tuple[str, str], ...] = ()
    text: str = ""


@dataclass(frozen=True, slots=True)
class Fingering:
    """A fingering, hand, string or hole indication printed in the file; `kind` is MusicXML's word."""

    text: str
    kind: str = "fingering"
    attributes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Grace:
    """A grace note. `steal_previous`, `steal_following` are per cent of the neighbour, None where none is given."""

    id: str
    pitch: Pitch
    value: Value | None
    slash: bool = False
    steal_previous: float | None = None
    steal_following: float | None = None
    make_time_q: Fraction | None = None
    slurs: tuple[SlurEnd, ...] = ()
    tie: str | None = None
    chord: tuple[Pitch, ...] = ()
    articulations: tuple[str, ...] = ()
    accidental: str | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """One notehead or rest of a line.

    `pitch` is None for a rest; `unpitched` marks percussion, whose pitch is the printed staff position. Onsets count
    in quarters from the start of the piece, `beat` from 1 in felt beats of the metre. `tie` is None, "start",
    "continue" or "stop". `dynamic` is the level in force ("mf"), `hairpin` "crescendo" or "diminuendo" while one is
    open over the note. `chord` holds the pitches under the practised one. `slurred` tells that this note is joined to
    the next one by a slur; `courtesy` that its accidental is a reminder.
    """

    id: str
    pitch: Pitch | None
    onset_q: Fraction
    length_q: Fraction
    measure: str
    beat: Fraction
    value: Value | None = None
    tie: str | None = None
    slurs: tuple[SlurEnd, ...] = ()
    slurred: bool = False
    articulations: tuple[str, ...] = ()
    ornaments: tuple[Ornament, ...] = ()
    graces: tuple[Grace, ...] = ()
    after_graces: tuple[Grace, ...] = ()
    dynamic: str | None = None
    hairpin: str | None = None
    fermata: bool = False
    breath: str | None = None
    caesura: bool = False
    fingerings: tuple[Fingering, ...] = ()
    accidental: str | None = None
    chord: tuple[Pitch, ...] = ()
    lyric: str = ""
    voice: str = "1"
    staff: int = 1
    unpitched: bool = False
    cue: bool = False
    courtesy: bool = False

    @property
    def is_rest(self) -> bool:
        """Whether nothing is played here."""
        return self.pitch is None

    @property
    def end_q(self) -> Fraction:
        """Where the note ends, in quarters from the start of the piece."""
        return self.onset_q + self.length_q
