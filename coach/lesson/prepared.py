"""A part prepared for practice: its fingerings, ornaments, dynamics, reminders and breaths, suggested to the pencil."""

from collections.abc import Collection
from dataclasses import dataclass, field, replace

from coach.errors import RequestError
from coach.instruments.air import Air
from coach.lesson.breathing import Breaths
from coach.lesson.desk import Desk
from coach.lesson.fingering import KINDS as FINGERING
from coach.lesson.fingering import Wanted, piece_hands, problems_told, slides_told
from coach.lesson.fingering import with_suggestions as with_fingerings
from coach.lesson.marking import marks_of, open_pencil
from coach.lesson.preparing import KINDS as DECIDED
from coach.lesson.preparing import (
    Choices,
    Ways,
    choices_of,
    plan_of,
    ways_of,
    wished,
    wished_breaths,
    with_suggestions,
)
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.prepare.dynamics.line import NoteLevel, dynamic_line
from coach.prepare.fingering import Hands
from coach.prepare.interpretation import Interpretation, interpretation
from coach.prepare.over import written_over
from coach.prepare.prep import Prep

BREATH = ("breath",)
EVERYTHING = (*FINGERING, *DECIDED, *BREATH)
INTERPRETED = ("ornament", "dynamic", "phrase", "pace")  # kinds that a part as printed has none of


@dataclass(frozen=True, slots=True)
class Asked:
    """What to prepare: the kinds of marks, by whose fingers and at what tempo, in which style and how densely ("" as
    the piece has it), whether the music stays as printed: its dynamics alone, no shaping and no ornaments, and with
    what `air` (None: that of the settings)."""

    kinds: Collection[str] = EVERYTHING
    wanted: Wanted = field(default_factory=Wanted)
    style: str = ""
    density: str = ""
    plain: bool = False
    air: Air | None = None

    @property
    def supposing(self) -> bool:
        """Whether the breaths are planned for something else than what the player's reference plays."""
        return self.plain or self.air is not None


@dataclass(frozen=True, slots=True)
class Prepared:
    """What was computed and read: the marks, the fingering of each note (None where there is no chart or none was asked
    for), the ways to play each ornament, the level of each note, the plan of the breaths (None where none was asked
    for), and sentences on where a finger slides and on what was wrong."""

    prep: Prep
    hands: Hands | None = None
    ways: Ways = field(default_factory=dict)
    line: tuple[NoteLevel, ...] = ()
    breaths: Breaths | None = None
    slides: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()

    def waiting(self, kinds: Collection[str]) -> int:
        """How many marks of some kinds wait to be kept or struck."""
        return sum(mark.kind in kinds and mark.state == "suggested" for mark in self.prep.marks)


def prepared(desk: Desk, piece: Piece, asked: Asked, *, tempo: Tempo, set_piece: SetPiece | None = None) -> Prepared:
    """The part with what was asked for computed anew; the suggestions for a piece on the stand are saved (the breaths
    of the performance among them, unless they only suppose another air, or music without shaping), for any other source
    nothing is kept. Raises StoreError, and RequestError where fingerings alone were asked for and there is no chart,
    and for an air of the settings that is nobody's."""
    at = _At(desk, piece, tempo, set_piece)
    read = marks_of(desk, set_piece, piece) if set_piece else None
    before = read.prep if read else Prep(over=written_over(piece.part))
    choices = _choices(before, asked)
    needed = {"ornament", "reminder"} & set(asked.kinds)
    ways = ways_of(desk, piece, choices.style, tempo=tempo, set_piece=set_piece) if needed else {}
    pencil = open_pencil(desk, set_piece, piece) if set_piece else None
    decided = _with_decided(at, pencil.prep if pencil else before, asked, choices, ways)
    plan = _plan(at, decided, asked, ways or None)
    breaths = wished_breaths(plan) if plan is not None else ()
    breathing = with_suggestions(decided, breaths, BREATH, choices)
    fingered = _fingered(at, breathing, asked)
    after = breathing if "breath" in asked.kinds and not asked.supposing else decided
    if fingered.hands is not None:
        after = with_fingerings(after, fingered.hands, asked.wanted)
    if pencil is not None and after is not pencil.prep:
        pencil.take(after)
    if "breath" in asked.kinds and asked.supposing:
        after = with_suggestions(after, breaths, BREATH, choices)
    if asked.plain:
        after = replace(after, marks=tuple(mark for mark in after.marks if mark.kind not in INTERPRETED))
    line = _line(piece, after) if "dynamic" in asked.kinds else ()
    faults = (*(read.faults if read else ()), *fingered.faults)
    return Prepared(
        after, fingered.hands, ways, line, plan if "breath" in asked.kinds else None, fingered.slides, faults
    )


@dataclass(frozen=True, slots=True)
class _At:
    """Where and what is prepared."""

    desk: Desk
    piece: Piece
    tempo: Tempo
    set_piece: SetPiece | None


@dataclass(frozen=True, slots=True)
class _Fingered:
    """The fingering, the places where a finger slides, and what could not be fingered."""

    hands: Hands | None = None
    slides: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()


def _fingered(at: _At, prep: Prep, asked: Asked) -> _Fingered:
    if not set(FINGERING) & set(asked.kinds):
        return _Fingered()
    try:
        hands = piece_hands(at.desk, at.piece, prep, tempo=at.tempo, set_piece=at.set_piece, wanted=asked.wanted)
    except RequestError as error:
        if not set(asked.kinds) - set(FINGERING):
            raise
        return _Fingered(faults=(str(error),))
    slides = slides_told(at.desk, at.piece, hands, asked.wanted, at.set_piece)
    return _Fingered(hands, slides, problems_told(hands))


def _choices(prep: Prep, asked: Asked) -> Choices:
    usual = choices_of(prep)
    return Choices(asked.style or usual.style, asked.density or usual.density)


def _plan(at: _At, prep: Prep, asked: Asked, ways: Ways | None) -> Breaths | None:
    """The breaths, which the fingers want to know too: they rest in them."""
    if not {*BREATH, *FINGERING} & set(asked.kinds):
        return None
    known = {"ornament", "dynamic"} <= set(asked.kinds)
    taken = Interpretation() if asked.plain else interpretation(prep.marks) if known else None
    return plan_of(
        at.desk,
        at.piece,
        prep,
        tempo=at.tempo,
        set_piece=at.set_piece,
        ways=ways,
        taken=taken,
        share=asked.wanted.share,
        air=asked.air,
    )


def _with_decided(at: _At, prep: Prep, asked: Asked, choices: Choices, ways: Ways) -> Prep:
    """The prep with what was asked for of ornaments, dynamics and reminders suggested. The same prep if nothing
    changes."""
    kinds = [kind for kind in DECIDED if kind in asked.kinds and not (asked.plain and kind in INTERPRETED)]
    if not kinds:
        return prep
    found = wished(at.desk, at.piece, prep, choices, kinds, tempo=at.tempo, set_piece=at.set_piece, ways=ways)
    return with_suggestions(prep, found, kinds, choices)


def _line(piece: Piece, prep: Prep) -> tuple[NoteLevel, ...]:
    marks = [mark for mark in prep.shown if mark.kind == "dynamic"]
    phrases = [mark for mark in prep.shown if mark.kind == "phrase"]
    return dynamic_line(piece.part, marks, phrases)
