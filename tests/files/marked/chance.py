"""Marks of all kinds at random places of a part."""

from collections.abc import Callable
from fractions import Fraction
from random import Random

from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import (
    ACCIDENTALS,
    KINDS,
    ORIGINS,
    SHAPES,
    SIGNS,
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    OssiaNote,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.prep import Prep

_LENGTHS = tuple(Fraction(*pair) for pair in ((1, 4), (1, 2), (1, 8), (1, 3), (1, 6), (1, 5), (3, 4), (1, 1), (5, 4)))
_WORDS = ("Fine & slow <here>", "D.C.? no: go on", "watch the \u266d; “sing”", "rit. a little, f not ff", "à la corde")


def random_prep(part: Part, chance: Random, count: int, score_hash: str = "") -> Prep:
    """A prep of `count` marks, each kind at least once if there are as many; one in ten is struck. A part of very few
    notes gets fewer fingerings."""
    kinds = (list(KINDS) * (count // len(KINDS) + 1))[:count]
    places = [note.id for note in part.notes()]
    places += [grace.id for note in part.notes() for grace in (*note.graces, *note.after_graces)]
    pitched = [note.id for note in part.pitched()]
    taken: set[str] = set()
    marks = []
    for k, kind in enumerate(kinds):
        pool = pitched if kind in ("fingering", "swap", "ornament", "alteration", "reminder") else places
        at = chance.choice(pool)
        if kind in ("fingering", "swap"):  # one fingering a note
            free = [one for one in pool if one not in taken]
            if not free:
                continue
            at = chance.choice(free)
            taken.add(at)
        content = _MAKERS[kind](part, at, chance)
        state = "struck" if chance.random() < 0.1 else chance.choice(("kept", "suggested"))
        marks.append(Mark(f"m{k + 1}", at, content, chance.choice(ORIGINS), state))
    return Prep(title="", score_hash=score_hash, marks=tuple(marks))


def _later(part: Part, at: str, chance: Random) -> str:
    names = [note.id for note in part.notes()]
    owners = {grace.id: note.id for note in part.notes() for grace in (*note.graces, *note.after_graces)}
    k = names.index(owners.get(at, at))
    return chance.choice(names[k : k + 12])


def _pitch(chance: Random) -> Pitch:
    return Pitch(chance.choice("CDEFGAB"), chance.choice((-1, 0, 0, 1)), chance.choice((4, 5)))


def _ornament(part: Part, at: str, chance: Random) -> Content:
    notes = {note.id: note for note in part.notes()}
    start = next(measure.onset_q for measure in part.measures if measure.id == notes[at].measure)
    onset, written = notes[at].onset_q - start, []
    for _ in range(chance.randint(1, 9)):
        length = chance.choice(_LENGTHS)
        written.append(OssiaNote(None if chance.random() < 0.1 else _pitch(chance), onset, length))
        onset += length
    return Ornament(
        tuple(written), chance.choice(("trill", "turn", "ossia")), chance.choice(("treatise", "lyrical", ""))
    )


def _dynamic(part: Part, at: str, chance: Random) -> Content:
    if chance.random() < 0.2:
        return Dynamic(level_db=-6.0, colour=0.25)
    sign = chance.choice(SIGNS)
    return Dynamic(sign, _later(part, at, chance) if sign in ("crescendo", "diminuendo") else "")


def _pace(part: Part, at: str, chance: Random) -> Content:
    shape = chance.choice(SHAPES)
    if shape in ("fermata", "tenuto"):
        return Pace(shape, length_q=chance.choice((None, Fraction(3), Fraction(3, 2))))
    return Pace(shape, chance.choice(("", _later(part, at, chance))))


def _phrase(part: Part, at: str, chance: Random) -> Content:
    to = _later(part, at, chance)
    return Phrase(to, chance.choice(("", to)))


_MAKERS: dict[str, Callable[[Part, str, Random], Content]] = {
    "phrase": _phrase,
    "pace": _pace,
    "breath": lambda part, at, chance: Breath(chance.choice(("full", "catch"))),
    "fingering": lambda part, at, chance: Fingering(chance.choice(("L", "R", "fork", "long"))),
    "swap": lambda part, at, chance: Swap("L", "R", Fraction(1, 2)),
    "reminder": lambda part, at, chance: Reminder(chance.choice((*ACCIDENTALS, "B\u266d"))),
    "ornament": _ornament,
    "dynamic": _dynamic,
    "alteration": lambda part, at, chance: Alteration(tuple(_pitch(chance) for _ in range(chance.randint(1, 3)))),
    "comment": lambda part, at, chance: Comment(chance.choice(_WORDS)),
}
