"""From the tone holes to the pitch, against the tables of the handbook (tests/instruments/handbook.py) and physics."""

import math
from graphlib import CycleError

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.instruments.chart import Chart
from coach.instruments.mechanism import Hole
from coach.instruments.sounding import HoleModel, Sound, in_order
from tests.instruments.clarinet import clarinet, midi, model, saxophone
from tests.instruments.handbook import FINGERINGS, HOLES, HoleRow, Row, controls

CLARINET = model(clarinet())
# Section A and H of the handbook: these do not follow from the hole table.
EXCEPTIONS = {
    ("D6", "throat3"), ("F#6", "long"), ("G6", "std"), ("G#6", "std"), ("A6", "std"), ("A#6", "std"), ("B6", "std"),
    ("C7", "std"), ("C7", "1-1"),
}  # fmt: skip
# Four of them are what rule S-8 gives instead: the seventh partial, 33 semitones over the base.
SEVENTH = ("G#6", "A6", "A#6", "B6")

STATES = st.frozensets(st.sampled_from([one.id for one in clarinet().controls]))


def sound(notation: str) -> Sound:
    return CLARINET.sound(controls(notation))


def _named(row: Row) -> str:
    """A row by its pitch and choice: a set inside it has another order in every process."""
    return f"{row.pitch}-{row.choice}"


@pytest.mark.parametrize("row", [row for row in FINGERINGS if (row.pitch, row.choice) not in EXCEPTIONS], ids=_named)
def test_every_fingering_sounds_as_charted(row: Row) -> None:
    heard = CLARINET.sound(row.controls)
    assert heard.nearest == midi(row.pitch)
    assert heard.clean
    assert abs(heard.cents) < 50  # the tolerance that the handbook states for its rules


def test_the_exceptions_are_those_of_the_handbook() -> None:
    wrong = {(r.pitch, r.choice) for r in FINGERINGS if CLARINET.sound(r.controls).nearest != midi(r.pitch)}
    assert wrong == EXCEPTIONS


@pytest.mark.parametrize("name", SEVENTH)
def test_the_seventh_partial_is_offered_instead(name: str) -> None:
    (row,) = (row for row in FINGERINGS if row.pitch == name)
    assert [one.midi for one in CLARINET.sound(row.controls).others if one.partial == 7] == [midi(name)]


@pytest.mark.parametrize("row", [row for row in HOLES if row.drop_next], ids=lambda row: row.id)
def test_the_drops_are_those_of_the_table(row: HoleRow) -> None:
    (ours,) = (hole for hole in clarinet().holes if hole.id == row.id)
    assert (ours.flatter_next, ours.flatter_all) == (row.drop_next, row.drop_all)
    assert ours.low == midi(row.low)


@given(STATES)
def test_linkages_open_the_holes_that_the_table_says(pressed: frozenset[str]) -> None:
    """The handbook lists for each hole the controls; ours moves some holes by way of others (the bridge, the A key's
    second cover, the lowest pads)."""
    table = tuple(row.id for row in HOLES if row.open != bool(row.moved_by & pressed))
    assert CLARINET.open_holes(pressed) == table


@pytest.mark.parametrize(
    ("notation", "base", "cents"),
    [
        ("- 1oo.ooo", "F#4", 38),  # thumb hole over a shut index hole: drop_next
        ("T 123.123 + L_FC R_AB", "G#3", 19),  # one shut of two below: drop_next
        ("T 123.123 + L_EB R_AB", "G#3", 24),  # both shut: drop_all
        ("T 12o.12o", "D4", 43),  # P_C, H_R1, H_R2 shut, three of six: 15 + (85 - 15) * 2 / 5
    ],
)
def test_shut_holes_below_flatten(notation: str, base: str, cents: float) -> None:
    """Rule S-3 of the handbook, worked by hand."""
    assert sound(notation).midi == pytest.approx(midi(base) - cents / 100)


@pytest.mark.parametrize(
    ("pressed", "told"),
    [
        # Section A, what combines, low register and a twelfth higher.
        ("L_EB R_FC", "E3"), ("L_EB R_EB", "E3"), ("R_FS L_FC", "F#3"), ("L_FS R_EB", "F#3"), ("L_FC R_AB", "G#3"),
        ("L_FS R_AB", "G#3"), ("L_EB R_AB", "G#3"),
    ],
)  # fmt: skip
def test_what_combines(pressed: str, told: str) -> None:
    assert sound(f"T 123.123 + {pressed}").nearest == midi(told)
    assert sound(f"TR 123.123 + {pressed}").nearest == midi(told) + 19


@pytest.mark.parametrize("right", ["1oo", "o2o", "oo3", "12o", "1o3", "o23", "123"])
def test_the_bridge_makes_d_sharp(right: str) -> None:
    """Section A: the left index with any of the right rings is D#4, a twelfth higher A#5."""
    assert sound(f"T 1oo.{right}").nearest == midi("D#4")
    assert sound(f"TR 1oo.{right}").nearest == midi("A#5")


def test_throat_combinations() -> None:
    """Section A: the A key lifts the G sharp cover; under a shut thumb both sink; the vent adds a semitone."""
    assert sound("- ooo.ooo + A GS").midi == sound("- ooo.ooo + A").midi == midi("A4")
    assert midi("G4") < sound("T ooo.ooo + GS").midi < midi("G#4") - 0.3
    for key in ("A", "GS"):
        assert sound(f"-R ooo.ooo + {key}").midi == sound(f"- ooo.ooo + {key}").midi + 1


def test_the_side_keys_over_open_g() -> None:
    """Hole table, notes on H_T3 and H_T4: about A4 and A#4 over open G, A#4 and B4 with the A key."""
    assert [sound(f"- ooo.ooo + {key}").nearest for key in ("SK3", "SK4")] == [midi("A4"), midi("A#4")]
    assert [sound(f"- ooo.ooo + A {key}").nearest for key in ("SK3", "SK4")] == [midi("A#4"), midi("B4")]


LOW = [row for row in FINGERINGS if row.register == "chalumeau" and "LT" in row.controls]


@pytest.mark.parametrize("row", LOW, ids=_named)
def test_the_register_key_adds_a_twelfth(row: Row) -> None:
    """A tube shut at one end has odd resonances only: 12 * log2(3) = 19.02 semitones to the next (textbook acoustics).
    What shut holes take away counts twice (rule S-5), so the interval may be narrower, never wider."""
    low = CLARINET.sound(row.controls)
    high = CLARINET.sound(row.controls | {"REG"})
    taken = midi(row.pitch) - low.midi
    assert high.midi - low.midi == pytest.approx(19 - taken)
    assert (low.partial, high.partial) == (1, 3)


@pytest.mark.parametrize(("chart", "shut_end"), [(clarinet(), True), (saxophone(), False)], ids=["tube", "cone"])
def test_clean_resonances_are_those_of_the_bore(chart: Chart, shut_end: bool) -> None:
    """A tube shut at one end sounds 1, 3, 5, 7 times its lowest, a cone 1, 2 times: 12 * log2(n) semitones. A vent may
    move a resonance by a good half semitone; no rule for a clean note is further off."""
    for rule in chart.rules:
        if rule.clean and rule.partial > 1:
            assert rule.partial % 2 == 1 or not shut_end
            assert abs(rule.raise_by - 12 * math.log2(rule.partial)) < 0.2


@pytest.mark.parametrize("chart", [clarinet(), saxophone()], ids=lambda chart: chart.name)
def test_holes_stand_in_the_order_of_the_bore(chart: Chart) -> None:
    lows = [hole.low for hole in chart.holes if hole.low is not None]
    assert lows == sorted(lows, reverse=True)
    assert lows[-1] == chart.lowest


KEYS_THAT_OPEN = {
    "REG",
    "A",
    "GS",
    "L_SLV",
    "L_CS",
    "L_FS",
    "L_AB",
    "R_SLV",
    "SK1",
    "SK2",
    "SK3",
    "SK4",
    "R_FS",
    "R_AB",
}


@given(STATES, st.sampled_from([one.id for one in clarinet().controls if one.id not in KEYS_THAT_OPEN]))
def test_shutting_a_hole_never_raises_the_low_register(pressed: frozenset[str], shutting: str) -> None:
    """The wave turns back at the first open hole: covering more can only lengthen its way."""
    low = pressed - {"REG", "SK3", "SK4"}
    assert CLARINET.sound(low | {shutting}).midi <= CLARINET.sound(low).midi + 1e-9


@settings(max_examples=300)
@given(STATES)
def test_any_state_sounds(pressed: frozenset[str]) -> None:
    heard = CLARINET.sound(pressed)
    assert midi("E3") - 1 < heard.midi < midi("C7") + 12
    assert heard.told
    assert HoleModel(clarinet()).sound(pressed) == heard


def test_states_that_are_no_note_say_so() -> None:
    """Section G: a leaking thumb gives a noise; a late index hole a pushed-up twelfth."""
    leak = sound("-R 123.123 + L_EB")
    assert not leak.clean and leak.told.startswith("about F4 (")
    assert not sound("TR o23.123 + L_EB").clean
    assert not sound("- 123.123").clean  # the thumb hole alone is open: dull, three semitones low (drop_all 338)


def test_a_strange_control_is_named() -> None:
    with pytest.raises(ValueError, match="Boehm clarinet has no key or hole X9"):
        CLARINET.sound(frozenset({"X9"}))


def test_holes_in_a_circle() -> None:
    holes = (Hole("a", "a", True, frozenset({"b"}), low=60), Hole("b", "b", True, frozenset({"a"}), low=59))
    with pytest.raises(CycleError):
        in_order(holes)


def test_the_saxophone_sounds_as_charted() -> None:
    chart = saxophone()
    assert {one.midi for one in chart.all_fingerings} == set(range(midi("Bb3"), midi("F6") + 1))
    for one in chart.all_fingerings:
        assert model(chart).sound(one.controls).midi == one.midi, one
