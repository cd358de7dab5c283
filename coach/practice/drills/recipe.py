"""A recipe: what a drill is for, and the parts it is made of. The recipes themselves are data (content/drills)."""

from dataclasses import dataclass
from fractions import Fraction

# What a recipe works on: one held note; the change from a note to the next; a stretch of notes; a note with a trill;
# a note with graces; a stretch for one breath; a note with a breath after it, and the next one; one note of any length.
KINDS = ("held", "change", "notes", "trill", "grace", "phrase", "breath", "tone")
# What the parts of a recipe do; coach/practice/drills/bricks.py says each in full.
PLAIN_DEEDS = ("hold", "pass", "alternate", "window", "grow", "whole", "measures")
DEEDS = (*PLAIN_DEEDS, "stages", "shake", "counted", "graced", "lead", "long", "phrase", "breathe", "inside", "tone")
ENDS = ("front", "end")
PLACES = ("first", "last", "measures")  # what the name of a drill may speak of, in braces
KEYS = ("from", "to")  # what a cue may speak of, in braces


@dataclass(frozen=True, slots=True)
class Brick:
    """A part of a recipe. `do` is one of DEEDS; `says` what to do in it, one line; `label` what is printed over it.
    `slurred` joins all its notes and leaves out articulations, ornaments and graces; else it is as printed. It is
    played `times` times.

    By deed: "hold" and "pass" have `cues`, one a beat ("add {to}"); "alternate" the notes to a beat of its stages in
    `simple` and `compound` metres, and "stages" too; "window" plays the notes `around` the change; "grow" adds notes
    from an `end`, in at most `rounds` rounds; "shake" with `gather` begins slowly, whatever was decided; "lead" has at
    most so many notes before the leap (`most`), "long" so many long tones, each of `beats` or more; "phrase" grows in
    at most so many lengths; "breathe" gives the breath so many `beats` of silence, 0 for its own time; "tone" is held
    for `beats` or more at each of the `signs`, with as many beats of rest between.
    """

    do: str
    says: str
    label: str = ""
    slurred: bool = True
    times: int = 1
    cues: tuple[str, ...] = ()
    simple: tuple[Fraction, ...] = ()
    compound: tuple[Fraction, ...] = ()
    around: int = 0
    end: str = ENDS[0]
    rounds: int = 8
    gather: bool = False
    most: int = 0
    beats: int = 4
    signs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Recipe:
    """A recipe. `works_on` is one of KINDS; `name` is its name in a list, `spot` that of a drill made with it, with
    the PLACES in braces; `purpose` says what it is for, `says` what to do, one line each; `source` where it is from;
    `caution` what to beware of ("" for nothing). Of changes it takes those that go up by `least_semitones` or more, or
    down for a negative number; 0 takes all. Where slower is harder (`falls`) its ladder leads down in tempo. With
    `rest_s` it is played once, with so many seconds of rest before the next time."""

    id: str
    name: str
    works_on: str
    spot: str
    purpose: str
    says: str
    source: str
    bricks: tuple[Brick, ...]
    caution: str = ""
    least_semitones: int = 0
    falls: bool = False
    rest_s: int = 0

    @property
    def leads(self) -> int:
        """How many notes before the stretch it takes along, at most."""
        return (
            1
            if self.works_on == "grace"
            else max((brick.most for brick in self.bricks if brick.do == "lead"), default=0)
        )

    @property
    def lengths(self) -> int:
        """In how many lengths it grows, at most; 0 for a recipe without."""
        return max((brick.most for brick in self.bricks if brick.do == "phrase"), default=0)

    @property
    def lands(self) -> bool:
        """Whether it takes what follows along."""
        return self.works_on in ("trill", "grace")
