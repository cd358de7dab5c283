"""Metres, keys, numbers, lines, slurs and signs at notes, as MusicXML 4.0 defines their elements."""

from fractions import Fraction
from pathlib import Path

from coach.files.score import read_score
from coach.files.source import corpus_folder
from coach.music.measure import Change
from coach.music.metre import Clef, Key
from coach.music.note import Fingering, Ornament, SlurEnd
from coach.music.pitch import Transposition
from tests.files.scores import FOUR_FOUR, line, note, read, said, score

SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"
FULL = note("C5", "whole", 4)


def attributes(inside: str) -> str:
    return f"<attributes><divisions>4</divisions>{inside}</attributes>"


def test_additive_and_mixed_metres(tmp_path: Path) -> None:
    five = attributes("<time><beats>3+2</beats><beat-type>8</beat-type></time>")
    content = note("C5", "quarter", 6, "<dot/>") + note("D5", "eighth", 2) + note("E5", "eighth", 2)
    measure = read(score(content, head=five), tmp_path).part.measures[0]
    assert measure.metre is not None and measure.metre.name == "3+2/8" and measure.length_q == Fraction(5, 2)
    assert [one.beat for one in measure.notes] == [1, 2, Fraction(5, 2)]
    mixed = "<time><beats>3</beats><beat-type>8</beat-type><beats>2</beats><beat-type>4</beat-type></time>"
    measure = read(score(note("C5", "", 14), head=attributes(mixed)), tmp_path).part.measures[0]
    assert measure.metre is not None and (measure.metre.name, measure.metre.length_q) == ("3+4/8", Fraction(7, 2))


def test_free_time(tmp_path: Path) -> None:
    piece = read(score(note("C5", "", 28), head=attributes("<time><senza-misura/></time>")), tmp_path)
    assert piece.part.measures[0].metre is None
    assert piece.part.measures[0].length_q == 7


def test_a_pickup_leads_to_the_first_beat(tmp_path: Path) -> None:
    upbeat = f'<measure number="0" implicit="yes">{FOUR_FOUR.format(divisions=1)}{note()}</measure>'
    piece = read(score(upbeat, f'<measure number="1">{FULL}</measure>'), tmp_path)
    first, second = piece.part.measures
    assert (first.id, first.pickup, first.implicit) == ("0", True, True)
    assert first.length_q == second.onset_q == second.notes[0].beat == 1
    assert first.notes[0].beat == 4
    assert first.notes[0].id == "0.1"
    assert not second.pickup


def test_a_split_measure_goes_on_counting(tmp_path: Path) -> None:
    first = note() + note() + note()
    rest = f'<measure number="2" implicit="yes">{note()}</measure>'
    piece = read(
        score(FULL, f'<measure number="2">{first}</measure>', rest, f'<measure number="3">{FULL}</measure>'), tmp_path
    )
    assert [measure.id for measure in piece.part.measures] == ["1", "2", "2~2", "3"]
    assert [measure.number for measure in piece.part.measures] == ["1", "2", "2", "3"]
    assert piece.part.measures[2].notes[0].beat == 4
    assert piece.part.measures[2].notes[0].id == "2~2.1"


def test_keys_and_clefs_change_inside_a_measure(tmp_path: Path) -> None:
    inside = "<key><fifths>-5</fifths><mode>major</mode></key><clef><sign>F</sign><line>4</line></clef>"
    change = f"<attributes>{inside}</attributes>"
    piece = read(score(note("C5", "half", 2) + change + note("C5", "half", 2), FULL), tmp_path)
    assert piece.part.measures[0].key == Key(0)
    assert piece.part.measures[0].changes == (
        Change(Fraction(2), Key(-5, "major")),
        Change(Fraction(2), Clef("F", 4)),
    )
    assert (piece.part.measures[1].key, piece.part.measures[1].clef) == (Key(-5, "major"), Clef("F", 4))


def test_a_free_key_signature(tmp_path: Path) -> None:
    key = "<key><key-step>F</key-step><key-alter>1</key-alter><key-step>E</key-step><key-alter>-1</key-alter></key>"
    time = "<time><beats>4</beats><beat-type>4</beat-type></time>"
    piece = read(score(note("C5", "whole", 16), head=attributes(key + time)), tmp_path)
    assert [piece.part.measures[0].key.alter_of(step) for step in "CDEFGAB"] == [0, 0, -1, 1, 0, 0, 0]


def test_of_two_voices_the_higher_one_is_practised(tmp_path: Path) -> None:
    back = "<backup><duration>4</duration></backup>"
    low, high = note("C4", "whole", 4, voice="1"), note("E5", "whole", 4, voice="2")
    piece = read(score(low + back + high, low), tmp_path)
    first, second = piece.part.measures
    assert [one.pitch and one.pitch.name for one in first.notes] == ["E5"]
    assert [(one.id, one.pitch and one.pitch.name) for one in first.others] == [("1.s1v1.1", "C4")]
    assert [one.pitch and one.pitch.name for one in second.notes] == ["C4"]  # alone, it is the line
    assert "Of several voices the top one is practised; the others are kept." in said(piece)


def test_of_a_chord_the_top_note_is_practised(tmp_path: Path) -> None:
    tie = '<tie type="start"/>'
    chord = note("C5", "half", 2) + note("G5", "half", 2, before="<chord/>") + note("E5", "half", 2, before="<chord/>")
    tied = note("C5", "half", 2, tie) + note("E5", "half", 2, before="<chord/>")
    piece = read(score(chord + tied, note("C5", "whole", 4, '<tie type="stop"/>')), tmp_path)
    first, second = piece.part.measures[0].notes
    assert first.pitch is not None and first.pitch.name == "G5"
    assert [pitch.name for pitch in first.chord] == ["E5", "C5"]
    assert second.pitch is not None and second.pitch.name == "E5" and second.tie is None and second.chord == ()
    assert [(one.pitch and one.pitch.name, one.tie) for one in piece.part.measures[0].others] == [("C5", "start")]


def test_cues_are_not_played(tmp_path: Path) -> None:
    back = "<backup><duration>4</duration></backup>"
    cue = note("A5", "whole", 4, before="<cue/>", voice="2")
    piece = read(score(note("R", "whole", 4) + back + cue, FULL), tmp_path)
    assert line(piece)[0].is_rest
    assert [(one.cue, one.pitch and one.pitch.name) for one in piece.part.measures[0].others] == [(True, "A5")]


def test_slurs_join_notes_to_what_follows(tmp_path: Path) -> None:
    start, stop = '<slur type="start" number="1"/>', '<slur type="stop" number="1"/>'
    content = note("C5", notations=start) + note("D5") + note("E5", notations=stop) + note("F5")
    notes = line(read(score(content), tmp_path))
    assert [one.slurred for one in notes] == [True, True, False, False]
    assert notes[0].slurs == (SlurEnd("start", 1),)
    chained = note("C5", notations=start) + note("D5", notations=start + stop) + note("E5", notations=stop) + note("F5")
    assert [one.slurred for one in line(read(score(chained), tmp_path))] == [True, True, False, False]
    endless = read(score(note("C5", notations=start) + note() * 3), tmp_path)
    assert [one.slurred for one in line(endless)] == [False] * 4
    assert "A slur never ends" in said(endless)


def test_ties(tmp_path: Path) -> None:
    def tied(*kinds: str) -> str:
        return "".join(f'<tie type="{kind}"/>' for kind in kinds)

    content = note("C5", "quarter", 1, tied("start")) + note("C5", "quarter", 1, tied("stop", "start"))
    content += note("C5", "quarter", 1, tied("stop")) + note("D5", "quarter", 1, tied("start"))
    piece = read(score(content, FULL), tmp_path)
    assert [one.tie for one in line(piece)] == ["start", "continue", "stop", None, None]
    assert "A tie that leads to no like note is left out." in said(piece)


def test_a_tie_without_its_end_is_given_one(tmp_path: Path) -> None:
    start = '<tie type="start"/>'
    piece = read(
        score(note("C5", "quarter", 1, start) + note("C5", "quarter", 1, start) + note() + note("D5")), tmp_path
    )
    assert [one.tie for one in line(piece)] == ["start", "continue", "stop", None]
    assert "A tie that the file does not end is taken to end at the next like note." in said(piece)


def test_signs_at_a_note(tmp_path: Path) -> None:
    notations = (
        '<articulations><staccato placement="above"/><breath-mark/><caesura/></articulations><fermata/>'
        '<technical><fingering substitution="yes">2</fingering>'
        "<hole><hole-type>thumb</hole-type><hole-closed>half</hole-closed></hole></technical>"
        '<glissando type="start" number="1">gliss.</glissando>'
    )
    accidental = '<accidental parentheses="yes">natural</accidental>'
    lyric = "<lyric><syllabic>begin</syllabic><text>A</text></lyric>"
    text = score(note("C5", "whole", 4, accidental, notations).replace("</note>", lyric + "</note>"))
    (only,) = line(read(text, tmp_path))
    assert only.articulations == ("staccato", "glissando-start")
    assert (only.breath, only.caesura, only.fermata) == ("comma", True, True)
    assert only.fingerings == (
        Fingering("2", "fingering", (("substitution", "yes"),)),
        Fingering("", "hole", (("hole-type", "thumb"), ("hole-closed", "half"))),
    )
    assert (only.accidental, only.courtesy, only.lyric) == ("natural", True, "A-")


def test_ornaments_keep_all_that_is_said_of_them(tmp_path: Path) -> None:
    """trill-sound attributes and accidental-mark: MusicXML 4.0 (facts.md, section 9)."""
    trill = (
        '<ornaments><trill-mark start-note="main" trill-step="half" two-note-turn="whole" accelerate="yes" beats="8" '
        'second-beat="10" last-beat="90" default-x="3"/><wavy-line type="start" number="1"/>'
        '<accidental-mark placement="above">flat</accidental-mark></ornaments>'
    )
    (only,) = line(read(score(note("C5", "whole", 4, notations=trill)), tmp_path))
    attributes = {
        "start-note": "main",
        "trill-step": "half",
        "two-note-turn": "whole",
        "accelerate": "yes",
        "beats": "8",
        "second-beat": "10",
        "last-beat": "90",
    }
    assert only.ornaments == (
        Ornament("trill-mark", (), tuple(attributes.items())),
        Ornament("wavy-line", (("above", "flat"),), (("type", "start"), ("number", "1"))),
    )


def test_repeats_and_endings(tmp_path: Path) -> None:
    def barline(location: str, inside: str) -> str:
        return f'<barline location="{location}">{inside}</barline>'

    measures = (
        barline("left", '<bar-style>heavy-light</bar-style><repeat direction="forward"/>') + FULL,
        barline("left", '<ending number="1,2" type="start"/>')
        + FULL
        + barline(
            "right",
            '<bar-style>light-heavy</bar-style><ending number="1,2" type="stop"/>'
            '<repeat direction="backward" times="3"/>',
        ),
        barline("left", '<ending number="3" type="start"/>')
        + FULL
        + barline("right", '<ending number="3" type="discontinue"/>'),
        FULL,
    )
    read_back = read(score(*measures), tmp_path).part.measures
    assert [measure.repeat_start for measure in read_back] == [True, False, False, False]
    assert [measure.repeat_end for measure in read_back] == [0, 3, 0, 0]
    assert [measure.endings for measure in read_back] == [(), (1, 2), (3,), ()]
    assert read_back[1].barline == "light-heavy"


def test_a_change_of_instrument_moves_the_transposition(tmp_path: Path) -> None:
    b_flat, a = "<diatonic>-1</diatonic><chromatic>-2</chromatic>", "<diatonic>-2</diatonic><chromatic>-3</chromatic>"
    change = f"<attributes><transpose>{a}</transpose></attributes>"
    piece = read(score(f"<attributes><transpose>{b_flat}</transpose></attributes>" + FULL, change + FULL), tmp_path)
    assert piece.part.transposition == Transposition(-1, -2)
    assert piece.part.transposition_changes == ((Fraction(4), Transposition(-2, -3)),)
    assert piece.part.transposition_at(Fraction(3)) == Transposition(-1, -2)
    assert piece.part.transposition_at(Fraction(4)) == Transposition(-2, -3)


def test_a_concert_score_is_read_as_the_player_reads_it(tmp_path: Path) -> None:
    """MusicXML 4.0 `concert-score` and `for-part`: the file holds sounding pitches."""
    player = (
        "<for-part><part-clef><sign>G</sign><line>2</line></part-clef><part-transpose>"
        "<diatonic>-1</diatonic><chromatic>-2</chromatic></part-transpose></for-part>"
    )
    head = attributes("<key><fifths>-5</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>" + player)
    top = "<defaults><concert-score/></defaults>"
    piece = read(score(note("Db5", "half", 8) + note("Bb4", "half", 8), head=head, top=top), tmp_path)
    assert [one.pitch and one.pitch.name for one in line(piece)] == ["Eb5", "C5"]
    assert (piece.part.transposition, piece.part.measures[0].key.fifths) == (Transposition(-1, -2), -3)


def test_quarter_tones_are_said(tmp_path: Path) -> None:
    sharp = note("C5", "whole", 4).replace("<octave>", "<alter>1.5</alter><octave>")
    piece = read(score(sharp), tmp_path)
    assert [one.pitch and one.pitch.name for one in line(piece)] == ["C#5"]
    assert "Quarter tones are read as the half tone nearer to the natural." in said(piece)


def test_percussion_stands_where_it_is_printed(tmp_path: Path) -> None:
    drum = "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>"
    piece = read(score(drum + "<duration>4</duration><type>whole</type></note>"), tmp_path)
    (only,) = line(piece)
    assert (only.unpitched, only.pitch and only.pitch.name) == (True, "E4")


def test_timewise_equals_partwise(tmp_path: Path) -> None:
    partwise = read(score(note() * 4, FULL), tmp_path)
    head = FOUR_FOUR.format(divisions=1)
    timewise = (
        '<score-timewise version="4.0"><part-list><score-part id="P1"><part-name>Clarinet</part-name></score-part>'
        f'</part-list><measure number="1"><part id="P1">{head}{note() * 4}</part></measure>'
        f'<measure number="2"><part id="P1">{FULL}</part></measure></score-timewise>'
    )
    assert read(timewise, tmp_path).part == partwise.part


def test_pickups_of_the_test_suite() -> None:
    """46d holds an upbeat and measures that do not count (its own description)."""
    measures = read_score(SUITE / "46d-PickupMeasure-ImplicitMeasures.xml").part.measures
    assert measures[0].pickup and measures[0].length_q < 4
    assert all(not measure.pickup for measure in measures[1:])
