"""The census: nothing that a file says is silently dropped."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import pytest
from lxml import etree

from coach.errors import ScoreError
from coach.files.musicxml.reader import read_tree
from coach.files.musicxml.understood import ASIDE, ASIDE_ATTRIBUTES, OPEN_PARENTS, UNDERSTOOD
from coach.files.musicxml.vocabulary import DRAWING
from coach.files.score import read_score
from coach.files.source import corpus_folder
from coach.files.tree import parse_xml
from coach.music.piece import Piece
from tests.files.scores import FOUR_FOUR, note, read, said, score

SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"
XS = "{http://www.w3.org/2001/XMLSchema}"


@cache
def schema_names() -> tuple[frozenset[str], frozenset[str]]:
    """Element and attribute names of the MusicXML 4.0 schema, which the package musicxml carries."""
    spec = find_spec("musicxml")
    assert spec is not None and spec.origin is not None
    root = etree.parse(Path(spec.origin).parent / "generate_classes" / "musicxml_4_0.xsd").getroot()
    elements = {str(one.get("name")) for one in root.iter(XS + "element")}
    return frozenset(elements), frozenset(
        str(one.get("name")) for one in root.iter(XS + "attribute") if one.get("name")
    )


def test_every_name_in_the_tables_is_one_of_the_schema() -> None:
    elements, attributes = schema_names()
    named = set(UNDERSTOOD) | OPEN_PARENTS | {name for group in ASIDE.values() for name in group}
    assert named <= elements
    spoken = {name for known in UNDERSTOOD.values() for name in known}
    spoken |= {name for group in ASIDE_ATTRIBUTES.values() for name in group}
    assert spoken <= attributes
    assert {name for name in DRAWING if "{" not in name} - {"lang"} <= attributes


def test_no_name_is_both_understood_and_left_aside() -> None:
    aside = [name for group in ASIDE.values() for name in group]
    assert len(aside) == len(set(aside))
    assert not set(aside) & set(UNDERSTOOD)


def everything() -> str:
    """One score that holds what the test suite does not."""
    concert = (
        "<transpose><diatonic>-2</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change></transpose>"
        "<for-part><part-transpose><diatonic>-2</diatonic><chromatic>-2</chromatic></part-transpose></for-part>"
    )
    head = FOUR_FOUR.format(divisions=4).replace("</attributes>", concert + "</attributes>")
    hole = (
        "<technical><hole><hole-type>thumb</hole-type><hole-closed>half</hole-closed><hole-shape>round</hole-shape></hole>"
        "<harmonic><artificial/><base-pitch/><touching-pitch/><sounding-pitch/><natural/></harmonic>"
        "<arrow><arrow-direction>up</arrow-direction><arrow-style>single</arrow-style></arrow>"
        "<arrow><circular-arrow>clockwise</circular-arrow></arrow><handbell>damp</handbell>"
        "<bend><bend-alter>1</bend-alter><pre-bend/><release/><with-bar>scoop</with-bar></bend>"
        "<harmon-mute><harmon-closed>half</harmon-closed></harmon-mute><open/></technical>"
    )
    sung = "<lyric><text>a</text><elision> </elision><text>b</text></lyric>"
    sung += "<lyric><humming/></lyric><lyric><laughing/></lyric>"
    first = '<sound segno="s"/>' + note("C5", "whole", 16, notations=hole + '<slide type="start" number="1"/>')
    jumps = '<sound coda="c" tocoda="c" fine="yes" forward-repeat="yes"/>'
    words = (
        '<direction><direction-type><dashes type="start" number="2"/></direction-type><sound dacapo="yes"/></direction>'
    )
    cresc = "<direction><direction-type><words>cresc.</words></direction-type></direction>" + words
    stop = (
        '<direction><direction-type><dashes type="stop" number="2"/></direction-type><sound dalsegno="s"/></direction>'
    )
    second = jumps + cresc + note("D5", "half", 8).replace("</note>", sung + "</note>") + stop + note("E5", "half", 8)
    top = (
        "<work><work-title>W</work-title></work><movement-number>2</movement-number><identification>"
        '<creator type="composer">C</creator><rights>R</rights></identification><defaults><concert-score/></defaults>'
    )
    third = (
        note("C5", before="<cue/>", duration=4) + "<forward><duration>8</duration></forward>" + note("D5", duration=4)
    )
    mark = "<ornaments><turn/><accidental-mark placement='below'>sharp</accidental-mark></ornaments>"
    fourth = note("D5", "16th", None, before='<grace make-time="2"/>') + note("C5", "whole", 16, notations=mark)
    fourth += '<barline location="right"><repeat direction="backward" times="3"/></barline>'
    type_ = "<direction-type>{}</direction-type>".format
    tempo = "<metronome><beat-unit>half</beat-unit><per-minute>44</per-minute></metronome>"
    moved = f'<direction>{type_(tempo)}<offset sound="yes">8</offset></direction><sound tempo="77"/>'
    hairpin = f"<direction>{type_('<wedge type=%s niente=%s/>')}</direction>"
    swell = hairpin % ('"crescendo"', '"yes"') + note("C5", "whole", 16) + hairpin % ('"stop"', '"no"')
    text = score(first, second, third, fourth, moved + swell, head=head, divisions=4, top=top, name="")
    display = "<part-name-display><display-text>Shown</display-text></part-name-display>"
    more = "<score-instrument id='I'><instrument-name>N</instrument-name></score-instrument>"
    midi = "<midi-instrument id='I'><midi-program>5</midi-program></midi-instrument>"
    return text.replace("<part-name></part-name>", "<part-name></part-name>" + display + more + midi)


@cache
def fixtures() -> tuple[bytes, ...]:
    files = sorted(path for path in SUITE.iterdir() if path.suffix == ".xml")
    return everything().encode(), *(path.read_bytes() for path in files)


def outcome(root: etree._Element) -> Piece | str:
    try:
        return replace(read_tree(root, None), notices=())
    except Exception as error:  # a tree that cannot be read any more has certainly changed
        return type(error).__name__


def holding(path: str) -> Iterator[bytes]:
    for data in fixtures():
        if f"<{path}".encode() in data:
            yield data


# Part of something that is read as a whole, or needed only where a file leaves out what it usually says.
# A note without a pitch is a rest anyway, a metre without numbers is free anyway; ties are told twice (tie and tied).
STRUCTURE = {
    "rest", "senza-misura", "tie", "tied",
    "score-partwise", "score-timewise", "part-list", "score-instrument", "midi-instrument", "identification", "work",
    "direction-type", "normal-type", "normal-dot", "part-clef", "instrument-sound", "staves", "measure-style",
    "notehead",
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(set(UNDERSTOOD) - STRUCTURE))
def test_what_is_understood_goes_into_the_page(name: str) -> None:
    """Take an understood element away from a score that holds it: the page must differ, or the score be refused."""
    tried = 0
    for data in holding(name):
        whole, without = parse_xml(data, "whole"), parse_xml(data, "without")
        found = list(without.iter(name))
        for element in found:
            parent = element.getparent()
            if parent is not None:
                parent.remove(element)
        tried += bool(found)
        if found and outcome(whole) != outcome(without):
            return
    pytest.fail(f"<{name}> changed nothing in {tried} scores")


# Attributes that only pair, count or place what is read anyway, or that a census sentence answers.
PAIRING = {
    ("arpeggiate", "number"), ("non-arpeggiate", "number"), ("non-arpeggiate", "type"), ("glissando", "number"),
    ("slide", "number"), ("lyric", "name"), ("lyric", "number"), ("notehead", "filled"), ("notehead", "parentheses"),
    ("accidental", "editorial"), ("metronome", "parentheses"), ("midi-instrument", "id"), ("score-instrument", "id"),
    ("strong-accent", "type"), ("tied", "number"), ("tied", "type"), ("tie", "type"), ("fermata", "type"),
    ("score-partwise", "version"), ("score-timewise", "version"), ("note", "print-object"), ("creator", "type"),
    ("score-part", "id"), ("dashes", "number"), ("wedge", "number"), ("key", "number"), ("sound", "forward-repeat"),
    ("rest", "measure"), ("time", "number"), ("part", "id"),
}  # fmt: skip
ATTRIBUTES = sorted({(name, one) for name, known in UNDERSTOOD.items() for one in known} - PAIRING)


@pytest.mark.parametrize(("name", "attribute"), ATTRIBUTES)
def test_understood_attributes_go_into_the_page(name: str, attribute: str) -> None:
    """Take an understood attribute away from a score that holds it: the page must differ, or the score be refused."""
    tried = 0
    for data in holding(name):
        whole, without = parse_xml(data, "whole"), parse_xml(data, "without")
        found = [element for element in without.iter(name) if attribute in element.attrib]
        for element in found:
            del element.attrib[attribute]
        tried += bool(found)
        if found and outcome(whole) != outcome(without):
            return
    pytest.fail(f"{attribute} of <{name}> changed nothing in {tried} scores")


def test_what_is_not_understood_is_said(tmp_path: Path) -> None:
    strange = '<direction><direction-type><harp-pedals/></direction-type></direction><unheard of="1"/>'
    odd = note("C5", "whole", 4).replace("<note>", '<note wobble="yes">')
    piece = read(score(strange + odd, odd), tmp_path)
    assert "<harp-pedals> is not understood and is left out." in said(piece)
    assert "<unheard> is not understood and is left out." in said(piece)
    wobble = next(notice for notice in piece.notices if "wobble" in notice.text)
    assert (wobble.where, wobble.count) == ("1", 2)


def test_what_is_not_understood_is_said_once(tmp_path: Path) -> None:
    ninth = "<degree><degree-value>9</degree-value></degree>"
    chord = f"<harmony><root><root-step>C</root-step></root><kind>major</kind>{ninth}</harmony>"
    piece = read(score(chord + note("C5", "whole", 4)), tmp_path)
    assert [notice.text for notice in piece.notices] == ["Chord symbols are not kept."]


def test_layout_is_no_news(tmp_path: Path) -> None:
    layout = '<print new-system="yes"><system-layout><system-distance>80</system-distance></system-layout></print>'
    drawn = note("C5", "whole", 4, '<stem default-y="3">up</stem><beam number="1">begin</beam>')
    piece = read(score(layout + drawn.replace("<note>", '<note default-x="80" color="#000000">')), tmp_path)
    assert piece.notices == ()


def test_shapes_are_said() -> None:
    with pytest.raises(ScoreError):
        read_score(SUITE / "45a-SimpleRepeat.xml")
    texts = {notice.text for notice in read_score(SUITE / "22a-Noteheads.xml").notices}
    assert "Noteheads of the shape 'diamond' are kept as ordinary ones." in texts
    texts = {notice.text for notice in read_score(SUITE / "32a-Notations.xml").notices}
    assert "A fermata of the shape 'angled' is kept as an ordinary one." in texts
