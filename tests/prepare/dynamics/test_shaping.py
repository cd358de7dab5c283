"""Shaping. That a mezzo forte after a long forte is nearer to the forte, and that three notes before an octave leap
into piano make a small crescendo, are common practice of the trade; so are the other deeds. Figures are defaults."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings

from coach.music.part import DynamicMark, Hairpin, Part, Words
from coach.prepare.dynamics.level import levels
from coach.prepare.dynamics.line import dynamic_line
from coach.prepare.dynamics.shaping import OCTAVE_LEAD_DB, Shaping, shapings
from coach.prepare.dynamics.signs import HAIRPINS, places
from coach.prepare.dynamics.steps import LEVEL_DB
from coach.prepare.mark import Dynamic, Mark
from tests.prepare.dynamics.test_marks import own, parts, printed
from tests.prepare.factory import part

F = Fraction


def second(_: Fraction) -> float:
    return 1.0


def found(of: Part, *marks: Mark) -> dict[str, Shaping]:
    return {one.at: one for one in shapings(of, second, marks)}


def as_marks(of: Sequence[Shaping]) -> list[Mark]:
    return [Mark(f"s{k}", one.at, one.content, "computed", "suggested", one.because) for k, one in enumerate(of)]


def line(of: Part, *marks: Mark) -> dict[str, float]:
    shaped = [*as_marks(shapings(of, second, marks)), *marks]
    return {one.at: one.level_db for one in dynamic_line(of, shaped)}


QUARTERS = "C5:1 D5:1 E5:1 F5:1"


def test_a_mezzo_forte_after_a_long_forte_is_nearer_to_the_forte() -> None:
    of = printed(part(QUARTERS, QUARTERS, QUARTERS, "C5:1 r:3", QUARTERS), (0, "f"), (8, "mf"))
    shaped = line(of)
    nominal = LEVEL_DB["mf"] - LEVEL_DB["f"]
    assert shaped["2.4"] == 0
    for at in ("3.1", "3.4"):
        assert abs(shaped[at] - 0) < abs(shaped[at] - nominal)
    assert shaped["5.1"] == nominal  # after the rest it is a mezzo forte like any other
    assert "forte" in found(of)["3.1"].because


@pytest.mark.parametrize("soft", ["p", "pp"])
def test_a_piano_after_a_long_forte_is_a_contrast(soft: str) -> None:
    of = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "f"), (8, soft))
    assert line(of)["3.1"] == LEVEL_DB[soft] - LEVEL_DB["f"]


def test_a_mezzo_forte_after_a_short_forte_or_marked_subito_or_after_a_pause_is_a_mezzo_forte() -> None:
    short = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "mf"), (6, "f"), (8, "mf"))
    subito = replace(printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "f"), (8, "mf")), words=(Words(F(8), "subito"),))
    pause = printed(part(QUARTERS, "r:4", QUARTERS), (0, "f"), (8, "mf"))
    for of in (short, subito, pause):
        assert line(of)["3.1"] == LEVEL_DB["mf"] - LEVEL_DB["f"]


@pytest.mark.parametrize("before", ["p", "mf", "f"])
def test_three_notes_before_an_octave_leap_into_piano_make_a_small_crescendo(before: str) -> None:
    of = printed(part("C5:1 G4:1 A4:1 B4:1", "B5:4"), (0, before), (4, "p"))
    shaping = found(of)["1.2"]
    assert (shaping.content.sign, shaping.content.to) == ("crescendo", "1.4")
    shaped = dynamic_line(of, as_marks([shaping]))
    rise = [shaped[1].level_db, *(one.end_level_db for one in shaped[1:4])]
    assert all(later > earlier for earlier, later in pairwise(rise))
    assert 0 < rise[3] - rise[0] < LEVEL_DB["f"] - LEVEL_DB["mf"]  # small: less than a step
    assert shaped[4].level_db == pytest.approx(LEVEL_DB["p"] - levels(of).loudest_db)
    assert "an octave" in shaping.because and "up to B" in shaping.because


def test_a_leap_into_something_louder_or_after_a_rest_or_down_needs_no_lead() -> None:
    louder = printed(part("C5:1 G4:1 A4:1 B4:1", "B5:4"), (0, "p"), (4, "f"))
    rested = printed(part("C5:1 G4:1 A4:1 B4:1/2 r:1/2", "B5:4"), (0, "f"))
    down = printed(part("C6:1 B5:1 A5:1 B5:1", "B4:4"), (0, "f"))
    assert not any("leap" in one.because for of in (louder, rested, down) for one in shapings(of, second))


def test_a_soft_high_note_changes_its_colour_and_not_its_level() -> None:
    of = printed(part("C5:1 D6:1 r:2", "E6:1 r:3"), (0, "p"), (4, "f"))
    shaping = found(of)["1.2"]
    assert shaping.content.level_db is None and shaping.content.colour is not None
    before, after = dynamic_line(of), dynamic_line(of, as_marks([shaping]))
    assert after[1].level_db == before[1].level_db and after[1].colour > before[1].colour
    assert "2.1" not in found(of)  # loud and high has its brightness already


def test_a_long_soft_high_note_has_both_direction_and_support() -> None:
    shaping = found(printed(part("C5:1 D6:3", "r:4"), (0, "p")))["1.2"]
    assert shaping.content.sign == "diminuendo" and shaping.content.colour is not None
    assert "support" in shaping.because


def test_a_long_note_tapers_before_a_rest_and_grows_towards_what_is_louder_or_higher() -> None:
    of = printed(part("C5:4", "r:4", "C5:4", "D5:2 E5:1 D5:1", "C5:4", "D5:4"), (0, "mp"), (20, "f"))
    shaping = found(of)
    assert shaping["1.1"].content.sign == "diminuendo"
    assert shaping["3.1"].content.sign == shaping["5.1"].content.sign == "crescendo"
    assert "E" not in shaping["3.1"].because and "towards the D" in shaping["3.1"].because
    assert "forte" in shaping["5.1"].because


def test_a_short_note_has_no_direction_of_its_own() -> None:
    assert not shapings(printed(part("C5:1 r:3", "C5:1 r:3"), (0, "mp")), second)


def test_a_loud_last_note_is_held() -> None:
    assert not shapings(printed(part("C5:4"), (0, "ff")), second)


def test_a_hairpin_without_an_end_gets_one_a_step_away_and_a_long_one_two() -> None:
    bars = [QUARTERS, "E5:1 D5:1 C5:1 D5:1", QUARTERS, QUARTERS, QUARTERS]
    short = printed(part(*bars), (0, "p"), (19, "ff"), hairpins=(("crescendo", 0, 4),))
    assert found(short)["2.1"].content == Dynamic("mp")
    long = printed(part(*bars), (0, "p"), (19, "ff"), hairpins=(("crescendo", 0, 8),))
    assert found(long)["3.1"].content == Dynamic("mf")
    down = printed(part(*bars), (0, "f"), (19, "f"), hairpins=(("diminuendo", 0, 4),))
    assert found(down)["2.1"].content == Dynamic("mf")


def test_a_hairpin_with_an_end_or_with_an_answer_needs_none() -> None:
    ended = printed(part(QUARTERS, QUARTERS), (0, "p"), (4, "f"), hairpins=(("crescendo", 0, 4),))
    near = printed(part(QUARTERS, QUARTERS), (0, "p"), (6, "f"), hairpins=(("crescendo", 0, 4),))
    swell = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "p"), hairpins=(("crescendo", 0, 4), ("diminuendo", 4, 8)))
    assert not any(shapings(of, second) for of in (ended, near, swell))


def test_a_crescendo_into_a_sudden_piano_has_its_own_end() -> None:
    of = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "mf"), (4, "p"), (8, "f"), hairpins=(("crescendo", 0, 4),))
    content = found(of)["1.1"].content
    assert (content.sign, content.to) == ("crescendo", "1.4")
    shaped = levels(of, as_marks(shapings(of, second)))
    assert shaped.until(F(4)) > LEVEL_DB["mf"] and shaped.at(F(4)) == LEVEL_DB["p"]


def test_a_crescendo_that_has_no_room_begins_softer() -> None:
    of = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "f"), (8, "f"), hairpins=(("crescendo", 4, 8),))
    assert found(of)["2.1"].content == Dynamic("mf")
    shaped = levels(of, as_marks(shapings(of, second)))
    assert shaped.at(F(4)) < shaped.at(F(6)) < shaped.at(F(8)) == LEVEL_DB["f"]


def test_nothing_is_suggested_where_somebody_decided() -> None:
    bodied = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "f"), (8, "mf"))
    leading = printed(part("C5:1 G4:1 A4:1 B4:1", "B5:4"), (0, "mf"), (4, "p"))
    assert "3.1" in found(bodied) and "3.1" not in found(bodied, own("3.1", "mf"))
    assert "1.2" in found(leading) and "1.2" not in found(leading, own("1.1", "diminuendo", "1.4"))


@settings(deadline=None)
@given(parts())
def test_shaping_is_sparing_and_never_against_the_page(of: Part) -> None:
    where = places(of)
    given = shapings(of, second)
    assert len({one.at for one in given}) == len(given)
    stretches = []
    for one in given:
        assert one.because.endswith(".") and one.because[0].isupper()
        start, end = where[one.at][0], where[one.content.to or one.at][1]
        assert start < end
        stretches.append((start, end))
        if one.content.level_db is not None:
            assert one.content.level_db <= 0
        against = {"crescendo": "diminuendo", "diminuendo": "crescendo"}.get(one.content.sign)
        for hairpin in of.hairpins:
            if hairpin.kind == against and hairpin.end_q > hairpin.start_q:
                assert hairpin.end_q <= start or end <= hairpin.start_q or _answered(of, hairpin, one)
    assert all(before[1] <= after[0] for before, after in pairwise(sorted(stretches)))


def _answered(of: Part, hairpin: Hairpin, one: Shaping) -> bool:
    """Whether a printed hairpin of the same direction lies there too: a page that contradicts itself."""
    return any(other.kind == one.content.sign and other.end_q > other.start_q for other in of.hairpins)


@settings(deadline=None)
@given(parts())
def test_outside_its_stretch_a_shaping_changes_nothing(of: Part) -> None:
    where = places(of)
    before, after = levels(of), levels(of, as_marks(shapings(of, second)))
    assert after.loudest_db == before.loudest_db
    touched = [_touched(of, one, where) for one in shapings(of, second)]
    for note in of.pitched():
        if not any(start < note.end_q and note.onset_q < end for start, end in touched):
            plain = before.of(note, note.onset_q, note.end_q)
            assert after.of(note, note.onset_q, note.end_q) == plain


def _touched(of: Part, one: Shaping, where: dict[str, tuple[Fraction, Fraction]]) -> tuple[Fraction, Fraction]:
    """What a shaping may change: its stretch and a hairpin that sets off from its end; what a crescendo leads to, since
    it arrives there and comes back, a dB a quarter of at most OCTAVE_LEAD_DB; a sign holds until the next printed
    dynamic, and is the goal of hairpins before it."""
    start, end = where[one.at][0], where[one.content.to or one.at][1]
    if one.content.sign in ("", *HAIRPINS):
        joined = [hairpin.end_q for hairpin in of.hairpins if hairpin.start_q == end]
        back_q = F(OCTAVE_LEAD_DB) if one.content.sign == "crescendo" else 0
        return start, max((end + back_q, *joined))
    leading = [hairpin.start_q for hairpin in of.hairpins if hairpin.start_q < start]
    later = [mark.onset_q for mark in of.dynamics if mark.onset_q > start and mark.mark in LEVEL_DB]
    return min((start, *leading)), min(later, default=F(10**6))


def test_a_note_that_is_only_noted_counts_as_printed() -> None:
    bars = part(QUARTERS, QUARTERS, QUARTERS)
    noted = replace(
        bars,
        measures=tuple(
            replace(m, notes=tuple(replace(n, dynamic="mf" if k == 2 else "f") for n in m.notes))
            for k, m in enumerate(bars.measures)
        ),
    )
    signed = replace(bars, dynamics=(DynamicMark(F(0), "f"), DynamicMark(F(8), "mf")))
    assert shapings(noted, second) == shapings(signed, second) != ()


def test_a_body_that_lasts_long_ends_with_a_measure() -> None:
    longest = [QUARTERS] * 2 + ["C5:3 D5:1", "E5:3 D5:3/2"] + [QUARTERS] * 3
    shaping = found(printed(part(*longest), (0, "f"), (8, "mf")))["3.1"]
    assert shaping.content.to == "3.2"


def test_a_long_hairpin_leads_no_further_than_the_part_gets() -> None:
    """Two measures would go two steps up; as printed the part gets no louder than one, fortissimo."""
    of = printed(part(QUARTERS, QUARTERS, QUARTERS), (0, "f"), hairpins=(("crescendo", 0, 8),))
    assert found(of)["3.1"].content == Dynamic("ff")


def test_a_leap_onto_a_passing_note_needs_no_lead() -> None:
    """It must last half as long as the note before it at least: here an eighth after a quarter is enough, and a
    sixteenth is not."""
    lead = "A4:1 B4:1 C5:1"
    assert "1.1" in found(printed(part(f"{lead} C6:1/2 G5:1/2"), (0, "mf")))
    assert "1.1" not in found(printed(part(f"{lead} C6:1/4 G5:3/4"), (0, "mf")))


def test_a_long_note_at_the_edge_of_hearing_stays_there() -> None:
    of = printed(part("C5:4", "D5:4", "E5:4"), (0, "n"), (8, "f"))
    assert found(of).keys().isdisjoint({"1.1", "2.1"})
