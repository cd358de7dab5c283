"""Scores that break the rules of MusicXML 4.0 come out valid, and our reader finds the same in them."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from lxml import etree

from coach.files.marked.mending import _ACCIDENTALS, _KINDS, ORDER
from coach.files.marked.writing import marked_musicxml
from coach.files.score import read_score
from coach.files.source import corpus_folder
from coach.music.piece import Piece
from coach.prepare.mark import Breath, Mark
from coach.prepare.prep import Prep
from tests.files.marked.schema import faults, load_schema, schema_folder
from tests.files.scores import note, score

XS = "{http://www.w3.org/2001/XMLSchema}"
PARTICLES = {f"{XS}{name}" for name in ("element", "group", "sequence", "choice", "complexType")}
SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"
FULL = note("C5", "whole", 4)


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> etree.XMLSchema:
    return load_schema(tmp_path_factory.mktemp("schema"))


def schema_orders(name: str) -> list[list[str]]:
    """The children of an element in the order of the MusicXML 4.0 schema, once for every choice that it leaves."""
    root = etree.parse(schema_folder() / "musicxml_4_0.xsd").getroot()
    groups = {one.get("name"): one for one in root.iterfind(f"{XS}group")}
    types = {one.get("name"): one for one in root.iterfind(f"{XS}complexType")}
    whole = next((one for one in root.iterfind(f"{XS}element") if one.get("name") == name), None)

    def orders(element: etree._Element) -> list[list[str]]:
        if element.tag == f"{XS}element" and element is not whole:
            return [[element.get("name") or ""]]
        if element.tag == f"{XS}group" and element.get("ref"):
            return orders(groups[element.get("ref")])
        inside = [orders(child) for child in element if child.tag in PARTICLES]
        if element.tag == f"{XS}choice":
            return [order for one in inside for order in one]
        return [[name for order in together for name in order] for together in product(*inside)]

    return orders(types[name] if whole is None else whole)


@pytest.mark.parametrize("name", ORDER)
def test_the_orders_are_those_of_the_schema(name: str) -> None:
    orders = schema_orders(name)
    assert {child for order in orders for child in order} == set(ORDER[name])
    for order in orders:
        places = [ORDER[name].index(child) for child in order]
        assert places == sorted(places)


@pytest.mark.parametrize(("name", "values"), [("accidental-value", _ACCIDENTALS), ("kind-value", _KINDS)])
def test_the_values_are_those_of_the_schema(name: str, values: frozenset[str]) -> None:
    root = etree.parse(schema_folder() / "musicxml_4_0.xsd").getroot()
    (simple,) = (one for one in root.iterfind(f"{XS}simpleType") if one.get("name") == name)
    assert values == {one.get("value") for one in simple.iter(f"{XS}enumeration")}


def out_and_in(text: str, folder: Path) -> tuple[Piece, Piece, bytes]:
    """The piece in a text, the piece in its marked part, and that document. What is said of a piece may change."""
    source, target = folder / "score.xml", folder / "marked.musicxml"
    source.write_text(text, "utf-8")
    piece = read_score(source)
    document = marked_musicxml(source, Prep(marks=(Mark("a", next(piece.part.pitched()).id, Breath()),)))
    target.write_bytes(document)
    again = read_score(target)
    return (
        replace(piece, notices=(), score_hash="", title=""),
        replace(again, notices=(), score_hash="", title=""),
        document,
    )


CHORD = "<harmony><root><root-step>C</root-step></root><kind>minor-major</kind>{}</harmony>"
BROKEN = {
    "an order of old": FULL.replace("<octave>5</octave>", "").replace("<step>", "<octave>5</octave><step>"),
    "voice after type": note("C5", "whole", 4).replace("<voice>1</voice>", "") + "<!-- -->",
    "notations before type": "<note><notations><fermata/></notations><pitch><octave>5</octave><step>C</step></pitch>"
    "<type>whole</type><duration>4</duration></note>",
    "no way forward": FULL + "<forward><duration>0</duration></forward>",
    "no way back": "<backup><duration>0</duration></backup>" + FULL,
    "an empty accidental": note("C5", "whole", 4, "<accidental/>"),
    "an unknown accidental": note("C5", "whole", 4, "<accidental>other</accidental>"),
    "another word for a double flat": note("Cbb5", "whole", 4, "<accidental>double-flat</accidental>"),
    "a note of no length": "<note><pitch><step>D</step><octave>5</octave></pitch><duration>0</duration></note>" + FULL,
    "a grace with a duration": "<note><grace/><pitch><step>D</step><octave>5</octave></pitch><duration>0</duration>"
    "<type>eighth</type></note>" + FULL,
    "a strange element in a note": note("C5", "whole", 4, "<smell>sweet</smell>"),
    "two voices at a note": note("C5", "whole", 4, "<voice>1</voice>"),
    "a loudness below nothing": '<sound dynamics="-1.11"/>' + FULL,
    "a place that is no number": FULL.replace("<note>", '<note default-x="left">'),
    "a colour by name": FULL.replace("<note>", '<note color="red">'),
    "a colour in small letters": FULL.replace("<note>", '<note color="#ff00aa">'),
    "a value that is none": FULL.replace("whole", "semibreve"),
    "chords of their own names": CHORD.format("") + FULL,
    "half a degree": CHORD.format("<degree><degree-value>5</degree-value><degree-type>subtract</degree-type></degree>")
    + FULL,
    "two degrees in one": CHORD.format(
        "<degree><degree-value>5</degree-value><degree-type>add</degree-type><degree-value>7</degree-value>"
        "<degree-type>add</degree-type></degree>"
    )
    + FULL,
    "figures without a figure": "<figured-bass/>" + FULL,
    "an accordion of five": "<direction><direction-type><accordion-registration><accordion-middle>5</accordion-middle>"
    "</accordion-registration></direction-type></direction>" + FULL,
    "ids twice": FULL.replace("<note>", '<note id="n">') + '<barline id="n" location="right"/>',
    "an id that begins with a figure": FULL.replace("<note>", '<note id="1">'),
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_broken_measure_is_mended(what: str, tmp_path: Path, schema: etree.XMLSchema) -> None:
    piece, again, document = out_and_in(score(BROKEN[what], FULL), tmp_path)
    assert faults(schema, document) == []
    assert again == piece


HEADS = {
    "a program 0": (
        "</score-part>",
        '<score-instrument id="I1"><instrument-name>Clarinet</instrument-name></score-instrument>'
        '<midi-instrument id="I1"><midi-program>0</midi-program></midi-instrument></score-part>',
    ),
    "a part without a name": ("<part-name>Clarinet</part-name>", ""),
    "a part that is not announced": ('<part id="P1">', '<part id="P2">'),
    "a part without an id": ('<part id="P1">', "<part>"),
    "a part twice": ("</part>", f'</part><part id="P1"><measure number="3">{FULL}</measure></part>'),
    "a part without measures": ("</part>", '</part><part id="P1"/>'),
    "a measure without a number": ('<measure number="2">', "<measure>"),
    "a title at the end": ("</score-partwise>", "<movement-title>Late</movement-title></score-partwise>"),
    "no list of parts": (
        '<part-list><score-part id="P1"><part-name>Clarinet</part-name></score-part></part-list>',
        "",
    ),
    "a namespace": ("<score-partwise ", '<score-partwise xmlns="http://example.org/music" '),
    "an old version": ('version="4.0"', 'version="1.0"'),
}


@pytest.mark.parametrize("what", HEADS)
def test_a_broken_head_is_mended(what: str, tmp_path: Path, schema: etree.XMLSchema) -> None:
    text = score(FULL, FULL)
    before, after = HEADS[what]
    assert before in text
    piece, again, document = out_and_in(text.replace(before, after), tmp_path)
    assert faults(schema, document) == []
    assert again == piece
    assert etree.fromstring(document).get("version") == "4.0"


def test_time_before_parts_is_turned(tmp_path: Path, schema: etree.XMLSchema) -> None:
    """MusicXML 4.0: a timewise score holds parts within measures; both forms say the same."""
    parts = "".join(f'<score-part id="{name}"><part-name>{name}</part-name></score-part>' for name in ("P1", "P2"))
    low = note("G4", "whole", 4)
    measures = "".join(
        f'<measure number="{k}" id="m{k}"><part id="P1">{FULL}</part><part id="P2">{low}</part></measure>'
        for k in (1, 2)
    )
    text = f'<score-timewise version="3.1"><part-list>{parts}</part-list>{measures}</score-timewise>'
    piece, again, document = out_and_in(text, tmp_path)
    assert faults(schema, document) == []
    assert again == piece
    root = etree.fromstring(document)
    assert root.tag == "score-partwise"
    assert [[one.get("number") for one in part.iterfind("measure")] for part in root.iterfind("part")] == [
        ["1", "2"]
    ] * 2


def test_the_suite_of_odd_scores_comes_out_valid(tmp_path: Path, schema: etree.XMLSchema) -> None:
    """music21's MusicXML test suite (drawn from LilyPond's): all with notes stay the same piece, invalid ones too."""
    done = invalid = 0
    for path in sorted(one for one in SUITE.iterdir() if one.suffix == ".xml"):
        text = path.read_text("utf-8", errors="replace")
        if "<pitch>" not in text and "<unpitched>" not in text:
            continue
        piece = read_score(path)
        document = marked_musicxml(path, Prep())
        assert faults(schema, document) == [], path.name
        target = tmp_path / path.name
        target.write_bytes(document)
        again = read_score(target)
        assert replace(again, score_hash="", notices=()) == replace(piece, score_hash="", notices=()), path.name
        done += 1
        invalid += bool(faults(schema, path.read_bytes()))
    assert done > 120 and invalid >= 2
