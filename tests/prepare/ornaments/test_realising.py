"""All ornaments of a part. What is exact is tested by arithmetic on random parts (hypothesis) and on every score of the
music21 corpus with graces, turns, mordents or trills; pitches against music21's own realisations of the same signs.

Against `music21.expressions` (10.5, general purpose):

- Turn and inverted turn: the pitches agree. On a quarter at a moderate tempo the values agree too (four sixteenths). On
  a half music21 writes three sixteenths whatever the tempo; ours is a triplet of them in an eighth at 60, because the
  seconds of the note choose the value.
- Delayed turn: the pitches agree. music21 gives the four notes half of the note, however long it is; ours take what is
  quick, so that the main note is heard first, and on a dotted note the last of them is the dot (the treatises).
- Mordent and inverted mordent: pitches and values agree (two thirty-seconds, then the note).
- Graces have no time in music21, so that there is nothing to compare.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import expressions, key, note
from music21.common.enums import OrnamentDelay

from coach.files.score import read_score
from coach.music.note import Ornament
from coach.music.part import Part
from coach.prepare.ornaments.realising import realisations
from coach.sound.tempo_map import tempo_map
from tests.prepare.ornaments.pages import F, check_tiling, first, page, tied, ways

# Every score of music21's corpus in MusicXML with a grace, a turn, a mordent or a trill (counted in the files).
SCORES = (
    "bach/bwv29.8",
    "bach/bwv299",
    "bach/bwv315",
    "beethoven/opus18no1/movement1",
    "beethoven/opus18no1/movement2",
    "beethoven/opus18no1/movement3",
    "beethoven/opus18no1/movement4",
    "beethoven/opus59no1/movement1",
    "beethoven/opus59no1/movement2",
    "beethoven/opus59no2/movement2",
    "beethoven/opus59no2/movement4",
    "beethoven/opus59no3/movement1",
    "haydn/opus1no1/movement1",
    "haydn/opus1no1/movement2",
    "haydn/opus1no1/movement3",
    "haydn/opus1no1/movement4",
    "haydn/opus1no1/movement5",
    "haydn/opus74no1/movement1",
    "haydn/opus74no1/movement2",
    "haydn/opus74no1/movement3",
    "haydn/opus74no1/movement4",
    "mozart/k155/movement1",
    "mozart/k155/movement2",
    "mozart/k156/movement1",
    "mozart/k156/movement2",
    "mozart/k156/movement3",
    "mozart/k458/movement1",
    "mozart/k458/movement2",
    "mozart/k458/movement3",
    "mozart/k458/movement4",
    "mozart/k80/movement1",
    "mozart/k80/movement2",
    "mozart/k80/movement3",
    "mozart/k80/movement4",
    "schubert/Lindenbaum",
    "schumann_clara/opus17/movement3",
    "schumann_clara/polonaise_op1n2",
    "schumann_clara/polonaise_op1n3",
    "schumann_clara/polonaise_op1n4",
    "schumann_robert/opus41no1/movement1",
    "schumann_robert/opus41no1/movement3",
    "schumann_robert/opus41no1/movement5",
)
KINDS = (
    "turn",
    "inverted-turn",
    "delayed-turn",
    "delayed-inverted-turn",
    "vertical-turn",
    "mordent",
    "inverted-mordent",
    "schleifer",
    "haydn",
    "tremolo",
    "trill-mark",
)


@st.composite
def pages(draw: st.DrawFn) -> Part:
    """Parts of any lengths, with graces, ties, rests and every ornament anywhere."""
    lengths = ("4", "3", "2", "3/2", "1", "3/4", "1/2", "1/3", "1/4", "1/6", "1/8", "1/32", "2~", "1~", "1/3~")
    measures = []
    for _ in range(draw(st.integers(1, 3))):
        texts = []
        for _ in range(draw(st.integers(1, 5))):
            graces = draw(st.lists(st.sampled_from(("D5", "F#5", "Bb4", "C5")), max_size=9))
            name = draw(st.sampled_from(("C5", "C5", "D5", "F#5", "Ab4", "r")))
            length = draw(st.sampled_from(lengths))
            texts += [f"{one}:g" for one in graces] if name != "r" else []
            texts.append(f"{name}:{length.rstrip('~') if name == 'r' else length}")
        measures.append(" ".join(texts))
    plain = page(*measures)
    ids = [one.id for one in plain.pitched()]
    signs = draw(st.dictionaries(st.sampled_from(ids), st.sampled_from(KINDS))) if ids else {}
    return page(
        *measures,
        ornaments={at: Ornament(kind) for at, kind in signs.items()},
        slash=draw(st.booleans()),
        key=draw(st.integers(-7, 7)),
        metre=draw(st.sampled_from(((4, 4), (6, 8), (2, 2)))),
    )


@given(pages(), st.sampled_from(("lyrical", "treatise")), st.floats(0.15, 3))
def test_lengths_add_up_whatever_is_printed(of: Part, style: str, quarter_s: float) -> None:
    check_tiling(of, ways(of, style, quarter_s))


@given(pages(), st.sampled_from(("lyrical", "treatise")), st.floats(0.15, 3))
def test_the_note_before_keeps_half_or_as_much_as_each_grace(of: Part, style: str, quarter_s: float) -> None:
    """Half, but where fingers could not do the graces then (16.5 notes a second, facts 2.1), an even share."""
    starts = {measure.id: measure.onset_q for measure in of.measures}
    heads = {one.id: one for one in of.pitched()}
    for at, choices in ways(of, style, quarter_s).items():
        for way in choices:
            kept, head = way.content.notes[0], heads[at]
            if kept.onset_q + starts[head.measure] < head.onset_q and kept.onset_q + starts[head.measure] in [
                one.onset_q for one in of.pitched()
            ]:
                lasted = head.onset_q - (starts[head.measure] + kept.onset_q)
                hurried = float(lasted) / 2 / len(head.graces) * quarter_s < 1 / 16.5
                assert kept.length_q * 2 >= lasted or (hurried and kept.length_q * (len(head.graces) + 1) == lasted)


def _check(source: str) -> tuple[int, int]:
    """Realise the parts of a score in both styles at its own tempo; how many notes with an ornament there are in the
    part that is practised, and in all."""
    piece = read_score(source)
    printed = next((mark.tempo for mark in piece.tempos if mark.tempo is not None), None)
    speeds = tempo_map(piece.tempos, printed, F(0)) if printed is not None else None

    def pace(at_q: Fraction) -> float:
        return 60 / float(speeds.speed(at_q)) if speeds else 0.6

    counts = []
    for part in (piece.part, *piece.others):
        for style in ("lyrical", "treatise"):
            found = realisations(part, style=style, pace=pace, fastest=lambda low, high: 12.0)
            check_tiling(part, found)
            _check_all_there(part, found)
        counts.append(len(found))
    return counts[0], sum(counts)


def _check_all_there(part: Part, found: object) -> None:
    """Every grace sounds in the mark of its note, or closes the trill before it."""
    assert isinstance(found, dict)
    notes = list(part.notes())
    for k, one in enumerate(notes):
        if not one.graces or one.unpitched or (k and tied(notes[k - 1], one)):
            continue
        if one.id in found:
            continue
        signs = {sign.kind for before in notes[max(k - 8, 0) : k] for sign in before.ornaments}
        assert {"trill-mark", "wavy-line"} & signs, one.id


def test_the_whole_weber_part() -> None:
    """Counted in the file: 7 trills, 2 turns, 13 single graces and 2 groups of three (the other 12 graces close
    trills), so that 7 + 2 + 13 + 2 notes have an ornament."""
    assert _check("corpus:weber/concertino_clarinet")[0] == 24


def test_the_demo_piece() -> None:
    assert _check("content/pieces/demo.musicxml")[0] == 4


@pytest.mark.slow
@pytest.mark.timeout(600)
@pytest.mark.parametrize("name", SCORES)
def test_scores_of_the_corpus(name: str) -> None:
    assert _check(f"corpus:{name}")[1] > 0


def _by_music21(sign: expressions.Ornament, name: str, length: float, fifths: int) -> list[str]:
    """The pitches that music21 plays for a sign, in our names."""
    one = note.Note(name.replace("b", "-"), quarterLength=length)
    before, main, after = sign.realize(one, keySig=key.KeySignature(fifths))
    played = [*before, *([main] if main is not None else []), *after]
    return [each.pitch.nameWithOctave.replace("-", "b") for each in played if isinstance(each, note.Note)]


SIGNS = {
    "turn": expressions.Turn,
    "inverted-turn": expressions.InvertedTurn,
    "mordent": expressions.Mordent,
    "inverted-mordent": expressions.InvertedMordent,
}


@pytest.mark.parametrize("kind", SIGNS)
@pytest.mark.parametrize(("name", "fifths"), [("C5", 0), ("G4", -3), ("E5", 4), ("B4", 2), ("Db5", -5), ("F#5", 1)])
@pytest.mark.parametrize("length", [1, 2])
def test_pitches_agree_with_music21(kind: str, name: str, fifths: int, length: int) -> None:
    ours = first(page(f"{name}:{length}", key=fifths, ornaments={"1.1": Ornament(kind)}), "1.1")
    assert [word.split(":")[0] for word in ours.split()] == _by_music21(SIGNS[kind](), name, length, fifths)


@pytest.mark.parametrize("length", ["1", "3/2", "2"])
def test_a_delayed_turn_agrees_with_music21(length: str) -> None:
    sign = expressions.Turn(delay=OrnamentDelay.DEFAULT_DELAY)
    ours = first(page(f"C5:{length} E5:1", ornaments={"1.1": Ornament("delayed-turn")}), "1.1")
    assert [word.split(":")[0] for word in ours.split()] == _by_music21(sign, "C5", float(Fraction(length)), 0)


def test_values_that_agree_with_music21() -> None:
    """A turn on a quarter, at 80: four sixteenths; a mordent: two thirty-seconds and the rest."""
    turn, mordent = Ornament("turn"), Ornament("mordent")
    assert first(page("C5:1", ornaments={"1.1": turn}), "1.1", quarter_s=0.75) == "D5:1/4 C5:1/4 B4:1/4 C5:1/4"
    before, main, _ = expressions.Mordent().realize(note.Note("C5", quarterLength=1))
    assert main is not None
    lengths = [Fraction(one.quarterLength) for one in (*before, main)]
    ours = ways(page("C5:1", ornaments={"1.1": mordent}))["1.1"][0].content.notes
    assert [one.length_q for one in ours] == lengths


def test_signs_nobody_knows_are_left_as_printed() -> None:
    assert ways(page("C5:4", ornaments={"1.1": Ornament("other-ornament", text="?")})) == {}
    assert ways(page("C5:4", ornaments={"1.1": Ornament("tremolo")})) == {}
    assert ways(page("r:4", ornaments={"1.r1": Ornament("turn")})) == {}


def test_a_neighbour_that_no_staff_holds_leaves_the_note_plain() -> None:
    """Octaves go from 0 to 9 in MusicXML."""
    assert ways(page("B9:4", ornaments={"1.1": Ornament("turn")})) == {}


def test_an_empty_part() -> None:
    assert ways(page()) == {}
