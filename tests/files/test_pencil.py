"""Marks pencilled into the MEI, read back from what verovio (an independent engraver) makes of it."""

import re
from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from coach.files.engraving.ids import mark_id, mark_xml_id, xml_id
from coach.files.engraving.mei import MEI, XML_ID, part_mei
from coach.files.engraving.pencil import LONGEST_TEXT, Pencilled, pencil_in
from coach.files.engraving.spelling import spelled
from coach.files.engraving.toolkit import load, toolkit
from coach.files.score import WrittenScore, written_score
from coach.music.pitch import Pitch, parse_pitch
from coach.prepare.mark import (
    KINDS,
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

SPACE = 180  # verovio's units in one staff space: twice its `unit` of 9, ten to a pixel
SVG = "{http://www.w3.org/2000/svg}"
_PLACES = (r"translate\((-?\d+)", r"points=\"([-0-9, ]+)", r"<text[^>]* x=\"(-?\d+)", r" d=\"M ?(-?\d+)")

LONG = "Let the line fall here; the second phrase begins from nothing."
TRILL = tuple(OssiaNote(parse_pitch(n), F(k, 2), F(1, 2)) for k, n in enumerate(("G4", "Ab4", "G4", "F4")))
CASES: tuple[tuple[str, Content], ...] = (
    ("2.4", Breath()),
    ("3.2", Breath("catch")),
    ("1.2", Fingering("R")),
    ("4.1", Swap("L", "R", F(1))),
    ("3.1", Reminder("natural")),
    ("3.5", Reminder("G flat")),
    ("6.1", Ornament(TRILL, "trill", "lyrical")),
    ("2.1", Dynamic("mf")),
    ("9.1", Dynamic("crescendo", "9.5")),
    ("5.1", Alteration((Pitch("C", 0, 6), Pitch("D", -1, 6)))),
    ("1.1", Phrase("2.4", "2.2")),
    ("7.1", Pace("tenuto")),
    ("7.2", Pace("rit.", "8.2")),
    ("10.4", Pace("fermata", "", F(9, 2))),
    ("9.1", Pace("a tempo")),
    ("1.3", Comment("warm")),
    ("4.1", Comment(LONG)),
)


@pytest.fixture(scope="module")
def score() -> WrittenScore:
    return written_score("content/pieces/demo.musicxml")


@pytest.fixture(scope="module")
def mei(score: WrittenScore) -> etree._Element:
    return part_mei(score)


def pencilled(score: WrittenScore, mei: etree._Element, *marks: Mark) -> Pencilled:
    return pencil_in(mei, Prep(marks=marks), score.piece.part)


def drawn(root: etree._Element) -> etree._Element:
    tool = toolkit(breaks="none", adjustPageWidth=True, adjustPageHeight=True, fontTextLiberation=True)
    load(tool, etree.tostring(root, encoding="unicode"), "the part")
    return etree.fromstring(tool.renderToSVG(1).encode())


def group(svg: etree._Element, name: str) -> etree._Element | None:
    return next((g for g in svg.iter(f"{SVG}g") if g.get("id") == name), None)


def found(root: etree._Element, path: str) -> list[etree._Element]:
    """The elements of MEI on a path, anywhere in the document."""
    return root.findall(f".//{path}", namespaces={"m": MEI})


def place(svg: etree._Element, name: str) -> int:
    """The leftmost x of the first shape in a group."""
    sign = group(svg, name)
    assert sign is not None, name
    text = etree.tostring(sign, encoding="unicode")
    first = min((m for p in _PLACES if (m := re.search(p, text))), key=lambda match: match.start())
    return min(int(pair.split(",")[0]) for pair in first[1].split())


def test_every_kind_is_among_the_cases() -> None:
    assert {Mark("a", "1.1", content).kind for _, content in CASES} == set(KINDS)


@pytest.mark.parametrize("state", ["kept", "suggested"])
@pytest.mark.parametrize(("at", "content"), CASES, ids=lambda value: value if isinstance(value, str) else "")
def test_a_mark_is_drawn_at_its_note(
    score: WrittenScore, mei: etree._Element, at: str, content: Content, state: str
) -> None:
    made = pencilled(score, mei, Mark("b 1", at, content, "player", state))
    assert made.undrawn == ()
    svg = drawn(made.root)
    sign = group(svg, mark_xml_id("b 1"))
    assert sign is not None
    assert {"mark", state, "player"} <= set((sign.get("class") or "").split())
    away = place(svg, mark_xml_id("b 1")) - place(svg, xml_id(at))
    if isinstance(content, Breath):
        after = place(svg, xml_id({"2.4": "3.1", "3.2": "3.3"}[at]))
        assert 0 < away < after - place(svg, xml_id(at))
    else:
        assert abs(away) <= 2.5 * SPACE


def test_a_suggested_mark_looks_different(score: WrittenScore, mei: etree._Element) -> None:
    """Not by colour: the shapes or letters differ, or, for what verovio draws in one way only, the class."""
    for at, content in CASES:
        looks = [
            re.sub(r'(id|href)="[^"]*"|bounding-box', "", etree.tostring(sign, encoding="unicode"))
            for state in ("kept", "suggested")
            if (sign := group(drawn(pencilled(score, mei, Mark("b", at, content, "player", state)).root), "m-b"))
            is not None
        ]
        shapes = [re.sub(r'class="[^"]*"', "", look) for look in looks]
        by_class = isinstance(content, Breath | Ornament | Alteration)
        assert len(looks) == 2
        assert looks[0] != looks[1]
        assert by_class or shapes[0] != shapes[1], content


def test_a_struck_mark_is_not_drawn(score: WrittenScore, mei: etree._Element) -> None:
    marks = [Mark(f"b{k}", at, content, "computed", "struck") for k, (at, content) in enumerate(CASES)]
    made = pencilled(score, mei, *marks)
    assert etree.tostring(made.root) == etree.tostring(mei)


def test_the_printed_page_stays(score: WrittenScore, mei: etree._Element) -> None:
    before = etree.tostring(mei)
    made = pencilled(score, mei, *(Mark(f"b{k}", at, content) for k, (at, content) in enumerate(CASES)))
    assert etree.tostring(mei) == before
    svg = drawn(made.root)
    for note in score.piece.part.notes():
        assert group(svg, xml_id(note.id)) is not None


def test_a_mark_whose_note_is_not_there_is_told(score: WrittenScore, mei: etree._Element) -> None:
    marks = (Mark("a", "99.1", Breath()), Mark("b", "1.1", Phrase("99.2")), Mark("c", "1.1", Phrase("1.2", "99.3")))
    made = pencilled(score, mei, *marks, Mark("d", "1.1", Breath()))
    assert made.undrawn == ("a", "b", "c")
    assert group(drawn(made.root), "m-d") is not None


def test_a_stretch_that_runs_backwards_is_told(score: WrittenScore, mei: etree._Element) -> None:
    marks = (
        Mark("a", "3.1", Phrase("1.1")),
        Mark("b", "3.1", Dynamic("crescendo", "2.1")),
        Mark("c", "3.2", Pace("rit.", "3.1")),
    )
    assert pencilled(score, mei, *marks).undrawn == ("a", "b", "c")


def test_another_grace_stands_over_the_grace(score: WrittenScore, mei: etree._Element) -> None:
    """Measure 8: two graces before the A flat; on the small staff they are graces too, and take no time."""
    made = pencilled(score, mei, Mark("a", "8.2g1", Alteration((Pitch("E", -1, 5), Pitch("D", -1, 5)))))
    notes = found(made.root, "m:oStaff//m:note")
    assert [(note.get("pname"), note.get("grace")) for note in notes] == [("e", "unacc"), ("d", "unacc")]
    spaces = found(made.root, "m:oStaff//m:space")
    assert sum(map(lasting, spaces), F(0)) == F(9, 2)
    assert abs(place(drawn(made.root), "m-a") - place(drawn(made.root), xml_id("8.2g1"))) < 4 * SPACE


def test_graces_and_rests_take_marks(score: WrittenScore, mei: etree._Element) -> None:
    marks = (
        Mark("a", "8.2g1", Reminder("natural")),
        Mark("b", "8.2g2", Fingering("L")),
        Mark("c", "8.r1", Breath()),
        Mark("d", "8.r1", Comment("count")),
        Mark("e", "4.r1", Pace("fermata")),
        Mark("f", "4.r1", Pace("tenuto")),
        Mark("g", "4.r1", Reminder("flat")),
    )
    made = pencilled(score, mei, *marks)
    assert made.undrawn == ()
    svg = drawn(made.root)
    for mark in marks:
        assert abs(place(svg, mark_xml_id(mark.id)) - place(svg, xml_id(mark.at))) < 4 * SPACE, mark


def test_a_printed_accidental_is_not_doubled(score: WrittenScore, mei: etree._Element) -> None:
    """Measure 6 begins with a printed G natural."""
    made = pencilled(score, mei, Mark("a", "6.1", Reminder("natural")), Mark("b", "6.5", Reminder("natural")))
    for name in ("6.1", "6.5"):
        accids = [
            accid
            for accid in found(made.root, "m:accid[@accid]")
            if xml_id(name) in [holder.get(XML_ID) for holder in accid.iterancestors()]
        ]
        assert [accid.get("enclose") for accid in accids] == ["paren"]


def test_long_comments_are_numbered_in_the_order_of_the_page(score: WrittenScore, mei: etree._Element) -> None:
    texts = ("x" * LONGEST_TEXT, "y" * (LONGEST_TEXT + 1), "z" * 99)
    made = pencilled(
        score, mei, *(Mark(t[0], at, Comment(t)) for t, at in zip(texts, ("3.1", "2.1", "1.1"), strict=True))
    )
    assert dict(made.numbers) == {"z": 1, "y": 2}


def test_an_ossia_is_cut_at_the_barline_and_says_its_notes(score: WrittenScore, mei: etree._Element) -> None:
    """An ossia of 9/8 and of the eighth before it: its lengths in each measure fill the measure, read from the MEI."""
    notes = tuple(OssiaNote(Pitch("B", -1, 4), F(k, 3), F(1, 3)) for k in range(-3, 6))
    made = pencilled(score, mei, Mark("a", "6.1", Ornament(notes)))
    layers = found(made.root, "m:oStaff/m:layer")
    assert len(layers) == 2
    for layer in layers:
        assert sum((lasting(element) for element in layer.iter() if element.get("dur")), F(0)) == F(9, 2)
    heads = [len(found(layer, "m:note")) for layer in layers]
    assert heads == [3, 6]
    assert not found(made.root, "m:oStaff//m:accid")  # B flat is in the key


def test_a_note_over_the_barline_is_tied(score: WrittenScore, mei: etree._Element) -> None:
    made = pencilled(score, mei, Mark("a", "6.1", Ornament((OssiaNote(Pitch("B", 0, 4), F(-1), F(2)),))))
    notes = found(made.root, "m:oStaff//m:note")
    assert [note.get("tie") for note in notes] == ["i", "t"]
    assert [len(note) for note in notes] == [1, 0]  # one natural, before the first


@pytest.mark.parametrize("at", ["12.1", "25.1", "30.1"])
def test_a_hairpin_on_one_note_can_be_seen(score: WrittenScore, mei: etree._Element, at: str) -> None:
    """One note from its head to its end is wider than a note head, which is about 1.2 spaces wide (SMuFL, Bravura):
    before the next note, at a barline and before the second note of a tie (read in the demo's file)."""
    svg = drawn(pencilled(score, mei, Mark("a", at, Dynamic("diminuendo", at))).root)
    sign = group(svg, mark_xml_id("a"))
    assert sign is not None
    lines = [line.get("points", "").split() for line in sign.iter(f"{SVG}polyline")]
    xs = [int(pair.split(",")[0]) for line in lines for pair in line]
    assert xs, "nothing is drawn"
    assert max(xs) - min(xs) > 1.2 * SPACE


def test_a_pencilled_dynamic_stands_where_none_is_printed(score: WrittenScore, mei: etree._Element) -> None:
    """Measures 2 and 3 of the demo have hairpins below; at 1.2 and 21.1 nothing is printed there (read in its file)."""
    over = [("2.1", Dynamic("crescendo", "3.2")), ("3.2", Dynamic("mf")), ("1.1", Dynamic("f"))]
    below = [("1.2", Dynamic("f")), ("21.1", Dynamic("p"))]
    marks = [Mark(f"d{k}", at, content) for k, (at, content) in enumerate(over + below)]
    root = pencilled(score, mei, *marks).root
    places = {
        sign.get(XML_ID): sign.get("place") for tag in ("dynam", "hairpin") for sign in root.iter(f"{{{MEI}}}{tag}")
    }
    found = [places[mark_xml_id(mark.id)] for mark in marks]
    assert found == ["above"] * 3 + ["below"] * 2


def test_empty_time_and_long_notes_of_an_ossia_have_no_beam(score: WrittenScore, mei: etree._Element) -> None:
    """Engraving practice: only notes with flags are beamed. The gap before the last eighth of a 9/8 measure, and a note
    of seven eighths, are written with several signs each."""
    late = Ornament((OssiaNote(Pitch("C", 0, 5), F(4), F(1, 4)), OssiaNote(Pitch("D", 0, 5), F(17, 4), F(1, 4))))
    long = Ornament((OssiaNote(Pitch("C", 0, 5), F(0), F(7, 2)),))
    made = pencilled(score, mei, Mark("a", "6.1", late), Mark("b", "5.1", long))
    beams = [
        [child.tag.rpartition("}")[2] for child in beam]
        for staff in made.root.iter(f"{{{MEI}}}oStaff")
        for beam in staff.iter(f"{{{MEI}}}beam")
    ]
    assert beams == [["note", "note"]]


def test_overlapping_ossias_are_layers_of_one_staff(score: WrittenScore, mei: etree._Element) -> None:
    """Two staves in one place would be drawn over each other; two voices have their stems up and down (any primer)."""
    one = Ornament((OssiaNote(Pitch("C", 0, 5), F(0), F(2)),))
    made = pencilled(
        score, mei, Mark("a", "6.1", one), Mark("b", "6.1", one), Mark("c", "6.4", Alteration((Pitch("D", -1, 5),)))
    )
    assert len(found(made.root, "m:oStaff")) == 1
    layers = found(made.root, "m:oStaff/m:layer")
    stems = [{note.get("stem.dir") for note in found(layer, "m:note")} for layer in layers]
    assert stems == [{"up"}, {"down"}]
    assert group(drawn(made.root), "m-c") is not None


def test_ornaments_that_meet_are_one_voice(score: WrittenScore, mei: etree._Element) -> None:
    """The turn of a note and the graces that are taken from its end: one layer, which fills the measure."""
    part = score.piece.part
    first, second = [note for note in part.measures[8].notes if note.pitch is not None][:2]
    end_q = second.onset_q - part.measures[8].onset_q
    turn = Ornament((OssiaNote(parse_pitch("C4"), F(0), end_q / 2), OssiaNote(parse_pitch("D4"), end_q / 2, end_q / 2)))
    graces = Ornament(
        (
            OssiaNote(first.pitch, F(0), end_q - F(1, 4)),
            OssiaNote(parse_pitch("G4"), end_q - F(1, 4), F(1, 4)),
            OssiaNote(second.pitch, end_q, second.length_q),
        )
    )
    made = pencilled(score, mei, Mark("a", first.id, turn), Mark("b", second.id, graces))
    layers = found(made.root, "m:oStaff/m:layer")
    assert len(layers) == 1
    names = [note.get("pname") for note in found(layers[0], "m:note") if note.get("tie") not in ("t", "m")]
    assert names[:3] == ["c", "d", "g"] and second.pitch is not None and names[3] == second.pitch.step.lower()


def test_the_rate_of_a_long_trill_stands_over_its_ossia(score: WrittenScore, mei: etree._Element) -> None:
    shake = Shake(parse_pitch("C5"), F(0), F(3, 2), F(2), F(30), "steady")
    notes = tuple(OssiaNote(parse_pitch(("Bb4", "C5")[k % 2]), k * F(3, 80), F(3, 80)) for k in range(40))
    made = pencilled(score, mei, Mark("a", "6.1", Ornament(notes, "trill", "", shake)))
    assert len(found(made.root, "m:oStaff//m:note")) == 1
    label = next(one for one in made.root.iter(f"{{{MEI}}}dir") if "tr 2-30" in said(one))
    note = found(made.root, "m:oStaff//m:note")[0]
    assert label.get("startid") == f"#{note.get(XML_ID)}"
    assert "tr 2-30" in said(drawn(made.root))


def test_a_reminder_of_a_neighbour_stands_over_or_under_the_note(score: WrittenScore, mei: etree._Element) -> None:
    made = pencilled(
        score, mei, Mark("a", "6.1", Reminder("flat", "upper")), Mark("b", "6.1", Reminder("natural", "lower"))
    )
    signs = {said(one): one.get("place") for one in made.root.iter(f"{{{MEI}}}dir")}
    assert signs["♭"] == "above" and signs["♮"] == "below"


@given(st.integers(0, 48), st.fractions(F(1, 64), 8, max_denominator=64))
def test_a_length_is_spelled_exactly(onset: int, length_q: F) -> None:
    """Wherever a tuplet of up to 31 can."""
    made = spelled(F(onset, 12), length_q)
    odd = length_q.denominator
    while odd % 2 == 0:
        odd //= 2
    total_q = sum((piece.value.length_q for piece in made), F(0))
    assert total_q == length_q if odd <= 31 else 0 < total_q and abs(total_q - length_q) <= F(1, 32)
    assert made[0].onset_q == F(onset, 12)


@given(st.text(min_size=1, max_size=12))
def test_a_marks_id_comes_back(name: str) -> None:
    assert mark_id(mark_xml_id(name)) == name
    assert mark_id(mark_xml_id(name, 2)) == name


def said(element: etree._Element) -> str:
    return "".join(str(text) for text in element.itertext())


def lasting(element: etree._Element) -> F:
    """MEI: @dur is the part of a whole note, each dot adds half; a tuplet plays @num in the time of @numbase."""
    length_q = F(4, int(element.get("dur") or 1)) * (2 - F(1, 2 ** int(element.get("dots") or 0)))
    for tuplet in element.iterancestors(f"{{{MEI}}}tuplet"):
        length_q *= F(int(tuplet.get("numbase") or 1), int(tuplet.get("num") or 1))
    return length_q
