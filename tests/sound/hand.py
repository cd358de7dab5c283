"""Pieces built by hand for the tests of sound."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from coach.config import ClickSettings
from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Grace, Note
from coach.music.part import DynamicMark, Hairpin, Part
from coach.music.piece import Piece
from coach.music.pitch import Transposition, parse_pitch
from coach.music.rhythm import Value
from coach.music.tempo import Tempo, TempoMark
from coach.sound.compile import perform
from coach.sound.performance import Performance, SoundedNote

B_FLAT = Transposition(-1, -2)
QUIET = ClickSettings(on=False, count_in=0)

# (pitch or "" for a rest, length in quarters, what else the note carries)
Given = tuple[str, Any, dict[str, Any]]


def n(pitch: str, length_q: Any, **more: Any) -> Given:
    """A note for `measure`; "" is a rest."""
    return pitch, length_q, more


def grace(note_id: str, pitch: str) -> Grace:
    return Grace(note_id, parse_pitch(pitch), Value("16th"))


def measure(number: str, given: Iterable[Given], metre: Metre | None, *, onset_q: Any = 0, **more: Any) -> Measure:
    """A measure of these notes one after the other, as long as they are together."""
    notes: list[Note] = []
    start = at_q = Fraction(onset_q)
    heads = 0
    for pitch, length_q, extra in given:
        heads += bool(pitch)
        note_id = f"{number}.{heads}" if pitch else ""
        beat = 1 + (at_q - start) / (metre.beat_q if metre else 1)
        head = parse_pitch(pitch) if pitch else None
        notes.append(Note(note_id, head, at_q, Fraction(length_q), number, beat, **extra))
        at_q += Fraction(length_q)
    return Measure(number, number, start, at_q - start, metre, Key(), Clef(), tuple(notes), **more)


def bars(*given: Iterable[Given], metre: Metre | None = Metre(4, 4), pickup: bool = False) -> tuple[Measure, ...]:  # noqa: B008
    """Measures one after the other, numbered from 1, or from 0 with a pickup."""
    result: list[Measure] = []
    at_q = Fraction(0)
    for k, notes in enumerate(given):
        result.append(measure(str(k + (not pickup)), notes, metre, onset_q=at_q, pickup=pickup and k == 0))
        at_q = result[-1].end_q
    return tuple(result)


def piece(
    measures: tuple[Measure, ...],
    *,
    tempos: Iterable[tuple[Any, Tempo | None]] = (),
    dynamics: Iterable[tuple[Any, str]] = (),
    hairpins: Iterable[Hairpin] = (),
    others: tuple[Part, ...] = (),
    transposition: Transposition = B_FLAT,
) -> Piece:
    part = Part(
        "P1",
        "Clarinet in Bb",
        "",
        transposition,
        measures,
        dynamics=tuple(DynamicMark(Fraction(at), mark) for at, mark in dynamics),
        hairpins=tuple(hairpins),
    )
    marks = tuple(TempoMark(Fraction(at), tempo) for at, tempo in tempos)
    return Piece("By hand", "", part, others=others, tempos=marks)


def quarter(per_minute: Any) -> Tempo:
    return Tempo(Fraction(per_minute))


def played(of: Piece, tempo: Tempo | None = None, click: ClickSettings = QUIET, **more: Any) -> Performance:
    """The whole piece, a quarter a second unless told otherwise."""
    return perform(of, of.whole(), tempo=tempo or quarter(60), click=click, **more)


def solo(performance: Performance) -> dict[str, SoundedNote]:
    """The sounded notes of the practised line by id."""
    return {note.at: note for note in performance.notes if note.line == 0}
