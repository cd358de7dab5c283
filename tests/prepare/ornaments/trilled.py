"""Trills for the tests: a note of a small part with a trill sign."""

from dataclasses import replace
from fractions import Fraction

from coach.music.metre import Key, Metre
from coach.music.note import Grace, Ornament
from coach.music.part import Part
from coach.music.pitch import parse_pitch
from coach.music.rhythm import Value
from coach.prepare.ornaments.figure import Figure, figures
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.trills import trill_ways
from tests.prepare.factory import part

TRILL = Ornament("trill-mark")


def trilled_part(
    *measures: str, at: str, sign: Ornament = TRILL, after: str = "", key: int = 0, metre: tuple[int, int] = (4, 4)
) -> Part:
    """The part of these measures (`tests.prepare.factory.part`), with a sign at a note, and after-graces (16ths)."""
    plain = part(*measures)
    graces = tuple(Grace(f"{at}a{k}", parse_pitch(one), Value("16th")) for k, one in enumerate(after.split(), 1))
    changed = tuple(
        replace(
            measure,
            key=Key(key),
            metre=Metre(*metre),
            notes=tuple(
                replace(note, ornaments=(sign,), after_graces=graces) if note.id == at else note
                for note in measure.notes
            ),
        )
        for measure in plain.measures
    )
    return replace(plain, measures=changed)


def figure_at(of: Part, at: str, quarter_s: float) -> Figure:
    """The figure of a note."""
    return next(one for one in figures(of, lambda _: quarter_s) if one.head.id == at)


def ways(of: Part, at: str, style: str, quarter_s: float, fastest: float = 10.5) -> tuple[Realisation, ...]:
    """The ways to play the trill of a note, a quarter lasting so long."""
    return trill_ways(figure_at(of, at, quarter_s), style, lambda _: quarter_s, lambda _low, _high: fastest)


def written(way: Realisation) -> str:
    """Its notes as pitches and lengths: "C5:1/4 D5:1/4"."""
    return " ".join(f"{note.pitch.name if note.pitch else 'r'}:{note.length_q}" for note in way.content.notes)


def total_q(way: Realisation) -> Fraction:
    """How long its notes last together."""
    return sum((note.length_q for note in way.content.notes), Fraction(0))
