"""Every problem the demo piece is meant to hold, found in it by an independent reading.

"Trade" marks common practice among clarinettists, collected in the project's handbook.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise, product
from typing import Any

from music21 import dynamics, expressions

from tests.content.reading import (
    chained,
    level_at,
    note_in,
    onset,
    part,
    quarters_per_second,
    raw,
    sounding,
    under_one_slur,
)

LOWEST, HIGHEST = 52, 91  # written E3 and G6 (trade: the range of most pieces)
SHORTEST_SWAP_S = 0.25

# Litres per second by dynamic: the default table of the project's handbook (own choice there, not measured).
FLOW_LPS = {"pp": 0.10, "p": 0.13, "mp": 0.16, "mf": 0.20, "f": 0.25, "ff": 0.30}
# The widest share of the vital capacity that players were seen to use (Fuks and Sundberg 1999: from 87 down to 14 %)
# of 5.614 litres, the predicted capacity of a man of 30 years and 180 cm (GLI-2012, Quanjer et al. 2012).
LUNGS_L = 0.73 * 5.614

# Which key of which little finger plays a note on the 17-key instrument, by written MIDI number. Trade, from memory in
# the handbook: E3/B4, F3/C5 and F#3/C#5 have a key for either hand, G#3/D#5 for the right alone, C#4/G#5 for the left
# alone; D6 to E6 take the right A-flat/E-flat key. A second key held down beside the playing one changes nothing here:
# the playing finger itself must still come from another key.
KEYS: dict[int, dict[str, str]] = {
    **{midi: {"L": "E/B", "R": "E/B"} for midi in (52, 71)},
    **{midi: {"L": "F/C", "R": "F/C"} for midi in (53, 72)},
    **{midi: {"L": "F#/C#", "R": "F#/C#"} for midi in (54, 73)},
    **{midi: {"R": "Ab/Eb"} for midi in (56, 75, 86, 87, 88)},
    **{midi: {"L": "C#/G#"} for midi in (61, 80)},
}


def slides(first: int, hand: str, second: int, next_hand: str) -> bool:
    """Whether one little finger would have to go from key to key between two notes."""
    return hand == next_hand and KEYS[first][hand] != KEYS[second][next_hand]


def clean_hands(run: Sequence[int], swapped: int | None = None) -> Iterator[tuple[str, ...]]:
    """The hands in which neighbouring notes end, for every way to play them without a slide.

    The note at index `swapped` begins with the other hand than it ends with.
    """
    for ends in product(*(KEYS[midi] for midi in run)):
        begins = list(ends)
        if swapped is not None:
            begins[swapped] = "L" if ends[swapped] == "R" else "R"
        possible = all(hand in KEYS[midi] for midi, hand in zip(run, begins, strict=True))
        if possible and not any(slides(run[k], ends[k], run[k + 1], begins[k + 1]) for k in range(len(run) - 1)):
            yield ends


def little_finger_runs() -> list[list[tuple[Any, Fraction]]]:
    runs: list[list[tuple[Any, Fraction]]] = [[]]
    for item, length in chained():
        if item.isRest or item.pitch.midi not in KEYS:
            runs.append([])
        else:
            runs[-1].append((item, length))
    return [run for run in runs if len(run) > 1]


def test_little_fingers_must_alternate_in_both_registers() -> None:
    pairs = {(a[0].pitch.midi, b[0].pitch.midi) for run in little_finger_runs() for a, b in pairwise(run)}
    neighbours = {frozenset(pair) for pair in pairs if pair[0] != pair[1]}
    clarion = {frozenset(pair) for pair in [(75, 73), (73, 72), (73, 71)]}  # Eb5-Db5, Db5-C5, Db5-Cb5
    chalumeau = {frozenset(pair) for pair in [(54, 56), (56, 53), (53, 61)]}  # Gb3-Ab3, Ab3-F3, F3-Db4
    assert clarion | chalumeau <= neighbours
    assert len(little_finger_runs()) >= 10


def test_exactly_one_note_forces_a_silent_swap() -> None:
    stuck = []
    for run in little_finger_runs():
        numbers = [item.pitch.midi for item, _ in run]
        if next(clean_hands(numbers), None) is None:
            cures = [k for k in range(len(run)) if next(clean_hands(numbers, swapped=k), None) is not None]
            stuck.append([(run[k][0].measureNumber, run[k][0].nameWithOctave, run[k][1]) for k in cures])
    assert stuck == [[(12, "F3", Fraction(3))]]
    # Trade (the handbook's working limit): a swap wants a quarter of a second at the least.
    assert 3 / quarters_per_second() > SHORTEST_SWAP_S
    before, held, after = note_in(11, 5), note_in(12, 1), note_in(12, 2)
    assert [n.nameWithOctave for n in (before, held, after)] == ["A-3", "F3", "D-4"]
    assert under_one_slur(before, after)


def grace_groups() -> list[tuple[int, Any, list[Any]]]:
    """(measure, the note before, the graces) for every group."""
    groups: list[tuple[int, Any, list[Any]]] = []
    before, graces = None, []
    for item in sounding():
        if item.duration.isGrace:
            graces.append(item)
            continue
        if graces:
            assert before is not None
            groups.append((before.measureNumber, before, graces))
            graces = []
        before = item
    return groups


def test_groups_of_two_and_three_graces_follow_long_notes() -> None:
    found = [(measure, len(graces)) for measure, _, graces in grace_groups()]
    assert found == [(8, 2), (20, 3), (23, 2), (25, 2)]
    assert all(Fraction(before.quarterLength) >= 3 for _, before, _ in grace_groups())
    assert all(g.get("slash") != "yes" for g in raw().iter("grace"))


def test_the_trill_lasts_four_beats_with_a_flat_a_termination_and_an_acceleration() -> None:
    trilled = [n for n in part().recurse().notes if any(isinstance(e, expressions.Trill) for e in n.expressions)]
    assert len(trilled) == 1
    note = trilled[0]
    metre = note.getContextByClass("TimeSignature")
    assert metre.beatCount == 4 and note.quarterLength == metre.barDuration.quarterLength
    trill = next(e for e in note.expressions if isinstance(e, expressions.Trill))
    assert trill.accidental is not None
    assert (note.nameWithOctave, trill.accidental.name) == ("E-5", "flat")
    assert "F" not in {p.step for p in note.getContextByClass("KeySignature").alteredPitches}  # so the flat is news
    termination = next(graces for _, before, graces in grace_groups() if before is note)
    assert [g.nameWithOctave for g in termination] == ["D-5", "E-5"]
    assert all(g.measureNumber == note.measureNumber for g in termination)
    marks = list(raw().iter("trill-mark"))  # music21 drops these attributes
    assert [mark.get("accelerate") for mark in marks] == ["yes"]
    assert [mark.get("trill-step") for mark in marks] == ["half"]  # E flat to F flat


def air_l(first: int, last: int) -> float:
    """Litres for the music from a measure to another (18: its first note only), by the marks alone."""
    stop = onset(note_in(18, 2))
    notes = [n for n in sounding() if first <= n.measureNumber <= last and onset(n) < stop]
    assert not any(n.isRest for n in notes)
    return sum(FLOW_LPS[level_at(onset(n))] * float(Fraction(n.quarterLength) / quarters_per_second()) for n in notes)


def test_one_must_breathe_early_to_keep_the_forte_to_the_end() -> None:
    notes = [n for n in sounding() if 11 <= n.measureNumber <= 18 and not n.isRest]
    joints = {a.measureNumber for a, b in pairwise(notes) if not under_one_slur(a, b) and a.tie is None}
    assert joints == {13, 14, 17}  # a breath fits at the ends of these measures and nowhere else
    assert level_at(onset(note_in(18, 1))) == "ff"
    assert air_l(11, 14) < LUNGS_L / 2  # at the end of 14 more than half is left ...
    assert air_l(11, 17) > LUNGS_L  # ... but the next place comes too late
    assert air_l(15, 18) < LUNGS_L


def test_phrases_are_longer_than_a_breath() -> None:
    assert air_l(9, 18) > 1.2 * LUNGS_L


def test_octaves_leap_from_loud_to_soft() -> None:
    order = list(FLOW_LPS)
    found = []
    for (a, _), (b, _) in pairwise(chained()):
        if a.isRest or b.isRest or abs(a.pitch.midi - b.pitch.midi) != 12:
            continue
        loud, soft = level_at(onset(a)), level_at(onset(b))
        if order.index(loud) - order.index(soft) >= 2 and under_one_slur(a, b):
            found.append((a.measureNumber, loud, soft))
    assert found == [(18, "ff", "p"), (19, "mf", "pp")]


def test_spelling_holds_double_flats_and_white_key_flats() -> None:
    names = {n.name for n in part().recurse().notes}
    assert {"B--", "C-", "F-"} <= names


def test_range_break_and_a_prepared_altissimo() -> None:
    notes = [item for item, _ in chained() if item.isNote]
    assert LOWEST <= min(n.pitch.midi for n in notes) and max(n.pitch.midi for n in notes) <= HIGHEST
    # Trade: the break lies between written B-flat 4 and B4; altissimo begins above C6.
    over = [(a, b) for a, b in pairwise(notes) if (a.pitch.midi <= 70) != (b.pitch.midi <= 70)]
    assert len([pair for pair in over if under_one_slur(*pair)]) >= 10
    high = [(a, b) for a, b in pairwise(notes) if b.pitch.midi > 84]
    assert {b.nameWithOctave for _, b in high} == {"D-6", "D6", "E-6"}
    assert all(abs(a.pitch.midi - b.pitch.midi) <= 2 for a, b in high)


def test_dynamics_run_from_pp_to_ff() -> None:
    marks = [d.value for d in part().recurse().getElementsByClass(dynamics.Dynamic)]
    assert set(marks) == set(FLOW_LPS)
    assert marks.count("ff") == 1 and marks[-1] == "pp"
    wedges = [w.get("type") for w in raw().iter("wedge")]
    assert wedges[1::2] == ["stop"] * (len(wedges) // 2)
    assert set(wedges[::2]) == {"crescendo", "diminuendo"}
    loudest = next(d for d in part().recurse().getElementsByClass(dynamics.Dynamic) if d.value == "ff")
    top = max((n for n, _ in chained() if n.isNote), key=lambda n: n.pitch.midi)
    assert onset(loudest) == onset(top)  # the climax is the highest note


def test_articulations_and_fermatas() -> None:
    kinds = {type(a).__name__ for n in part().recurse().notes for a in n.articulations}
    assert {"Tenuto", "Staccato", "Accent"} <= kinds
    holds = [n for n in part().recurse().notes if any(isinstance(e, expressions.Fermata) for e in n.expressions)]
    assert [n.measureNumber for n in holds] == [19, 30]
