"""A mark: one decision, attached to a note, to the gap after it, or to a stretch that begins there."""

from dataclasses import dataclass, field
from fractions import Fraction

from coach.music.pitch import Pitch

ORIGINS = ("computed", "player", "teacher")
STATES = ("suggested", "kept", "struck")
SIZES = ("full", "catch")
SIGNS = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "fp", "sf", "sfz", "crescendo", "diminuendo")
SHAPES = ("rit.", "accel.", "a tempo", "tenuto", "fermata")
ACCIDENTALS = ("double-flat", "flat", "natural", "sharp", "double-sharp")
NEIGHBOURS = ("", "upper", "lower")
STARTS = ("main", "upper", "lower")
CURVES = ("even", "steady", "late", "early")


@dataclass(frozen=True, slots=True)
class Breath:
    """A breath in the gap after the note; `size` is "full" or "catch"."""

    size: str = "full"


@dataclass(frozen=True, slots=True)
class Fingering:
    """Which fingering: "L" or "R" for the little finger that takes the key, else a choice of the instrument's chart.

    For those computed, `alternatives` are the other choices, the best first, and `forced` tells that each of them would
    ask for a slide or there is none; what a fingering says is `choice` alone, so that these do not count in comparing.
    """

    choice: str
    alternatives: tuple[str, ...] = field(default=(), compare=False)
    forced: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Swap:
    """A held note that changes its fingering without sounding anew, `when_q` quarters after the onset of the note (the
    first of a tied chain)."""

    start: str
    end: str
    when_q: Fraction


@dataclass(frozen=True, slots=True)
class Reminder:
    """What will be forgotten: an accidental of ACCIDENTALS, written before the note, or a plain name over it. With `of`
    (of NEIGHBOURS) it speaks of the upper or the lower neighbour that the note's ornament plays, and stands above."""

    text: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class OssiaNote:
    """A note of something written out; `onset_q` counts quarters from the start of the measure of the mark's note and
    is negative for what is taken from the measure before. `pitch` is None for a rest."""

    pitch: Pitch | None
    onset_q: Fraction
    length_q: Fraction


@dataclass(frozen=True, slots=True)
class Shake:
    """How a trill is shaken between the main note and `other`, from `onset_q` (as an OssiaNote counts) for `length_q`
    quarters, the closing notes among them. `start` is one of STARTS ("lower" begins with the lower neighbour). Its rate
    goes from `first` to `last` notes a quarter by a curve of CURVES: "even" (the two rates are the same), "steady" (by
    the same amount in the same time), "late" or "early" (most of the growth at the end, or at the beginning). `close`
    are the closing notes (the termination), `close_q` quarters each, played in time at the end."""

    other: Pitch
    onset_q: Fraction
    length_q: Fraction
    first: Fraction
    last: Fraction
    curve: str = "even"
    start: str = "main"
    close: tuple[Pitch, ...] = ()
    close_q: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Ornament:
    """An ornament, or any short passage, written out as an ossia; `what` names it ("trill", "grace", "turn", "mordent",
    "ossia"), `style` the way it was decided ("treatise", "lyrical", or "" for the player's own).

    `notes` go from the first note that is altered (the shortened note before graces among them) to the end of the main
    note, in the simplest values, as they are counted; they are what sounds. With a `shake` they are its nearest
    countable form, and what sounds in its place is `coach.prepare.ornaments.shake.sounds`."""

    notes: tuple[OssiaNote, ...]
    what: str = "ossia"
    style: str = ""
    shake: Shake | None = None


@dataclass(frozen=True, slots=True)
class Dynamic:
    """Shaping: a sign of SIGNS (a hairpin runs up to the end of the note `to`), or a level in decibels relative to the
    part's loudest with a colour from 0 (dark) to 1 (bright)."""

    sign: str = ""
    to: str = ""
    level_db: float | None = None
    colour: float | None = None


@dataclass(frozen=True, slots=True)
class Alteration:
    """Other notes played than the one printed, its length shared evenly among them."""

    to: tuple[Pitch, ...]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase from the mark's note through the note `to`, with its goal, a note id or "" where it is not decided."""

    to: str
    goal: str = ""


@dataclass(frozen=True, slots=True)
class Pace:
    """A change of pace of SHAPES, through the note `to` for those that last; `length_q` is how long a fermata or a
    tenuto is held, in quarters, None where it is not decided."""

    shape: str
    to: str = ""
    length_q: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Comment:
    """Words of the player's or the teacher's own."""

    text: str


Content = Breath | Fingering | Swap | Reminder | Ornament | Dynamic | Alteration | Phrase | Pace | Comment

KINDS: dict[str, type[Content]] = {
    "phrase": Phrase,
    "pace": Pace,
    "breath": Breath,
    "fingering": Fingering,
    "swap": Swap,
    "reminder": Reminder,
    "ornament": Ornament,
    "dynamic": Dynamic,
    "alteration": Alteration,
    "comment": Comment,
}
_NAMES: dict[type[Content], str] = {type_: name for name, type_ in KINDS.items()}


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark at the note `at` (an id, of a grace or a rest too). `id` is unique wherever it was made and never changes;
    `origin` is one of ORIGINS; `state` is "suggested" until somebody decides, then "kept" or "struck"; `because` is the
    reason in one sentence, "" where none was given."""

    id: str
    at: str
    content: Content
    origin: str = "player"
    state: str = "kept"
    because: str = ""

    @property
    def kind(self) -> str:
        """The kind's name, as in KINDS."""
        return _NAMES[type(self.content)]

    @property
    def to(self) -> str:
        """The last note of a stretch, "" for a mark at one note."""
        return self.content.to if isinstance(self.content, Phrase | Pace | Dynamic) else ""

    @property
    def struck(self) -> bool:
        """Whether somebody decided against it."""
        return self.state == "struck"
