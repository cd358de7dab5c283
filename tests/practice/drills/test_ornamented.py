"""Drills of trills and graces: what is counted, and that what is free or as printed sounds as it was decided."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from coach.config import ClickSettings
from coach.errors import RequestError
from coach.files.score import read_score
from coach.files.source import corpus_folder
from coach.music.metre import Key, Metre
from coach.music.note import Grace, Note, Ornament
from coach.music.piece import Piece
from coach.music.pitch import parse_pitch
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.drills.decided import Decided
from coach.practice.drills.drill import Drill, make, stretch_for
from coach.practice.drills.event import Frame
from coach.practice.drills.ornamented import gathering, values_from
from coach.practice.drills.stretch import chains_of, fits
from coach.practice.spot import NO_KEYS
from coach.prepare.mark import Ornament as Decision
from coach.prepare.mark import OssiaNote, Shake
from coach.prepare.ornaments.shake import shaken, sounds
from coach.sound.compile import perform
from tests.content.reading import demo_path
from tests.practice.drills.pieces import RECIPES, F, decided, piece, text_of

FOUR, NINE = Metre(4, 4), Metre(9, 8)
WEBER = corpus_folder() / "weber" / "concertino_clarinet.mxl"


def dressed(of: Piece, note_id: str, **changes: object) -> Piece:
    """The piece with something printed at a note."""
    measures = tuple(
        replace(m, notes=tuple(replace(n, **changes) if n.id == note_id else n for n in m.notes))  # type: ignore[arg-type]
        for m in of.part.measures
    )
    return replace(of, part=replace(of.part, measures=measures))


def bars(drill: Drill) -> list[str]:
    return [text_of(measure) for measure in drill.piece.part.measures]


def graces(note_id: str, *names: str) -> tuple[Grace, ...]:
    return tuple(Grace(f"{note_id}g{k}", parse_pitch(name), Value("16th")) for k, name in enumerate(names, 1))


def shake_of(drill: Drill) -> Shake:
    assert drill.goal is not None
    return drill.goal[1]


# --- the trill


TRILLED = dressed(piece(FOUR, "C5:4", "D5:4"), "1.1", ornaments=(Ornament("trill-mark"),))


def of_trill(shake: Shake) -> Drill:
    notes = (OssiaNote(parse_pitch("C5"), F(0), F(4)),)
    known = Decided({"1.1": Decision(notes, "trill", "lyrical", shake)})
    return make(RECIPES["trill-ramp"], TRILLED, "1.1", "1.1", NO_KEYS, known)


FREE = Shake(
    parse_pitch("D5"), F(0), F(4), F(2), F(10), "late", "main", (parse_pitch("B4"), parse_pitch("C5")), F(1, 4)
)


def test_the_trill_is_counted_in_quarters_eighths_triplets_sixteenths() -> None:
    """A measure of four quarters each: 4, 8, 12 and 16 notes, each stage under one slur from the trill's note on."""
    drill = of_trill(FREE)
    stages = drill.piece.part.measures[:4]
    assert [len(measure.notes) for measure in stages] == [4, 8, 12, 16]
    assert [{note.length_q for note in measure.notes} for measure in stages] == [{1}, {F(1, 2)}, {F(1, 3)}, {F(1, 4)}]
    for measure in stages:
        assert [note.pitch.name for note in measure.notes if note.pitch] == ["C5", "D5"] * (len(measure.notes) // 2)
        assert [note.slurred for note in measure.notes] == [True] * (len(measure.notes) - 1) + [False]
    assert [word.text for word in drill.piece.part.words] == [
        "quarters", "eighths", "triplet eighths", "16ths", "free", "free",
    ]  # fmt: skip


def test_in_compound_time_the_beat_falls_into_three_and_six() -> None:
    """Nine eighths: three beats of one, two, three and six notes."""
    long = dressed(piece(NINE, "C5:9/2", "D5:9/2"), "1.1", ornaments=(Ornament("trill-mark"),))
    drill = make(RECIPES["trill-ramp"], long, "1.1", "1.1", NO_KEYS, decided(long))
    assert [len(measure.notes) for measure in drill.piece.part.measures[:4]] == [3, 6, 9, 18]


def test_a_trill_from_above_begins_above_in_every_stage() -> None:
    drill = of_trill(replace(FREE, start="upper"))
    assert [m.notes[0].pitch.name for m in drill.piece.part.measures[:4] if m.notes[0].pitch] == ["D5"] * 4


def test_then_it_is_free_as_it_was_decided_and_lands_on_the_next_note() -> None:
    """Printed as it is on the page; what sounds is the shake, its closing notes last, then the next note."""
    drill = of_trill(FREE)
    assert bars(drill)[4:] == ["C5:4", "D5:4"] * 2
    assert drill.piece.note("5.1").ornaments == (Ornament("trill-mark"),)
    assert set(drill.interpretation.ornaments) == {"5.1", "7.1"}
    assert shake_of(drill) == FREE
    played = sounds(drill.interpretation.ornaments["5.1"], parse_pitch("C5"))
    assert played == shaken(parse_pitch("C5"), FREE)
    assert [note.pitch.name for note in played[-2:] if note.pitch] == ["B4", "C5"]
    assert sum(note.length_q for note in played) == 4
    assert drill.step_at(16).says == "Free, the close in time: from 2 to 10 notes a beat"


def test_what_sounds_under_the_click_is_the_shake() -> None:
    """At a quarter a second the fifth measure begins after 16 s: each note of the shake at its onset, and the landing
    on the click of second 20."""
    drill = of_trill(FREE)
    played = perform(
        drill.piece,
        drill.piece.whole(),
        tempo=Tempo(F(60)),
        click=ClickSettings(on=True),
        interpretation=drill.interpretation,
    )
    heard = [note for note in played.notes if 16 <= note.at_s < 20]
    wanted = shaken(parse_pitch("C5"), FREE)
    assert [note.pitch.name for note in heard] == [note.pitch.name for note in wanted if note.pitch]
    assert [note.at_s for note in heard] == pytest.approx([16 + float(note.onset_q) for note in wanted])
    landing = next(note for note in played.notes if note.at_s >= 20)
    assert landing.at_s == pytest.approx(20) and landing.pitch.name == "D5"
    assert 20 in [pytest.approx(click.at_s) for click in played.clicks]


def test_an_even_trill_gathers_speed_first() -> None:
    """Two notes a beat to begin with, its own rate at the end; then as it was decided. Too short for that, or as slow
    as that, it stays what it is."""
    even = replace(FREE, first=F(8), last=F(8), curve="even")
    drill = of_trill(even)
    assert shake_of(drill) == replace(even, first=F(2), curve="steady")
    assert [one.shake for one in drill.interpretation.ornaments.values() if one.shake][-1] == even
    assert drill.step_at(16).says.endswith("from 2 to 8 notes a beat")
    assert [step.says for step in drill.steps][-1] == "As decided: 8 notes a beat"
    for as_it_is in (replace(even, length_q=F(3, 2)), replace(even, first=F(2), last=F(2)), FREE):
        assert gathering(as_it_is, F(1)) == as_it_is
    assert gathering(even, F(3, 2)).first == F(4, 3)  # two notes to a dotted quarter


def test_a_trill_on_the_last_note_lands_nowhere() -> None:
    last = dressed(piece(FOUR, "C5:4"), "1.1", ornaments=(Ornament("trill-mark"),))
    drill = make(RECIPES["trill-ramp"], last, "1.1", "1.1", NO_KEYS, decided(last))
    assert bars(drill)[4] == "C5:4"


def test_a_note_without_a_trill_has_no_ramp() -> None:
    with pytest.raises(RequestError, match="does not fit there; choose a note with a trill"):
        make(RECIPES["trill-ramp"], TRILLED, "2.1", "2.1", NO_KEYS, decided(TRILLED))
    with pytest.raises(RequestError, match="choose a note with a trill"):
        make(RECIPES["trill-ramp"], TRILLED, "1.1", "1.1")  # nothing is decided
    with pytest.raises(RequestError, match="choose a note with graces"):
        make(RECIPES["graces-counted"], TRILLED, "1.1", "1.1", NO_KEYS, decided(TRILLED))


# --- graces


def test_graces_are_counted_then_as_printed() -> None:
    """A half note, three graces, then an eighth: a dotted quarter, a triplet of sixteenths, the eighth (common practice
    of the trade at a quarter of 50 to 60)."""
    plain = piece(FOUR, "C5:2 G5:1/2 F5:1/2 E5:1")
    notes = dressed(plain, "1.2", graces=graces("1.2", "D5", "E5", "F5"))
    drill = make(RECIPES["graces-counted"], notes, "1.2", "1.2", NO_KEYS, decided(notes, quarter_s=60 / 55))
    counted = "C5:3/2- D5:1/6- E5:1/6- F5:1/6- G5:1/2- F5:1/2 r:1"
    printed = "C5:2 G5:1/2 F5:1/2 r:1"
    assert bars(drill) == [counted, counted, printed, printed]
    assert [note.value for note in drill.piece.part.measures[0].notes][:2] == [
        Value("quarter", 1), Value("16th", 0, 3, 2),
    ]  # fmt: skip
    assert [grace.pitch.name for grace in drill.piece.note("3.2").graces] == ["D5", "E5", "F5"]
    assert set(drill.interpretation.ornaments) == {"3.2", "4.2"}


def heard(drill: Drill, first: str, last: str) -> list[tuple[str, float, float]]:
    """What sounds of some measures: names, onsets and ends in quarters from their start, to the thousandth."""
    span = drill.piece.span(first, last)
    played = perform(
        drill.piece, span, tempo=Tempo(F(60)), click=ClickSettings(on=True), interpretation=drill.interpretation
    )
    return [(note.pitch.name, round(note.at_s, 3)) for note in played.notes]  # type: ignore[misc]


@pytest.mark.parametrize("style", ["lyrical", "treatise"])
@pytest.mark.parametrize("name", ["demo", "weber"])
def test_what_is_counted_sounds_where_the_graces_do(name: str, style: str) -> None:
    """Every onset of the counted form is one of the printed form, and the other way round: no grace has moved."""
    of = read_score(demo_path() if name == "demo" else WEBER)
    known = decided(of, style, 0.8)
    found = 0
    for chain in chains_of(tuple(of.part.notes())):
        ends = chain.notes[0].id, chain.notes[-1].id
        recipe = RECIPES["graces-counted"]
        if not fits(recipe, stretch_for(recipe, of, *ends, NO_KEYS, known)):
            continue
        drill = make(recipe, of, *ends, NO_KEYS, known)
        measures = len(drill.piece.part.measures) // 4
        counted, printed = heard(drill, "1", str(measures)), heard(drill, str(2 * measures + 1), str(3 * measures))
        assert counted == printed, (chain.notes[0].id, counted, printed)
        found += 1
    assert found >= {"demo": 3, "weber": 10}[name]


@pytest.mark.parametrize("style", ["lyrical", "treatise"])
@pytest.mark.parametrize("path", [demo_path(), WEBER], ids=["demo", "weber"])
def test_the_last_stage_is_the_shake_of_every_trill(path: Path, style: str) -> None:
    """Stages of whole measures at the stated rates; what sounds at the end is the decided shake, to the beat."""
    of = read_score(path)
    known = decided(of, style, 0.8)
    found = 0
    for chain in chains_of(tuple(of.part.notes())):
        ends = chain.notes[0].id, chain.notes[-1].id
        recipe = RECIPES["trill-ramp"]
        if not fits(recipe, stretch_for(recipe, of, *ends, NO_KEYS, known)):
            continue
        drill = make(recipe, of, *ends, NO_KEYS, known)
        wanted = known.ornaments[chain.notes[0].id].shake
        last = list(drill.interpretation.ornaments.values())[-1]
        assert wanted is not None and last.shake is not None
        here, there = shaken(chain.pitch, last.shake), shaken(chain.pitch, wanted)
        assert [(note.pitch, note.length_q) for note in here] == [(note.pitch, note.length_q) for note in there]
        lengths = [min(note.length_q for note in measure.notes) for measure in drill.piece.part.measures[:3]]
        assert all(slow > fast for slow, fast in pairwise(lengths))
        found += 1
    assert found >= {demo_path(): 1, WEBER: 5}[path]


def test_values_lie_within_the_beats() -> None:
    """Five sixths of a quarter from a beat on: a triplet quarter and a triplet sixteenth; a half from the second eighth
    on is an eighth tied to a dotted quarter (usual notation)."""
    frame = Frame(FOUR, Key(), piece(FOUR, "C5:4").part.measures[0].clef)
    assert [length for length, _ in values_from(F(0), F(5, 6), frame)] == [F(2, 3), F(1, 6)]
    assert [length for length, _ in values_from(F(1, 2), F(5, 2), frame)] == [F(1, 2), F(3, 2)]
    assert list(values_from(F(0), F(3, 2), frame)) == [(F(3, 2), Value("quarter", 1))]
    assert list(values_from(F(0), F(1, 5), frame)) == [(F(1, 5), Value("16th", 0, 5, 4))]
    assert list(values_from(F(0), F(1, 13), frame)) == [(F(1, 13), None)]


def note_of(of: Piece, note_id: str) -> Note:
    return of.note(note_id)


def test_graces_without_room_before_the_drill_are_left_out() -> None:
    """As printed, a stretch that begins with graces from the measure before neither prints nor plays them."""
    notes = dressed(piece(FOUR, "C5:4", "G5:2 F5:2"), "2.1", graces=graces("2.1", "E5", "F5"))
    known = decided(notes)
    drill = make(RECIPES["slurred-first"], notes, "2.1", "2.2", NO_KEYS, known)
    assert all(not note.graces for note in drill.piece.part.notes())
    whole = make(RECIPES["slurred-first"], notes, "1.1", "2.2", NO_KEYS, known)
    assert [grace.pitch.name for grace in note_of(whole.piece, "6.1").graces] == ["E5", "F5"]
    assert Fraction(0) > min(note.onset_q for note in whole.interpretation.ornaments["6.1"].notes)
