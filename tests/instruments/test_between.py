"""What sounds between two fingerings.

Source of the examples: the clarinet handbook, section G (pitches of a fitted bore model, cents in brackets there); its
rules are said to come within 50 cents, so that is the tolerance here.
"""

from itertools import permutations, product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from coach.instruments.between import MOST_ORDERED, Between, Change, change, moves
from coach.instruments.fingering import Fingering
from tests.instruments.clarinet import clarinet, fingering, midi, model, saxophone
from tests.instruments.handbook import controls

CLARINET = model(clarinet())
TOLERANCE = 0.5


def changing(old: str, new: str) -> Change:
    return change(CLARINET, fingering(old), fingering(new))


def state(of: Change, notation: str) -> Between:
    """The state of the change in which exactly this is pressed."""
    (found,) = (one for one in of.states if one.controls == controls(notation))
    return found


# old, new, what is pressed for a moment, what sounds (semitones over the named pitch in brackets there)
EXAMPLES = [
    ("C5 R", "C#5 L", "TR 123.123", "D5", 0),
    ("B4 L", "C5 R", "TR 123.123", "D5", 0),
    ("C5 L", "D#5 R", "TR 123.123", "D5", 0),
    ("D#5 R", "C5 R", "TR 123.123", "D5", 0),
    ("F5 std", "F#5 std", "TR 123.ooo", "G5", 0),
    ("F5 std", "F#5 std", "TR 123.12o", "E5", 0),
    ("F4 std", "F#4 L1", "- ooo.ooo", "G4", 0),
    ("F4 std", "F#4 L1", "T 1oo.ooo", "E4", 0),
    ("A5 std", "A#5 1-1", "TR 1oo.ooo", "B5", 0),
    ("A5 std", "A#5 1-1", "TR 12o.1oo", "G#5", 0.16),
    ("A4 std", "B4 L", "- ooo.ooo", "G4", 0),
    ("A4 std", "B4 L", "T 123.123 + L_EB", "E3", 0),
    ("A4 std", "B4 L", "TR o23.123 + L_EB", "C5", 0.17),
    ("A4 std", "B4 L", "-R 123.123 + L_EB", "F4", 0),
    ("A4 std", "B4 L", "TR 123.12o + L_EB", "D#5", 0.40),
    ("C6 std", "C#6 std", "TR o23.ooo", "E6", 0.40),
    ("C6 std", "C#6 std", "TR ooo.12o", "B5", 0.30),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "pressed", "told", "over"), EXAMPLES)
def test_what_sounds_in_the_wrong_order(old: str, new: str, pressed: str, told: str, over: float) -> None:
    of = changing(old, new)
    heard = CLARINET.sound(controls(pressed))
    assert heard.midi == pytest.approx(midi(told) + over, abs=TOLERANCE)
    if len(of.moves) <= MOST_ORDERED:
        assert state(of, pressed).foreign, "a third note"


@pytest.mark.parametrize(
    ("old", "new", "pressed", "told", "over"),
    [
        ("C5 R", "C#5 L", "TR 123.123 + L_FS R_FC", "C#5", 0),
        ("B4 L", "C#5 R", "TR 123.123 + L_EB R_FS", "C#5", -0.15),
        ("C5 L", "D#5 R", "TR 123.123 + L_FC R_AB", "D#5", -0.25),
    ],
)
def test_placing_first_is_harmless(old: str, new: str, pressed: str, told: str, over: float) -> None:
    of = changing(old, new)
    assert of.overlap is not None and of.overlap.controls == controls(pressed)
    assert of.overlap.sound.midi == pytest.approx(midi(told) + over, abs=TOLERANCE)
    assert not of.overlap.foreign
    assert of.gap is not None and of.gap.foreign


@pytest.mark.parametrize(
    ("old", "new"), [("B4 L+rc", "C5 R"), ("F5 std", "F#5 fork"), ("C5 R", "B4 L+rc"), ("A#3 std", "B3 fork")]
)
def test_one_finger_makes_nothing_foreign(old: str, new: str) -> None:
    of = changing(old, new)
    assert len(of.moves) == 1
    assert of.states == () and of.gap is None and of.overlap is None and of.worst is None


def test_the_side_keys_to_f_sharp() -> None:
    """Section G: F4 to side F#4, one finger, nothing foreign; the second key alone gives the new note already."""
    of = changing("F4 std", "F#4 side")
    assert [move.finger for move in of.moves] == ["R1"]
    assert [one.sound.nearest for one in of.states if one.foreign] == []


def test_right_hand_under_e() -> None:
    """Section G: E4 with the right hand down is D#4."""
    assert CLARINET.sound(controls("T 1oo.123")).nearest == midi("D#4")


def test_what_may_sound_instead() -> None:
    """Section G: a squeak near D6 or G6 with the index late, B4 sharp with the thumb leaking, about A#5 with a slack
    embouchure on the way to C#6."""
    on_the_key, late = changing("A4 std", "B4 L").late("L1")
    assert "A" in on_the_key.controls and late.controls == controls("TR o23.123 + L_EB")
    assert [one.nearest for one in late.sound.others][:2] == [midi("D6"), midi("G6")]
    assert [one.nearest for one in CLARINET.sound(controls("-R 123.123 + L_EB")).others] == [midi("B4")]
    early = state(changing("C6 std", "C#6 std"), "TR o23.ooo")
    assert midi("A#5") in [one.nearest for one in early.sound.others]


def test_the_old_register_may_hold_on() -> None:
    """Rule S-9: without the register key the low note, or for a moment the twelfth over it."""
    of = changing("B4 L", "A4 std")
    growl = next(one for one in of.states if one.controls == controls("T 123.123 + L_EB"))
    assert growl.sound.nearest == midi("E3")
    assert midi("B4") in [one.nearest for one in growl.sound.others]


def test_high_notes_are_voiced_alike() -> None:
    """Handbook: A#6 and B6 are seventh partials (33 over the base, rule S-8), which the mouth holds: so are the states
    between them."""
    of = changing("A#6 std", "B6 std")
    assert {move.finger for move in of.moves} == {"L3", "L4"}
    heard = {one.sound.nearest for one in of.states}
    assert heard == {midi("A6"), midi("B6")}  # over C4 (the key goes first) and over D4 (the ring finger does)
    assert {one.sound.partial for one in of.states} == {7}
    assert not any(one.register_jump for one in of.states)


def test_a_slide_passes_neither_key() -> None:
    of = changing("D#5 R", "C5 R")
    assert [(move.finger, move.kind) for move in of.moves] == [("R4", "slide")]
    assert [one.controls for one in of.states] == [controls("TR 123.123")]
    assert of.worst is not None and of.worst.sound.nearest == midi("D5")


def test_a_roll_is_no_slide() -> None:
    """The handbook: the index rolls between its hole and the throat keys, the thumb on to the register key."""
    assert [(m.finger, m.kind) for m in changing("E4 std", "A4 std").moves] == [("LT", "lift"), ("L1", "roll")]
    assert [(m.finger, m.kind) for m in changing("F4 std", "A#4 std").moves] == [("LT", "roll"), ("L1", "press")]


@pytest.mark.parametrize("name", ["E3", "F3", "F#3", "B4", "C5", "C#5"])
def test_a_swap_on_a_held_note_is_silent(name: str) -> None:
    """The rule of the trade: add the other hand, then let the first go; and the wrong order is not silent."""
    for old, new in (("L", "R"), ("R", "L")):
        of = changing(f"{name} {old}", f"{name} {new}")
        assert of.overlap is not None and not of.overlap.foreign
        assert of.gap is not None and of.gap.foreign


def test_the_break_is_the_worst() -> None:
    """Crossing from the throat with the right hand placed ahead moves fewer fingers and passes fewer third notes."""
    plain, ready = changing("A4 std", "B4 L+rc"), changing("A4 rhdown+rc", "B4 L+rc")
    assert len(ready.moves) < len(plain.moves)
    assert len([one for one in ready.states if one.foreign]) < len([one for one in plain.states if one.foreign])


def test_late_and_early() -> None:
    of = changing("A4 std", "B4 L")
    (late,) = of.late("R3")
    assert late.late == {"R3"} and late.sound.nearest in (midi("D#5"), midi("E5"))
    (early,) = of.early("R3")
    assert early.early == {"R3"} and early.controls == {"A", "R3"}
    assert of.late("R4") == () == of.early("R4"), "R4 does not move"
    assert changing("D5 std", "C5 R").late("R4") == (), "one finger: nothing lies between"


PAIRS = st.tuples(st.sampled_from(clarinet().all_fingerings), st.sampled_from(clarinet().all_fingerings))


@settings(max_examples=150, deadline=None)
@given(PAIRS)
def test_states_are_those_of_all_orders(pair: tuple[Fingering, Fingering]) -> None:
    """Against a walk of our own through every order of the fingers, one finger at a time."""
    of = change(CLARINET, *pair)
    assume(len(of.moves) <= 5)
    old, new = pair[0].controls, pair[1].controls
    steps = {m.finger: [m.off, *m.via, m.on] for m in moves(clarinet(), old, new)}
    walked = set()
    for order in permutations(steps):
        held = {finger: steps[finger][0] for finger in steps}
        for finger in order:
            for holding in steps[finger][1:]:
                held[finger] = holding
                walked.add((old & new).union(*held.values()))
    along = {one.controls for order in of.orders() for one in of.along(order)}
    assert along == walked - {old, new}
    assert along <= {one.controls for one in of.states}
    assert len(list(of.orders())) == len(list(permutations(steps)))
    rows = product(*steps.values())
    assert {one.controls for one in of.states} == {(old & new).union(*row) for row in rows} - {old, new}


@settings(max_examples=150, deadline=None)
@given(PAIRS)
def test_every_state_between_can_be_held(pair: tuple[Fingering, Fingering]) -> None:
    """The handbook: discard any set in which one finger would serve two controls."""
    of = change(CLARINET, *pair)
    for one in (*of.states, of.gap, of.overlap):
        if one is not None:
            assert clarinet().held_together(one.controls)
            assert one.controls not in (pair[0].controls, pair[1].controls)
            assert not one.early & one.late
            assert one.foreign == (one.semitones > 0)


@settings(max_examples=100, deadline=None)
@given(PAIRS)
def test_forth_and_back_pass_the_same_states(pair: tuple[Fingering, Fingering]) -> None:
    forth, back = change(CLARINET, *pair), change(CLARINET, pair[1], pair[0])
    assume(len(forth.moves) <= MOST_ORDERED)
    assert {one.controls for one in forth.states} == {one.controls for one in back.states}
    kinds = {"lift": "press", "press": "lift"}
    assert [(m.finger, m.kind) for m in back.moves] == [(m.finger, kinds.get(m.kind, m.kind)) for m in forth.moves]


def test_many_fingers_keep_to_the_extremes() -> None:
    of = changing("G4 std", "B4 L")
    assert len(of.moves) == 8
    orders = list(of.orders())
    assert len(orders) <= 4 * 8 and {order[-1] for order in orders} == {order[0] for order in orders}
    controls_passed = {one.controls for one in of.states}
    assert all(one.controls in controls_passed for move in of.moves for one in of.late(move.finger))


def test_the_left_table_of_the_saxophone_slides() -> None:
    """One finger, four keys: low B to low C sharp must slide; G sharp can be taken with the C sharp key."""
    chart = saxophone()
    of = change(model(chart), fingering("B3 std", chart), fingering("C#4 std", chart))
    assert [move.finger for move in of.slides] == ["L4"]
    assert of.worst is not None and of.worst.sound.nearest == midi("C4")
    kept = change(model(chart), fingering("G#4 cs", chart), fingering("C#4 std", chart))
    assert kept.slides == ()
