"""Dynamics, hairpins, tempos and words: MusicXML 4.0 `dynamics`, `wedge`, `metronome`, `sound`, `words`."""

from fractions import Fraction
from pathlib import Path

import pytest

from coach.music.part import DynamicMark, Hairpin, Words
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from tests.files.scores import line, note, read, said, score

FOUR = "".join(note(pitch) for pitch in ("C5", "D5", "E5", "F5"))


def direction(*kinds: str, offset: int | None = None, sound: str = "", staff: str = "") -> str:
    types = "".join(f"<direction-type>{kind}</direction-type>" for kind in kinds)
    moved = f"<offset>{offset}</offset>" if offset is not None else ""
    return f"<direction>{types}{moved}{staff}{sound}</direction>"


def dynamic(mark: str) -> str:
    return direction(f"<dynamics><{mark}/></dynamics>")


def wedge(kind: str, more: str = "", offset: int | None = None) -> str:
    return direction(f'<wedge type="{kind}" number="1" {more}/>', offset=offset)


def test_a_level_stays_in_force(tmp_path: Path) -> None:
    piece = read(
        score(note("C5") + dynamic("p") + note("D5") + note("E5") + dynamic("ff") + note("F5"), FOUR), tmp_path
    )
    assert [one.dynamic for one in line(piece)] == [None, "p", "p", "ff"] + ["ff"] * 4
    assert piece.part.dynamics == (DynamicMark(Fraction(1), "p"), DynamicMark(Fraction(3), "ff"))


def test_momentary_marks_leave_the_level_they_say(tmp_path: Path) -> None:
    """fp: loud, then soft. sfz: an accent; the level before it stays. Common practice (any theory primer)."""
    piece = read(score(dynamic("fp") + note() + note() + dynamic("sfz") + note() + note()), tmp_path)
    assert [one.dynamic for one in line(piece)] == ["f", "p", "p", "p"]


def test_dynamics_at_a_note_and_in_words(tmp_path: Path) -> None:
    at_note = note("C5", notations="<dynamics><mf/></dynamics>")
    other = direction("<dynamics><other-dynamics>più f</other-dynamics></dynamics>")
    piece = read(score(at_note + note() + other + note() + note()), tmp_path)
    assert [one.dynamic for one in line(piece)] == ["mf", "mf", "f", "f"]
    assert piece.part.dynamics[1].mark == "più f"


def test_hairpins(tmp_path: Path) -> None:
    opening = wedge("crescendo", 'niente="yes"') + note() + note() + wedge("stop") + note() + note()
    piece = read(score(opening, wedge("diminuendo") + FOUR + wedge("stop", 'niente="yes"')), tmp_path)
    assert piece.part.hairpins == (
        Hairpin("crescendo", Fraction(0), Fraction(2), True),
        Hairpin("diminuendo", Fraction(4), Fraction(8), True),
    )
    assert [one.hairpin for one in line(piece)] == ["crescendo"] * 2 + [None] * 2 + ["diminuendo"] * 4


def test_a_sign_belongs_to_the_note_it_is_printed_at(tmp_path: Path) -> None:
    """`offset` says where a direction is printed, relative to its place in the file (MusicXML 4.0)."""
    late = note("C5", "quarter", 8) * 3 + note("C5", "quarter", 8) + wedge("crescendo", offset=-15)
    piece = read(score(late, note("C5", "whole", 32) + wedge("stop", offset=-1), divisions=8), tmp_path)
    assert piece.part.hairpins == (Hairpin("crescendo", Fraction(2), Fraction(8)),)


def test_hairpins_in_words_last_to_the_next_mark(tmp_path: Path) -> None:
    piece = read(score(direction("<words>cresc.</words>") + FOUR, note() + dynamic("f") + note() * 3), tmp_path)
    assert piece.part.hairpins == (Hairpin("crescendo", Fraction(0), Fraction(5), False, "cresc."),)
    dashes = (
        direction("<words>dim.</words>", '<dashes type="start"/>') + note() * 2 + direction('<dashes type="stop"/>')
    )
    piece = read(score(dashes + note() * 2, FOUR), tmp_path)
    assert piece.part.hairpins == (Hairpin("diminuendo", Fraction(0), Fraction(2), False, "dim."),)


def test_a_hairpin_without_end_is_ended_and_said(tmp_path: Path) -> None:
    piece = read(score(wedge("crescendo") + FOUR, dynamic("f") + FOUR), tmp_path)
    assert piece.part.hairpins == (Hairpin("crescendo", Fraction(0), Fraction(4)),)
    assert "never ends in the file" in said(piece)


def metronome(unit: str, number: str, dot: str = "") -> str:
    return f"<metronome><beat-unit>{unit}</beat-unit>{dot}<per-minute>{number}</per-minute></metronome>"


def test_a_tempo_mark_has_its_words_and_its_number(tmp_path: Path) -> None:
    mark = direction(
        "<words>Andante</words>", metronome("quarter", "54", "<beat-unit-dot/>"), sound='<sound tempo="81"/>'
    )
    piece = read(score(mark + FOUR), tmp_path)
    (only,) = piece.tempos
    assert (only.text, only.tempo) == ("Andante", Tempo(Fraction(54), Value("quarter", 1)))
    assert only.tempo is not None and only.tempo.quarters_per_minute == 81
    assert piece.notices == ()


def test_what_stands_on_the_page_goes_before_what_the_file_plays(tmp_path: Path) -> None:
    mark = direction(metronome("quarter", "60"), sound='<sound tempo="72"/>')
    piece = read(score(mark + FOUR), tmp_path)
    assert piece.first_tempo == Tempo(Fraction(60), Value("quarter"))
    assert "The file plays 72 quarters a minute where quarter = 60 stands" in said(piece)


def test_a_sounding_tempo_alone_counts_the_beat(tmp_path: Path) -> None:
    six_eight = "<attributes><divisions>2</divisions><time><beats>6</beats><beat-type>8</beat-type></time></attributes>"
    piece = read(score('<sound tempo="90"/>' + note("C5", "half", 6, "<dot/>"), head=six_eight), tmp_path)
    assert piece.first_tempo == Tempo(Fraction(60), Value("quarter", 1))


def test_words_alone_and_a_ratio(tmp_path: Path) -> None:
    """ "quarter = half": the beat that was a quarter is a half from here on."""
    ratio = "<metronome><beat-unit>quarter</beat-unit><beat-unit>half</beat-unit></metronome>"
    first = direction(metronome("quarter", "c. 100")) + FOUR
    piece = read(score(first, direction("<words>rit.</words>") + FOUR, direction(ratio) + FOUR), tmp_path)
    assert [mark.onset_q for mark in piece.tempos] == [0, 4, 8]
    assert [mark.text for mark in piece.tempos] == ["c. 100", "rit.", ""]
    assert [mark.tempo for mark in piece.tempos] == [Tempo(Fraction(100)), None, Tempo(Fraction(100), Value("half"))]
    assert "'c. 100' is read as 100" in said(piece)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Tempo I", 60),
        ("Tempo I.", 60),
        ("TEMPO PRIMO", 60),
        ("Tempo 1°", 60),
        ("a tempo", None),
        ("Tempo I", None),
        ("Tempo di minuetto", None),
    ],
)
def test_tempo_primo_takes_up_the_first_tempo(words: str, expected: int | None, tmp_path: Path) -> None:
    """Italian terms as every dictionary of music has them: tempo primo, the tempo of the beginning; trade practice."""
    begin = direction(metronome("quarter", "60")) if expected or words != "Tempo I" else ""
    faster = direction(metronome("half", "60")) if begin else ""
    piece = read(score(begin + FOUR, faster + FOUR, direction(f"<words>{words}</words>") + FOUR), tmp_path)
    at_the_end = [mark.tempo for mark in piece.tempos if mark.onset_q == 8]
    assert (at_the_end or [None]) == [Tempo(Fraction(expected)) if expected else None]


def test_a_tempo_that_cannot_be_meant_is_left_out(tmp_path: Path) -> None:
    piece = read(score(direction(metronome("quarter", "99999999")) + FOUR), tmp_path)
    assert piece.first_tempo is None and "cannot be meant" in said(piece)


def test_words_and_rehearsal_marks(tmp_path: Path) -> None:
    piece = read(
        score(direction("<words>dolce</words>") + FOUR, direction("<rehearsal>A</rehearsal>") + FOUR), tmp_path
    )
    assert piece.part.words == (Words(Fraction(0), "dolce"), Words(Fraction(4), "A", rehearsal=True))


def test_jumps_in_words_and_as_sounds_are_one(tmp_path: Path) -> None:
    jump = direction("<words>D.S. al Coda</words>", sound='<sound dalsegno="segno"/>')
    leave = direction("<coda/>", sound='<sound tocoda="coda"/>')
    piece = read(score(direction("<segno/>") + FOUR, leave + FOUR, jump + FOUR, direction("<coda/>") + FOUR), tmp_path)
    assert [measure.jumps for measure in piece.part.measures] == [("segno",), ("tocoda",), ("dalsegno",), ("coda",)]
    assert piece.part.words == (Words(Fraction(8), "D.S. al Coda"),)


def test_a_hairpin_may_begin_where_another_is_printed_to_end(tmp_path: Path) -> None:
    """Starts and stops pair in the order of the file, wherever they are printed."""
    signs = wedge("stop", offset=-2) + wedge("diminuendo") + note("C5", "half", 16) + wedge("stop", offset=-1)
    piece = read(score(wedge("crescendo") + note("C5", "half", 16) + signs, divisions=8), tmp_path)
    assert piece.part.hairpins == (
        Hairpin("crescendo", Fraction(0), Fraction(2)),
        Hairpin("diminuendo", Fraction(2), Fraction(4)),
    )
    assert piece.notices == ()
