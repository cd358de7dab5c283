"""The trills of real scores: rates that fingers can do, and the upper note and the notes against music21's own.

Against `music21.expressions.Trill` (10.5, general purpose), which knows no style and no tempo:

- It begins on the main note, as our lyrical trills do; the treatise ones begin on the upper note (C. P. E. Bach 1753).
- The upper note agrees wherever it is that of the key or of an accidental at the trill. Where the note above was
  altered earlier in the measure music21 still takes the key's; an accidental holds to the end of its measure (common
  practice).
- It always plays 32nds. Ours are 32nds too where these are 7 to 10 a second (a quarter of about a second), else what
  is.
- It ends on the upper note, an even number always. Ours end on the main note, so that the trill does not break off on
  the wrong one; with a close, the main note goes before it.
- Its `nachschlag` is the main note and the lower one, which leaves the lower note hanging. Ours is the lower one and
  the main note, then the next note (common practice).
- The whole length is the same.
"""

from fractions import Fraction

import pytest
from music21 import converter, expressions, key, note, stream

from coach.files.score import read_score
from coach.files.source import locate
from coach.instruments.trill_speed import LIMIT, fastest_trill
from coach.music.part import Part
from coach.music.piece import Piece
from coach.prepare.ornaments.figure import Figure, figures
from coach.prepare.ornaments.graces import closing, is_trilled
from coach.prepare.ornaments.neighbour import marked
from coach.prepare.ornaments.printed_trill import printed_trill
from coach.prepare.ornaments.realisation import STYLES, Pace
from coach.prepare.ornaments.shake import sounds
from coach.prepare.ornaments.trills import trill_ways
from coach.sound.tempo_map import tempo_map
from tests.instruments.clarinet import clarinet
from tests.prepare.ornaments.test_realising import SCORES
from tests.prepare.ornaments.trilled import trilled_part, ways, written

WEBER = "weber/concertino_clarinet"


def pace_of(piece: Piece) -> Pace:
    """The seconds of a quarter at the tempo that is printed, 0.6 where none is."""
    printed = next((mark.tempo for mark in piece.tempos if mark.tempo is not None), None)
    speeds = tempo_map(piece.tempos, printed, Fraction(0)) if printed is not None else None
    return lambda at_q: 60 / float(speeds.speed(at_q)) if speeds else 0.6


def trilled(part: Part, pace: Pace) -> list[Figure]:
    """The trilled notes of a part."""
    return [one for one in figures(part, pace) if is_trilled(one.chain)]


def check(figure: Figure, pace: Pace) -> None:
    """All ways to play a trill: on time to its end, and no note faster than any that was measured."""
    for style in STYLES:
        found = trill_ways(figure, style, pace, lambda low, high: fastest_trill(clarinet(), low, high))
        assert 1 <= len(found) <= 5
        for way in found:
            played = sounds(way.content, figure.pitch)
            ends = [note.onset_q + note.length_q for note in played]
            assert [note.onset_q for note in played[1:]] == ends[:-1]
            assert ends[-1] == figure.end_q
            inside = [note for note in played if note.onset_q >= figure.onset_q]
            if len(inside) > 1 and not figure.graces:
                assert 1 / (float(min(note.length_q for note in inside)) * figure.quarter_s) <= LIMIT + 1e-9


def test_the_seven_trills_of_weber() -> None:
    """Read off the page: the trilled notes, the notes above them in the keys there, and the printed closing graces."""
    piece = read_score(f"corpus:{WEBER}")
    found = trilled(piece.part, pace_of(piece))
    uppers = [upper.name for one in found if (upper := printed_trill(one).upper)]
    assert [one.pitch.name for one in found] == ["F#5", "G#5", "F#5", "G5", "G5", "G5", "E6"]
    assert uppers == ["G5", "A5", "G5", "A5", "A5", "A5", "F6"]
    assert [len(closing(one)) for one in found] == [2, 2, 2, 2, 2, 0, 2]
    for one in found:
        check(one, pace_of(piece))
        for style in STYLES:
            way = trill_ways(one, style, pace_of(piece), lambda low, high: 10.5)[0]
            last = tuple(each.pitch for each in way.content.notes[-2:])
            assert last == closing(one) or not closing(one)


@pytest.mark.slow
@pytest.mark.timeout(600)
@pytest.mark.parametrize("name", SCORES)
def test_every_trill_of_the_corpus(name: str) -> None:
    piece = read_score(f"corpus:{name}")
    pace = pace_of(piece)
    for part in (piece.part, *piece.others):
        for one in trilled(part, pace):
            check(one, pace)


def _by_music21(name: str) -> list[tuple[str, str, str]]:
    """Measure, trilled note and upper note of every trill of the first part that music21 reads."""
    found = []
    score = converter.parse(locate(f"corpus:{name}"))
    assert isinstance(score, stream.Score)
    for one in score.parts[0].recurse().notes:
        for sign in one.expressions:
            if isinstance(sign, expressions.Trill) and isinstance(one, note.Note):
                sign.resolveOrnamentalPitches(one)
                assert sign.ornamentalPitch is not None
                upper = sign.ornamentalPitch.nameWithOctave.replace("-", "b")
                found.append((str(one.measureNumber), one.pitch.nameWithOctave.replace("-", "b"), upper))
    return found


def _altered_before(figure: Figure) -> bool:
    """Whether the note above was written in the measure before the trill with another accidental than the key's."""
    upper, key_ = figure.neighbour(upper=True), figure.chain.measure.key
    return marked(figure.ornaments, upper=True) is None and upper.alter != key_.alter_of(upper.step)


@pytest.mark.slow
@pytest.mark.timeout(300)
@pytest.mark.parametrize(
    ("name", "trills", "altered"),
    [(WEBER, 7, 0), ("mozart/k155/movement1", 18, 0), ("beethoven/opus59no3/movement1", 20, 2)],
)
def test_upper_notes_agree_with_music21(name: str, trills: int, altered: int) -> None:
    piece = read_score(f"corpus:{name}")
    ours = trilled(piece.part, pace_of(piece))
    theirs = _by_music21(name)
    assert len(ours) == len(theirs) == trills
    differ = 0
    for one, (_, main, upper) in zip(ours, theirs, strict=True):
        assert one.pitch.name == main
        if _altered_before(one):
            differ += one.neighbour(upper=True).name != upper
        else:
            assert one.neighbour(upper=True).name == upper
    assert differ == altered


@pytest.mark.parametrize(("name", "fifths"), [("C5", 0), ("G4", -3), ("E5", 4), ("Db5", -5), ("F#5", 1)])
def test_notes_agree_with_music21_as_far_as_they_should(name: str, fifths: int) -> None:
    """A half note, a quarter being a second: 32nds from the main note to and fro. music21 stops on the upper note; ours
    stays on the main note, the last two 32nds being one 16th."""
    theirs, _, _ = expressions.Trill().realize(
        note.Note(name.replace("b", "-"), quarterLength=2), keySig=key.KeySignature(fifths)
    )
    as_text = [f"{one.pitch.nameWithOctave.replace('-', 'b')}:1/8" for one in theirs if isinstance(one, note.Note)]
    ours = written(ways(trilled_part(f"{name}:2", at="1.1", key=fifths), "1.1", "lyrical", 1.0)[0])
    assert ours.split() == [*as_text[:-2], f"{name}:1/4"]
