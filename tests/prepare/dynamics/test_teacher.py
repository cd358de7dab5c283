"""What a teacher would shape and what not, decided before the program was asked: common practice of the trade. Only
relations between levels are checked; their sizes are defaults."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from coach.music.part import Hairpin, Part
from coach.prepare.dynamics.line import dynamic_line
from coach.prepare.dynamics.shaping import shapings
from coach.prepare.mark import Mark
from tests.prepare.dynamics.test_marks import printed
from tests.prepare.dynamics.test_shaping import as_marks, found, line, second
from tests.prepare.factory import part

F = Fraction
LONG = ["C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1"] * 4


def test_body_after_a_long_forte_and_contrast_after_it() -> None:
    after = line(printed(part(*LONG, "E5:2 D5:1 C5:1", "D5:4"), (0, "f"), (32, "mf")))
    plain = line(printed(part("E5:2 D5:1 C5:1", *LONG), (0, "mf"), (4, "f")))
    f, mf = after["8.4"], plain["1.1"]
    assert mf < after["9.1"] < f and f - after["9.1"] < after["9.1"] - mf
    for soft in ("p", "pp"):
        contrast = line(printed(part(*LONG, "E5:2 D5:1 C5:1"), (0, "f"), (32, soft)))
        assert contrast["9.1"] < mf - 2
    short = line(printed(part("C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1"), (0, "f"), (4, "p")))
    assert short["2.1"] < mf - 2


def test_the_lead_into_an_octave() -> None:
    """Three notes grow into it and the high note is soft; under a printed diminuendo and over a rest nothing grows."""
    up = part("C5:1 D5:1 E5:1 F5:1", "G4:1 A4:1 B4:1 C5:1", "C6:2 B5:2")
    for dynamics in (((0, "p"),), ((0, "mf"), (8, "p"))):
        levels = line(printed(up, *dynamics))
        assert levels["2.2"] < levels["2.3"] < levels["2.4"]
        assert levels["3.1"] <= levels["1.1"]
    faded = line(printed(up, (0, "mf"), (8, "p"), hairpins=(("diminuendo", 4, 8),)))
    assert all(one >= two for one, two in pairwise(faded[at] for at in ("2.1", "2.2", "2.3", "2.4", "3.1")))
    rest = found(printed(part("C5:1 D5:1 E5:1 F5:1", "G4:1 A4:1 B4:1 r:1", "B5:2 A5:2"), (0, "p")))
    assert not any(one.content.sign == "crescendo" for one in rest.values())


def test_a_lead_rises_above_what_is_printed_where_there_is_room() -> None:
    """Softer than printed it begins only where the part gets no louder."""
    up = part("C5:1 D5:1 E5:1 F5:1", "G4:1 A4:1 B4:1 C5:1", "C6:1 B5:1 A5:1 G5:1", "C5:1 D5:1 E5:1 F5:1")
    roomy = line(printed(up, (0, "p"), (12, "f")))
    assert roomy["2.1"] == roomy["2.2"] < roomy["2.3"] < roomy["2.4"] < roomy["3.1"]
    full = line(printed(up, (0, "p")))
    assert full["2.2"] < full["2.3"] < full["2.4"] < full["2.1"]


def test_nothing_drops_where_nothing_is_printed() -> None:
    """A crescendo arrives on the note it leads to, and what was gained is let go of evenly; body too fades. Common
    practice; that a step of about 2 dB is none is a default of taste."""
    bars = ("C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1") * 4
    cases = [
        printed(part("C5:1 D5:1 E5:1 F5:1", "G4:1 A4:1 B4:1 C5:1", "C6:1 B5:1 A5:1 G5:1", *bars), (0, "p"), (24, "f")),
        printed(part("C5:1 D5:1 E5:1 F5:1", "G5:4", *bars), (0, "mf"), (24, "f")),
        printed(part("C5:4", "D5:2 E5:2", *bars), (0, "mf"), (24, "f")),
    ]
    for loud in ("f", "ff", "fff"):
        for soft in ("mp", "mf"):
            bodied = printed(part(*bars, *bars), (0, loud), (32, soft))
            cases += [bodied, replace(bodied, hairpins=(Hairpin("crescendo", F(48), F(56)),))]
    for of in cases:
        told = dynamic_line(of, as_marks(shapings(of, second)))
        printed_at = {note.id for note in of.pitched() if note.onset_q in {sign.onset_q for sign in of.dynamics}}
        assert len({one.level_db for one in told}) > 2
        for one, two in pairwise(told):
            assert one.end_level_db - two.level_db <= 2.0 or two.at in printed_at
            # Nor from one quarter to the next; from fff to mp it is a little more.
            assert one.level_db - two.level_db <= 2.7 or two.at in printed_at


def test_what_a_crescendo_gains_is_kept_at_the_beginning_of_the_note_it_leads_to() -> None:
    of = part("C5:1 D5:1 E5:1 F5:1", "G5:4", "F5:1 E5:1 D5:1 C5:1", "C5:4")
    told = {one.at: one for one in dynamic_line(printed(of, (0, "mf"), (12, "f")), _shaped(of, (0, "mf"), (12, "f")))}
    assert told["2.1"].end_level_db == told["3.1"].level_db > told["1.4"].level_db
    assert told["3.1"].level_db > told["3.2"].level_db > told["3.3"].level_db == told["1.4"].level_db
    into_soft = line(printed(part("C5:1 D5:1 E5:1 F5:1", "G4:1 A4:1 B4:1 C5:1", "C6:4"), (0, "mf"), (8, "p")))
    assert into_soft["3.1"] == -8  # the soft arrival is the point, however the long note fades: p, with mf the loudest


def _shaped(of: Part, *dynamics: tuple[float, str]) -> list[Mark]:
    return as_marks(shapings(printed(of, *dynamics), second))


def test_hairpins_go_where_the_page_says_or_a_step() -> None:
    bars = part("C5:1 D5:1 E5:1 F5:1", "G5:1 A5:1 B5:1 C6:1", "D6:2 C6:2")
    grown = line(printed(bars, (0, "p"), (8, "f"), hairpins=(("crescendo", 4, 8),)))
    climb = [grown[at] for at in ("1.4", "2.2", "2.3", "2.4", "3.1")]
    assert all(one < two for one, two in pairwise(climb))
    assert grown["3.1"] == line(printed(bars, (0, "f")))["1.1"] == 0
    open_end = line(printed(bars, (0, "p"), hairpins=(("crescendo", 4, 8),)))
    assert open_end["1.1"] < open_end["3.1"] and open_end["3.1"] == open_end["3.2"]


def test_a_long_note_has_direction_and_the_last_one_ends() -> None:
    told = found(printed(part("C5:1 D5:1 E5:1 F5:1", "G5:4", "F5:1 E5:1 D5:1 C5:1", "C5:4"), (0, "mf")))
    assert told["2.1"].content.sign == "crescendo" and "towards the F" in told["2.1"].because
    assert told["4.1"].content.sign == "diminuendo"
    assert set(told) == {"2.1", "4.1"}  # quarters in a middle dynamic need nothing


def test_what_is_high_and_soft_on_a_clarinet() -> None:
    """C6 and above at piano; not the G in the middle of the clarion, nor a note that a fortepiano begins loud."""
    assert found(printed(part("C5:4", "C6:2 B5:2", "C5:4"), (0, "p")))["2.1"].content.colour is not None
    low = found(printed(part("C5:1 D5:1 E5:1 F5:1", "G5:2 F5:2", "E5:1 r:3"), (0, "p")))
    assert all(one.content.colour is None for one in low.values())
    loud = found(printed(part("C5:1 D5:1 E5:1 F5:1", "C6:2 B5:2", "A5:1 r:3"), (0, "mf"), (4, "fp")))
    assert "2.1" not in loud
