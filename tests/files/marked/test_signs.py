"""Marks of every kind as elements of MusicXML 4.0, at the right notes, by the tree and by music21 as another reader."""

from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from coach.files.marked.writing import marked_musicxml
from coach.files.score import read_score
from coach.music.pitch import parse_pitch
from coach.prepare.mark import (
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    OssiaNote,
    Pace,
    Phrase,
    Reminder,
    Shake,
    Swap,
)
from coach.prepare.prep import Prep
from tests.files.marked.music21_reading import Found, by_music21
from tests.files.marked.schema import faults, load_schema
from tests.files.scores import note, score

SHARP = "<accidental>sharp</accidental>"
SLUR = '<slur type="{}" number="1"/>'
GRACE = "<note><grace/><pitch><step>D</step><octave>5</octave></pitch><voice>1</voice><type>eighth</type></note>"
# Measure 1: C5 D5 E5 rest; measure 2: F#5 F#5 (tied over) A5 half; measure 3: the tied A5 half, grace, C5 D5.
PAGE = score(
    note("C5") + note("D5", notations=SLUR.format("start")) + note("E5", notations=SLUR.format("stop")) + note("R"),
    note("F#5", inside=SHARP) + note("F#5") + note("A5", "half", 2, notations='<tied type="start"/>'),
    note("A5", "half", 2, notations='<tied type="stop"/>') + GRACE + note("C5") + note("D5"),
)


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> etree.XMLSchema:
    return load_schema(tmp_path_factory.mktemp("schema"))


class Written:
    """The page with some marks on it."""

    def __init__(self, folder: Path, schema: etree.XMLSchema, marks: list[tuple[str, Content]], **fields: str) -> None:
        source = folder / "page.musicxml"
        source.write_text(PAGE, "utf-8")
        prep = Prep(marks=tuple(Mark(f"m{k}", at, one, **fields) for k, (at, one) in enumerate(marks)))
        self.file = folder / "marked.musicxml"
        document = marked_musicxml(source, prep)
        assert faults(schema, document) == []
        self.file.write_bytes(document)
        self.root = etree.fromstring(document)
        self.part: Any = next(part for part in self.root.iterfind("part") if part.get("id") == "P1")

    def note(self, measure: int, k: int) -> Any:
        """The k-th `<note>` of a measure of the part, from 1."""
        return self.part.findall("measure")[measure - 1].findall("note")[k - 1]

    def before(self, measure: int, k: int) -> list[Any]:
        """The directions right before a note."""
        found = []
        element = self.note(measure, k).getprevious()
        while element is not None and element.tag == "direction":
            found.append(element)
            element = element.getprevious()
        return found[::-1]

    @property
    def music21(self) -> Found:
        return by_music21(self.file, watched=0)


@pytest.fixture
def written(tmp_path: Path, schema: etree.XMLSchema) -> Any:
    def write(*marks: tuple[str, Content], **fields: str) -> Written:
        return Written(tmp_path, schema, list(marks), **fields)

    return write


def test_a_breath_is_a_breath_mark(written: Any) -> None:
    done = written(("1.1", Breath()), ("1.3", Breath("catch")))
    assert done.note(1, 1).findtext("notations/articulations/breath-mark") == "comma"
    assert done.note(1, 3).findtext("notations/articulations/breath-mark") == "tick"
    assert done.music21.signs["BreathMark"] == [(0.0, "comma"), (2.0, "tick")]


def test_a_fingering_stands_above_its_note_and_grace(written: Any) -> None:
    done = written(("1.2", Fingering("L")), ("3.2g1", Fingering("fork")))
    (fingering,) = done.note(1, 2).iterfind("notations/technical/fingering")
    assert (fingering.text, fingering.get("placement")) == ("L", "above")
    assert done.note(3, 2).find("grace") is not None
    assert done.note(3, 2).findtext("notations/technical/fingering") == "fork"
    assert done.music21.signs["Fingering"] == [(1.0, "L"), (10.0, "fork")]


def test_signs_join_the_notations_that_are_there(written: Any) -> None:
    """verovio, for one, looks into the first group of notations only."""
    done = written(("1.2", Fingering("L")), ("1.2", Breath()))
    (notations,) = done.note(1, 2).findall("notations")
    assert [child.tag for child in notations] == ["slur", "technical", "articulations"]


@pytest.mark.parametrize(("when", "measure", "k"), [(F(1), 2, 3), (F(2), 3, 1), (F(3), 3, 1)])
def test_a_swap_stands_at_the_note_held_then(when: F, measure: int, k: int, written: Any) -> None:
    """2.3 is tied to 3.1 and two quarters long."""
    done = written(("2.3", Swap("L", "R", when)))
    (fingering,) = done.note(measure, k).iterfind("notations/technical/fingering")
    assert (fingering.text, fingering.get("substitution")) == ("L-R", "yes")


def test_a_reminder_is_a_courtesy_accidental(written: Any) -> None:
    done = written(("2.2", Reminder("sharp")))
    accidental = done.note(2, 2).find("accidental")
    assert (accidental.text, accidental.get("cautionary"), accidental.get("parentheses")) == ("sharp", "yes", "yes")
    assert done.music21.signs["courtesy"] == [(5.0, "sharp")]


def test_a_reminder_that_no_accidental_can_give_is_said(written: Any) -> None:
    """Where an accidental is printed already, where it would say another pitch, and a plain name."""
    done = written(("2.1", Reminder("sharp")), ("1.1", Reminder("double-flat")), ("1.2", Reminder("not E")))
    assert [one.findtext("direction-type/words") for one in done.before(2, 1)] == ["♯"]
    assert [one.findtext("direction-type/words") for one in done.before(1, 1)] == ["♭♭"]
    assert [one.findtext("direction-type/words") for one in done.before(1, 2)] == ["not E"]
    assert done.note(2, 1).findall("accidental")[0].get("cautionary") is None
    assert done.note(1, 1).find("accidental") is None


def ossia(done: Written) -> Any:
    """The ossia in music21's reading."""
    from music21 import converter

    parsed: Any = converter.parse(done.file, forceSource=True)
    (part,) = (one for one in parsed.parts if one.partName == "Ossia")
    return part


def sounding(part: Any) -> list[tuple[float, float, str]]:
    return [
        (float(one.getOffsetInHierarchy(part)), float(one.quarterLength), one.nameWithOctave)
        for one in part.recurse().notes
    ]


def test_an_ornament_is_an_ossia(written: Any) -> None:
    """Begins half a quarter before its measure, has a triplet, and leaves the part's own notes as they are."""
    third = F(1, 3)
    notes = [OssiaNote(parse_pitch(name), F(k) * third, third) for k, name in enumerate(("D5", "Eb5", "D5"))]
    done = written(("2.1", Ornament((OssiaNote(parse_pitch("C#5"), F(-1, 2), F(1, 2)), *notes))))
    part = ossia(done)
    assert [(at, length, name) for at, length, name in sounding(part)] == [
        (3.5, 0.5, "C#5"),
        (4.0, pytest.approx(1 / 3), "D5"),
        (pytest.approx(4 + 1 / 3), pytest.approx(1 / 3), "E-5"),
        (pytest.approx(4 + 2 / 3), pytest.approx(1 / 3), "D5"),
    ]
    assert [
        [pitch.nameWithOctave for pitch in one.pitches] for one in part.recurse().notes if one.duration.tuplets
    ] == [
        ["D5"],
        ["E-5"],
        ["D5"],
    ]
    staff = done.root.find("part[@id='coach-ossia']")
    details = staff.findall("measure/attributes/staff-details")
    assert [(one.findtext("staff-type"), one.findtext("staff-size")) for one in details] == [("ossia", "60")] * 2
    assert [one.get("print-object") for one in details] == ["yes", "no"]  # from measure 1, hidden from measure 3
    assert len(done.music21.parts) == 1


def test_an_alteration_shows_both(written: Any) -> None:
    done = written(
        ("1.3", Alteration((parse_pitch("F5"), parse_pitch("G5")))), ("3.2g1", Alteration((parse_pitch("Eb5"),)))
    )
    assert sounding(ossia(done)) == [(2.0, 0.5, "F5"), (2.5, 0.5, "G5")]
    assert done.note(1, 3).findtext("pitch/step") == "E"
    assert [one.findtext("direction-type/words") for one in done.before(3, 2)] == ["(E♭5)"]


def test_long_and_odd_lengths_are_tied_or_left_without_a_value(written: Any) -> None:
    """Five sixteenths are a quarter tied to a sixteenth; over the barline a tie leads on; 1/13 has no printed value."""
    pitch = parse_pitch("B4")
    notes = (OssiaNote(pitch, F(1), F(5, 4)), OssiaNote(pitch, F(3), F(2)), OssiaNote(pitch, F(5), F(1, 13)))
    done = written(("1.1", Ornament(notes)))
    staff = done.root.find("part[@id='coach-ossia']")
    pitched = [one for one in staff.iter("note") if one.find("pitch") is not None]
    assert [one.findtext("type") for one in pitched] == ["quarter", "16th", "quarter", "quarter", None]
    assert [[tie.get("type") for tie in one.findall("tie")] for one in pitched] == [
        ["start"],
        ["stop"],
        ["start"],
        ["stop"],
        [],
    ]
    divisions = int(staff.findtext("measure/attributes/divisions"))
    assert [F(int(one.findtext("duration")), divisions) for one in pitched] == [1, F(1, 4), 1, 1, F(1, 13)]


def test_overlapping_ossias_stand_in_two_voices(written: Any) -> None:
    whole = Ornament((OssiaNote(parse_pitch("C5"), F(0), F(4)),))
    done = written(("1.1", whole), ("1.2", Alteration((parse_pitch("G5"),))))
    assert sorted(sounding(ossia(done))) == [(0.0, 4.0, "C5"), (1.0, 1.0, "G5")]


def test_a_long_trill_is_a_held_note_with_its_rate_and_its_close(written: Any) -> None:
    """40 notes would fill the page; the closing notes are what has to be counted. Times by hand, in quarters from 4."""
    shake = Shake(
        parse_pitch("C5"), F(0), F(2), F(2), F(30), close=(parse_pitch("A4"), parse_pitch("B4")), close_q=F(1, 4)
    )
    body = tuple(OssiaNote(parse_pitch(("B4", "C5")[k % 2]), k * F(3, 76), F(3, 76)) for k in range(38))
    close = (OssiaNote(parse_pitch("A4"), F(3, 2), F(1, 4)), OssiaNote(parse_pitch("B4"), F(7, 4), F(1, 4)))
    done = written(("2.1", Ornament((*body, *close), "trill", "", shake)))
    assert [(at, length) for at, length, _ in sounding(ossia(done))] == [(4.0, 1.5), (5.5, 0.25), (5.75, 0.25)]
    assert sounding(ossia(done))[0][2] == "F#5"  # the printed note
    assert [one.findtext("direction-type/words") for one in done.before(2, 1)] == ["tr 2-30"]


def test_a_reminder_of_a_neighbour_stands_over_the_note(written: Any) -> None:
    done = written(("1.1", Reminder("flat", "upper")))
    assert done.note(1, 1).find("accidental") is None
    assert [one.findtext("direction-type/words") for one in done.before(1, 1)] == ["♭"]


def test_dynamics_and_hairpins(written: Any) -> None:
    done = written(("1.1", Dynamic("pp")), ("1.2", Dynamic("crescendo", "2.1")), ("2.2", Dynamic("sfz")))
    assert done.before(1, 1)[0].find("direction-type/dynamics/pp") is not None
    assert done.before(1, 1)[0].get("placement") == "below"
    (start,), stop = done.before(1, 2), done.note(2, 1).getnext()
    assert start.find("direction-type/wedge").get("type") == "crescendo"
    assert stop.find("direction-type/wedge").get("type") == "stop"  # where 2.1 ends
    assert start.find("direction-type/wedge").get("number") == stop.find("direction-type/wedge").get("number")
    assert done.music21.has("words", 0.0, "pp") and done.music21.has("words", 5.0, "sfz")


def test_lines_that_are_open_together_have_other_numbers(written: Any) -> None:
    done = written(("1.1", Phrase("2.1")), ("1.2", Phrase("1.3")), ("2.2", Phrase("3.1")))
    starts = [one for one in done.part.iter("bracket") if one.get("type") == "start"]
    stops = [one for one in done.part.iter("bracket") if one.get("type") == "stop"]
    assert [one.get("number") for one in starts] == ["1", "2", "1"]
    assert [one.get("number") for one in stops] == ["2", "1", "1"]


def test_a_level_is_said_where_somebody_chose_it(written: Any) -> None:
    done = written(("1.1", Dynamic(level_db=-6.0, colour=0.9)))
    assert done.before(1, 1)[0].findtext("direction-type/words") == "−6 dB, bright"
    computed = written(("1.1", Dynamic(level_db=-6.0, colour=0.9)), origin="computed")
    assert computed.before(1, 1) == []


def test_a_phrase_has_a_bracket_and_its_goal(written: Any) -> None:
    done = written(("1.1", Phrase("2.1", "1.3")))
    bracket = done.before(1, 1)[0].find("direction-type/bracket")
    assert (bracket.get("type"), bracket.get("line-end")) == ("start", "down")
    assert done.note(2, 1).getnext().find("direction-type/bracket").get("type") == "stop"
    assert [one.findtext("direction-type/words") for one in done.before(1, 3)] == ["goal"]


def test_pace(written: Any) -> None:
    """In 4/4 a beat is a quarter: three quarters are three beats."""
    done = written(
        ("1.1", Pace("rit.", "1.3")),
        ("1.2", Pace("tenuto")),
        ("2.1", Pace("a tempo")),
        ("2.3", Pace("fermata", length_q=F(3))),
        ("3.2", Pace("tenuto", length_q=F(3, 2))),
    )
    words, dashes = done.before(1, 1)[0].findall("direction-type")
    assert (words.findtext("words"), dashes.find("dashes").get("type")) == ("rit.", "start")
    assert done.note(1, 3).getnext().find("direction-type/dashes").get("type") == "stop"
    assert done.note(1, 2).find("notations/articulations/tenuto") is not None
    assert done.before(2, 1)[0].findtext("direction-type/words") == "a tempo"
    assert done.note(2, 3).find("notations/fermata") is not None
    assert done.before(2, 3)[0].findtext("direction-type/words") == "hold 3 beats"
    assert [one.findtext("direction-type/words") for one in done.before(3, 3)] == ["hold 1 1/2 beats"]
    assert done.music21.has("Fermata", 6.0) and done.music21.has("Tenuto", 1.0)


def test_a_comment_is_said_in_short(written: Any) -> None:
    text = (
        "Sing this first, & then play it <as> you sang it;\nnever mind the bar line, never mind the bell of the hall."
    )
    done = written(("1.2", Comment(text)), ("1.r1", Comment("breathe\x07 low")))
    said = done.before(1, 2)[0].findtext("direction-type/words")
    assert len(said) <= 80 and said.endswith("…") and text.replace("\n", " ").startswith(said[:-1])
    assert [one.findtext("direction-type/words") for one in done.before(1, 4)] == ["breathe\ufffd low"]


def test_struck_marks_are_not_on_the_page(written: Any) -> None:
    done = written(("1.1", Breath()), ("1.2", Comment("no")), ("2.1", Alteration((parse_pitch("C5"),))), state="struck")
    assert [one for one in done.root.iter(etree.Element) if (one.get("id") or "").startswith("coach-")] == []


def test_marks_of_notes_that_are_not_there_stay_in_the_prep(written: Any) -> None:
    done = written(("9.1", Breath()), ("1.7", Comment("gone")))
    assert done.root.findall(".//breath-mark") == done.root.findall(".//words") == []
    assert "gone" in done.root.findtext("identification/miscellaneous/miscellaneous-field[@name='coach.prep']")


def test_what_is_printed_already_is_not_printed_twice(tmp_path: Path, schema: etree.XMLSchema) -> None:
    source = tmp_path / "printed.musicxml"
    held = "<articulations><breath-mark>comma</breath-mark><tenuto/></articulations><fermata/>"
    source.write_text(score(note("C5", "whole", 4, notations=held)), "utf-8")
    marks = (Mark("a", "1.1", Breath()), Mark("b", "1.1", Pace("fermata")), Mark("c", "1.1", Pace("tenuto")))
    root = etree.fromstring(marked_musicxml(source, Prep(marks=marks)))
    assert [len(root.findall(f".//{name}")) for name in ("breath-mark", "tenuto", "fermata")] == [1, 1, 1]


def test_nothing_stands_inside_a_chord(tmp_path: Path, schema: etree.XMLSchema) -> None:
    """The practised top note E5 follows the chord's first note in the file; a direction between the two would put them
    apart."""
    low, high = note("C5", "whole", 4), note("E5", "whole", 4, before="<chord/>")
    source = tmp_path / "chord.musicxml"
    source.write_text(score(low + high), "utf-8")
    assert read_score(source).part.measures[0].notes[0].pitch == parse_pitch("E5")
    document = marked_musicxml(source, Prep(marks=(Mark("a", "1.1", Dynamic("crescendo", "1.1")),)))
    assert faults(schema, document) == []
    (measure,) = etree.fromstring(document).iterfind("part/measure")
    assert [child.tag for child in measure] == ["attributes", "direction", "note", "note", "direction"]


def test_a_rest_that_the_file_leaves_out_has_its_directions_by_offset(tmp_path: Path) -> None:
    """Two quarters forward in 4/4, divisions 2: the rest at the third quarter lies 4 divisions from the barline."""
    halves = note("C5", "half", 4)
    source = tmp_path / "gap.musicxml"
    source.write_text(score(halves + "<forward><duration>4</duration></forward>", halves * 2, divisions=2), "utf-8")
    piece = read_score(source)
    assert piece.part.measures[0].notes[1].is_rest
    root = etree.fromstring(marked_musicxml(source, Prep(marks=(Mark("a", "1.r1", Breath()),))))
    (direction,) = root.iter("direction")
    assert (direction.findtext("direction-type/words"), direction.findtext("offset")) == (",", "4")


def test_staves_keep_their_directions(tmp_path: Path, schema: etree.XMLSchema) -> None:
    lower = note("C3", "whole", 4, "<staff>2</staff>", voice="2")
    upper = note("C5", "whole", 4, "<staff>1</staff>")
    head = (
        "<attributes><divisions>{divisions}</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
        "<staves>2</staves></attributes>"
    )
    source = tmp_path / "two.musicxml"
    source.write_text(score(upper + "<backup><duration>4</duration></backup>" + lower, head=head), "utf-8")
    document = marked_musicxml(source, Prep(marks=(Mark("a", "1.1", Dynamic("pp")),)))
    assert faults(schema, document) == []
    assert etree.fromstring(document).findtext("part/measure/direction/staff") == "1"


def test_what_is_only_suggested_looks_so(written: Any) -> None:
    """In square brackets or dashed, as editors print what is theirs (trade practice)."""
    done = written(
        ("1.1", Breath()),
        ("1.2", Fingering("L")),
        ("1.3", Comment("sing")),
        ("2.1", Dynamic("pp")),
        ("2.1", Dynamic("crescendo", "2.2")),
        ("2.2", Reminder("sharp")),
        ("2.2", Phrase("2.3")),
        ("2.3", Pace("rit.")),
        ("3.2", Alteration((parse_pitch("E5"),))),
        state="suggested",
    )
    assert done.note(1, 1).find("notations/articulations/breath-mark").get("color") is not None
    assert done.note(1, 2).findtext("notations/technical/fingering") == "[L]"
    assert [one.text for one in done.part.iter("words")] == ["[sing]", "[rit.]", "[ossia]"]
    assert [one.get("enclosure") for one in done.part.iter("dynamics")] == ["square"]
    starts = [one for one in done.part.iter("wedge", "bracket") if one.get("type") != "stop"]
    assert [(one.tag, one.get("line-type")) for one in starts] == [("wedge", "dashed"), ("bracket", "dashed")]
    accidental = done.note(2, 2).find("accidental")
    assert (accidental.get("bracket"), accidental.get("parentheses")) == ("yes", None)


def test_an_ossia_in_a_concert_score_stands_as_it_sounds(tmp_path: Path, schema: etree.XMLSchema) -> None:
    """MusicXML 4.0, concert-score: notes stand in concert pitch. A B-flat clarinet's written D5 sounds C5, and two
    sharps of its key are none."""
    clarinet = "<part-transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></part-transpose>"
    head = (
        "<attributes><divisions>{divisions}</divisions><key><fifths>0</fifths></key>"
        "<time><beats>4</beats><beat-type>4</beat-type></time><for-part>" + clarinet + "</for-part></attributes>"
    )
    source = tmp_path / "concert.musicxml"
    text = score(note("C5", "whole", 4), head=head, top="<defaults><concert-score/></defaults>")
    source.write_text(text, "utf-8")
    piece = read_score(source)
    assert piece.part.measures[0].notes[0].pitch == parse_pitch("D5") and piece.part.measures[0].key.fifths == 2
    document = marked_musicxml(source, Prep(marks=(Mark("a", "1.1", Alteration((parse_pitch("D5"),))),)))
    assert faults(schema, document) == []
    staff = etree.fromstring(document).find("part[@id='coach-ossia']/measure")
    assert staff is not None
    assert (staff.findtext("note/pitch/step"), staff.findtext("note/pitch/alter")) == ("C", None)
    assert staff.findtext("attributes/key/fifths") == "0" and staff.find("attributes/transpose") is None


def test_an_ossia_is_for_the_instrument_of_its_part(written: Any, tmp_path: Path, schema: etree.XMLSchema) -> None:
    """The clarinet part of the Weber: its transposition, its key, as many measures, its repeats."""
    weber = "corpus:weber/concertino_clarinet"
    first = next(read_score(weber).part.pitched()).id
    document = marked_musicxml(weber, Prep(marks=(Mark("a", first, Alteration((parse_pitch("D5"),))),)))
    assert faults(schema, document) == []
    root = etree.fromstring(document)
    ossia, part = root.findall("part")[:2]
    assert ossia.get("id") == "coach-ossia" and root.find("part-list/score-part").get("id") == "coach-ossia"  # type: ignore[union-attr]
    for path in ("transpose/chromatic", "key/fifths", "time/beats"):
        assert ossia.findtext(f"measure/attributes/{path}") == part.findtext(f"measure/attributes/{path}"), path
    assert [one.get("number") for one in ossia] == [one.get("number") for one in part]
    assert len(ossia.findall("measure/barline/repeat")) == len(part.findall("measure/barline/repeat"))
