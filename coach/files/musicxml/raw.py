"""What the walk over a part collects, before lines are chosen: measures, noteheads and printed signs."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from coach.files.musicxml.numbers import Exact
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Fingering, Ornament, SlurEnd
from coach.music.piece import Notice
from coach.music.pitch import Pitch, Transposition
from coach.music.rhythm import Value

ZERO = Fraction(0)


class Notices:
    """Gathers what could not be taken as it stands; a sentence is kept once, with its first place and a count."""

    def __init__(self) -> None:
        self._found: dict[str, tuple[str, int]] = {}

    def add(self, text: str, where: str = "", count: int = 1) -> None:
        """Note one finding."""
        first, before = self._found.get(text, (where, 0))
        self._found[text] = (first, before + count)

    def take(self, other: "Notices", part: str = "") -> None:
        """Take over what another one has gathered; places in another part are named with it."""
        for text, (where, count) in other._found.items():
            self.add(text, f"{part}, {where}" if part else where, count)

    def all(self) -> tuple[Notice, ...]:
        """Everything gathered, in order of first finding."""
        return tuple(Notice(text, where, count) for text, (where, count) in self._found.items())


@dataclass(slots=True)
class Head:
    """One notehead or rest as it stands in the file; `at`, `length` and `end` in quarters, from the start of its
    measure. `element` is its `<note>`, None for a rest that the file leaves out."""

    at: Fraction = ZERO
    length: Fraction = ZERO
    end: Fraction = ZERO
    pitch: Pitch | None = None
    unpitched: bool = False
    is_rest: bool = False
    measure_rest: bool = False
    in_chord: bool = False
    is_grace: bool = False
    grace: dict[str, str] = field(default_factory=dict)
    make_time: Fraction | None = None
    cue: bool = False
    duration: Exact | None = None
    kind: str = ""
    dots: int = 0
    ratio: tuple[int, int] = (1, 1)
    value: Value | None = None
    voice: str = "1"
    staff: int = 1
    tie: str | None = None
    slurs: list[SlurEnd] = field(default_factory=list)
    articulations: list[str] = field(default_factory=list)
    ornaments: list[Ornament] = field(default_factory=list)
    fingerings: list[Fingering] = field(default_factory=list)
    dynamics: list[str] = field(default_factory=list)
    fermata: bool = False
    breath: str | None = None
    caesura: bool = False
    accidental: str | None = None
    courtesy: bool = False
    lyrics: list[str] = field(default_factory=list)
    before: list["Head"] = field(default_factory=list)
    after: list["Head"] = field(default_factory=list)
    chord: list["Head"] = field(default_factory=list)
    element: Any = None

    def put(self, at: Fraction, length: Fraction, end: Fraction) -> None:
        """Set place and length."""
        self.at, self.length, self.end = at, length, end

    @property
    def sounds(self) -> bool:
        """Whether the player plays it: not a rest and not somebody else's cue."""
        return not self.is_rest and not self.cue


@dataclass(slots=True)
class Sign:
    """A printed sign beside the notes: `kind` is "dynamic", "wedge", "dashes", "words", "rehearsal", "tempo", "jump";
    `text` what stands there, `number` and `type` pair starts with stops. For "tempo": quarters a minute in `heard`,
    the printed number in `printed` with its `beat`."""

    at: Fraction
    kind: str
    text: str = ""
    staff: int = 1
    type: str = ""
    number: int = 1
    niente: bool = False
    heard: Fraction | None = None
    printed: Fraction | None = None
    beat: Value | None = None
    equals: Value | None = None


@dataclass(slots=True)
class RawMeasure:
    """A measure as walked. `content` is how far its notes reach, `nominal` what its metre asks for."""

    number: str
    implicit: bool = False
    metre: Metre | None = None
    keys: dict[int, Key] = field(default_factory=dict)
    clefs: dict[int, Clef] = field(default_factory=dict)
    transposition: Transposition = Transposition()
    heads: list[Head] = field(default_factory=list)
    signs: list[Sign] = field(default_factory=list)
    changes: list[tuple[Fraction, int, Key | Clef]] = field(default_factory=list)
    moved: list[tuple[Fraction, Transposition]] = field(default_factory=list)
    content: Fraction = ZERO
    repeat_start: bool = False
    repeat_end: int = 0
    endings: tuple[int, ...] = ()
    barline: str = ""

    @property
    def nominal(self) -> Fraction | None:
        """The length that the metre asks for."""
        return self.metre.length_q if self.metre is not None else None
