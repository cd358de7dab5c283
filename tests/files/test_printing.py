"""The printed part, read back by others: PDFium for PDF, html.parser and Chromium for HTML, resvg for the drawing."""

import re
import subprocess
from datetime import UTC, datetime
from fractions import Fraction as F
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2
import pytest
import resvg_py
from lxml import etree

from coach.files.printing.html import html
from coach.files.printing.pages import PrintedPart, printed_part
from coach.files.printing.paper import PAPERS
from coach.files.printing.pdf import pdf
from coach.files.score import WrittenScore, written_score
from coach.music.pitch import Pitch
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.paths import content
from coach.prepare.mark import Alteration, Breath, Comment, Fingering, Mark, Pace, Reminder
from coach.prepare.prep import Prep
from tests.files.test_pencil import CASES
from tests.servers import need

MADE_AT = datetime(2026, 1, 2, 3, 4, 5, 678, tzinfo=UTC)
TEMPO = Tempo(F(50), Value("quarter", 1))
SIZES_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
HOSTILE = "</style></title><script>alert(1)</script> & \x1b[31m\x9b0m \u202e#[set page(fill: red)] $x$ \\ \" ' ]]>"
SVG = "{http://www.w3.org/2000/svg}"


def prep(state: str = "kept") -> Prep:
    return Prep(marks=tuple(Mark(f"b{k}", at, content_, "player", state) for k, (at, content_) in enumerate(CASES)))


@pytest.fixture(scope="module")
def demo() -> WrittenScore:
    return written_score("content/pieces/demo.musicxml")


@pytest.fixture(scope="module")
def weber() -> WrittenScore:
    return written_score("corpus:weber/concertino_clarinet")


@pytest.fixture(scope="module", params=sorted(PAPERS))
def printed(request: pytest.FixtureRequest, demo: WrittenScore) -> tuple[PrintedPart, str]:
    return printed_part(demo, prep(), TEMPO, PAPERS[request.param]), request.param


@pytest.fixture(scope="module")
def weber_printed(weber: WrittenScore) -> PrintedPart:
    tempo = weber.piece.first_tempo
    assert tempo is not None
    return printed_part(weber, Prep(), tempo, PAPERS["a4"])


def hostile(demo: WrittenScore) -> PrintedPart:
    """The demo with a title and marks that try to break out."""
    from dataclasses import replace

    score = replace(demo, piece=replace(demo.piece, title=HOSTILE, composer=HOSTILE))
    marks = (
        Mark("a", "1.1", Comment(HOSTILE)),
        Mark("b", "2.1", Reminder(HOSTILE)),
        Mark("c", "3.1", Fingering("<b>")),
    )
    return printed_part(score, Prep(marks=marks), TEMPO, PAPERS["a4"])


def read(data: bytes) -> tuple[pypdfium2.PdfDocument, str]:
    document = pypdfium2.PdfDocument(data)
    return document, "\n".join(page.get_textpage().get_text_range() for page in document)


class Parsed(HTMLParser):
    """What a browser would find in a document: its elements, its text, its addresses."""

    def __init__(self, document: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.labels: list[str] = []
        self.addresses: list[str] = []
        self.text = ""
        self.feed(document)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        found = dict(attrs)
        self.labels.append(found.get("aria-label") or "")
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href", "xlink:href", "data")]

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_pdf_has_its_paper_its_words_and_its_fonts(printed: tuple[PrintedPart, str]) -> None:
    part, name = printed
    document, text = read(pdf(part, PAPERS[name], MADE_AT))
    assert document.get_metadata_dict()["Title"] == "Slow \u00c9tude in D flat"
    assert len(document) >= len(part.pages)
    for page in document:
        assert [points * 25.4 / 72 for points in page.get_size()] == pytest.approx(SIZES_MM[name], abs=0.5)
    for words in ("Clarinet in B\u266d", "dotted quarter = 50", "Andante sostenuto", "warm", "catch breath", "3 beats"):
        assert words in text
    assert "Let the line fall here" in text.replace("\r\n", " ")
    fonts = {
        thing.get_font().get_base_name()
        for page in document
        for thing in page.get_objects()
        if isinstance(thing, pypdfium2.PdfTextObj)
    }
    assert fonts and all(re.search("Coach(Serif|Signs)", font) for font in fonts), fonts


def test_each_line_begins_with_its_measures_number(printed: tuple[PrintedPart, str]) -> None:
    """But the first line, as is the custom."""
    part, _ = printed
    numbers: list[str] = []
    lines = 0
    for page in part.pages:
        svg = etree.fromstring(page.svg.encode())
        for group in svg.iter(f"{SVG}g"):
            lines += group.get("class") == "system"
            if "mNum" in (group.get("class") or ""):
                numbers.append("".join(map(str, group.itertext())).strip())
    assert len(numbers) == lines - 1
    assert numbers == sorted(numbers, key=int)
    assert part.pages[1].first in numbers


def test_the_staff_is_eight_millimetres_high_and_all_is_on_the_page(printed: tuple[PrintedPart, str]) -> None:
    part, name = printed
    paper = PAPERS[name]
    for k, page in enumerate(part.pages):
        svg = etree.fromstring(page.svg.encode())
        _, _, width, height = map(float, (svg.get("viewBox") or "").split())
        staff = next(g for g in svg.iter(f"{SVG}g") if g.get("class") == "staff")
        heights = [float((path.get("d") or "").split()[1]) for path in staff.findall(f"{SVG}path")[:5]]
        assert (max(heights) - min(heights)) / 10 * page.width_mm / width == pytest.approx(8.0, abs=0.05)
        assert page.height_mm == pytest.approx(height * page.width_mm / width)
        assert page.width_mm <= paper.line_mm + 0.1
        assert page.height_mm <= paper.music_mm - (27 if k == 0 else 0) + 0.1


def test_every_measure_is_printed_once_and_in_order(weber_printed: PrintedPart, weber: WrittenScore) -> None:
    said = [line.partition(":")[0] for page in weber_printed.pages for line in page.words]
    assert said == [f"Measure {measure.number}" for measure in weber.piece.part.measures]
    drawn = sum(page.svg.count('class="multiRest"') for page in weber_printed.pages)
    assert drawn >= 5  # the first of them counts nine measures, before the clarinet enters


def test_a_marked_rest_stands_alone(weber: WrittenScore) -> None:
    """The nine measures before the clarinet enters, counted in two groups around a fermata in the fifth."""
    tempo = weber.piece.first_tempo
    assert tempo is not None
    marks = (Mark("a", "5.r1", Pace("fermata")), Mark("b", "5.r1", Comment("look up")))
    part = printed_part(weber, Prep(marks=marks), tempo, PAPERS["a4"])
    assert part.undrawn == ()
    svg = etree.fromstring(part.pages[0].svg.encode())
    line = next(group for group in svg.iter(f"{SVG}g") if group.get("class") == "system")
    classes = [group.get("class") or "" for group in line.iter(f"{SVG}g")]
    assert classes.count("multiRest") == 2
    assert any("fermata mark kept" in name for name in classes)


@pytest.mark.parametrize("source", ["monteverdi/madrigal.3.1.mxl", "bach/bwv29.8.mxl", "schumann_robert/opus48no2"])
def test_every_measure_of_other_scores_too(source: str) -> None:
    """The madrigal's file counts measures of rest together itself, and holds all its lyrics at one place."""
    score = written_score(f"corpus:{source}")
    part = printed_part(score, Prep(), TEMPO, PAPERS["letter"])
    said = [line.partition(":")[0] for page in part.pages for line in page.words]
    assert said == [f"Measure {measure.number or measure.id}" for measure in score.piece.part.measures]
    assert all(page.height_mm <= PAPERS["letter"].music_mm + 0.1 for page in part.pages)
    assert len(part.pages) < 8


def test_a_measure_too_wide_for_a_line_is_divided(tmp_path: Path) -> None:
    """Two measures of 96 sixteenths: every note is there once, none nearer to the next than a notehead (1.2 spaces)."""
    from tests.files.scores import note

    run = "".join(note(f"{'CDEFGAB'[k % 7]}5", "16th", 1) for k in range(96))
    head = (
        "<attributes><divisions>4</divisions><key><fifths>2</fifths></key><time><beats>24</beats>"
        "<beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
    )
    path = tmp_path / "run.musicxml"
    path.write_text(
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Clarinet</part-name></score-part>'
        f'</part-list><part id="P1"><measure number="1">{head}{run}</measure><measure number="2">{run}</measure></part>'
        "</score-partwise>"
    )
    part = printed_part(written_score(path), Prep(), TEMPO, PAPERS["a4"])
    assert [line.partition(":")[0] for page in part.pages for line in page.words] == ["Measure 1", "Measure 2"]
    heads = 0
    for page in part.pages:
        for line in etree.fromstring(page.svg.encode()).iter(f"{SVG}g"):
            if line.get("class") == "system":
                text = etree.tostring(line, encoding="unicode")
                xs = [int(x) for x in re.findall(r"<use [^>]*#p\d+-E0A4[^>]*translate\((\d+)", text)]
                heads += len(xs)
                assert all(after - before >= 1.2 * 180 for before, after in zip(xs, xs[1:], strict=False))
    assert heads == 192


def test_pages_are_turned_where_the_player_rests(weber_printed: PrintedPart, weber: WrittenScore) -> None:
    """More turns of Weber's part than without planning: the page ends in a rest, or the next one begins with one."""
    part = weber.piece.part
    ends = [next(k for k, m in enumerate(part.measures) if m.number == page.last) for page in weber_printed.pages[:-1]]
    resting = [k for k in ends if part.measures[k].notes[-1].is_rest or part.measures[k + 1].notes[0].is_rest]
    anywhere = sum(
        one.notes[-1].is_rest or other.notes[0].is_rest
        for one, other in zip(part.measures, part.measures[1:], strict=False)
    )
    assert len(resting) / len(ends) > anywhere / len(part.measures)
    assert len(resting) >= len(ends) - 1


def test_the_html_stands_alone(printed: tuple[PrintedPart, str]) -> None:
    part, name = printed
    document = html(part, PAPERS[name])
    found = Parsed(document)
    assert not {"script", "link", "iframe", "img", "object", "embed", "base", "form"} & set(found.tags)
    assert all(address.startswith(("#", "data:")) for address in found.addresses)
    assert set(re.findall(r"(?:https?:)//[^\"' )]+", document)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
        "http://www.w3.org/XML/1998/namespace",
    }
    assert all(address.startswith("data:") for address in re.findall(r"url\(\"?([^\")]+)", document))
    assert "@import" not in document
    names = re.findall(r'\bid="([^"]+)"', document)
    assert len(names) == len(set(names))


def test_the_html_can_be_heard(printed: tuple[PrintedPart, str]) -> None:
    """Each page has a name and its measures in words, with the marks."""
    part, name = printed
    document = html(part, PAPERS[name])
    found = Parsed(document)
    assert '<html lang="en">' in document
    assert (found.tags.count("h1"), found.tags.count("svg") >= len(part.pages)) == (1, True)
    for page in part.pages:
        assert any(f"measures {page.first} to {page.last}" in label for label in found.labels)
    assert "Measure 1: A flat 4 dotted quarter, a phrase begins; F 5 dotted quarter, fingering R" in found.text
    assert "Measure 30" in found.text


def test_text_is_never_obeyed(demo: WrittenScore) -> None:
    part = hostile(demo)
    document = html(part, PAPERS["a4"])
    found = Parsed(document)
    assert not {"script", "b"} & set(found.tags)
    assert "<script>alert(1)</script>" in found.text
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202e]", document)
    assert document.count("</style>") == 1
    _, text = read(pdf(part, PAPERS["a4"], MADE_AT))
    assert "#[set page(fill: red)]" in text.replace("\r\n", " ")
    for page in part.pages:
        etree.fromstring(page.svg.encode())


def test_the_legend_says_what_occurs_and_no_more(demo: WrittenScore) -> None:
    part = printed_part(demo, Prep(marks=(Mark("a", "1.1", Breath()),)), TEMPO, PAPERS["a4"])
    assert [sign.meaning for sign in part.legend] == ["breath"]
    part = printed_part(demo, Prep(marks=(Mark("a", "1.1", Breath(), "computed", "suggested"),)), TEMPO, PAPERS["a4"])
    assert [sign.meaning for sign in part.legend] == ["breath", "in brackets or dashed: only suggested"]
    assert printed_part(demo, Prep(), TEMPO, PAPERS["a4"]).legend == ()


def test_comments_are_listed_by_measure(demo: WrittenScore) -> None:
    marks = (
        Mark("a", "20.1", Comment("x" * 99), "teacher"),
        Mark("b", "3.1", Comment("y")),
        Mark("c", "8.2g1", Comment("z" * 40)),
        Mark("d", "77.1", Comment("nowhere")),
    )
    part = printed_part(demo, Prep(marks=marks), TEMPO, PAPERS["a4"])
    assert [(r.number, r.where, r.text[0], r.origin) for r in part.remarks] == [
        ("", "3, beat 1", "y", "player"),
        ("1", "8, beat 3", "z", "player"),
        ("2", "20, beat 1", "x", "teacher"),
    ]
    assert part.undrawn == ("d",)


def test_the_reasons_of_the_breaths_are_listed_by_measure(demo: WrittenScore) -> None:
    because = "After the long F."
    marks = (
        Mark("a", "20.1", Breath(), "computed", "suggested", because),
        Mark("b", "3.1", Breath("catch"), "computed", "kept", "In the rest."),
        Mark("c", "5.1", Breath(), "teacher", "kept", "Sing on."),
        Mark("d", "6.1", Breath()),
        Mark("e", "7.1", Breath(), "computed", "struck", because),
    )
    part = printed_part(demo, Prep(marks=marks), TEMPO, PAPERS["a4"])
    assert [(r.where, r.text, r.origin) for r in part.reasons] == [
        ("3, beat 1", "In the rest.", "player"),
        ("5, beat 1", "Sing on.", "teacher"),
        ("20, beat 1", because, "suggested"),
    ]
    text = html(part, PAPERS["a4"])
    assert text.count(because) == 1 and "medical" in text
    assert "medical" not in html(printed_part(demo, Prep(marks=marks[3:]), TEMPO, PAPERS["a4"]), PAPERS["a4"])


def test_what_is_suggested_looks_different_on_paper(demo: WrittenScore) -> None:
    """Every kind, in one colour: the pixels of the page differ from those with the mark kept."""
    fonts = [str(content("fonts", name)) for name in ("CoachSerif-Regular.ttf", "CoachSerif-Italic.ttf")]
    for at, content_ in CASES:
        pictures = []
        for state in ("kept", "suggested"):
            part = printed_part(demo, Prep(marks=(Mark("a", at, content_, "player", state),)), TEMPO, PAPERS["a4"])
            pictures.append(bytes(picture(part.pages[0].svg.replace("#0b3d91", "#000000"), fonts)))
        assert pictures[0] != pictures[1], content_


def test_our_fonts_alone_draw_the_words(demo: WrittenScore) -> None:
    svg = printed_part(demo, Prep(), TEMPO, PAPERS["a4"]).pages[0].svg
    fonts = [str(path) for path in sorted(Path(str(content("fonts"))).glob("*.ttf"))]
    with_fonts, without = picture(svg, fonts), picture(svg, [])
    assert with_fonts != without
    assert picture(re.sub("Andante sostenuto", "", svg), []) == without


def picture(svg: str, fonts: list[str]) -> bytes:
    made = resvg_py.svg_to_bytes(
        svg_string=svg, background="white", width=700, font_files=fonts, skip_system_fonts=True
    )
    return bytes(made)


@pytest.mark.server
@pytest.mark.parametrize("name", sorted(PAPERS))
def test_a_browser_prints_the_same_pages(demo: WrittenScore, tmp_path: Path, name: str) -> None:
    """Chromium: as many pages as the PDF has, of the same size, with the same words on each."""
    need("chromium")
    part = printed_part(demo, prep("suggested"), TEMPO, PAPERS[name])
    page, made = tmp_path / "part.html", tmp_path / "part.pdf"
    page.write_text(html(part, PAPERS[name]), "utf-8")
    browser = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'profile'}"]
    subprocess.run(
        [*browser, "--no-pdf-header-footer", f"--print-to-pdf={made}", page.as_uri()],
        check=True,
        timeout=120,
        capture_output=True,
    )
    printed_, _ = read(made.read_bytes())
    ours, _ = read(pdf(part, PAPERS[name], MADE_AT))
    assert len(printed_) == len(ours)
    for theirs, own in zip(printed_, ours, strict=True):
        assert theirs.get_size() == pytest.approx(own.get_size(), abs=1.5)
        assert words_on(theirs) == words_on(own)


def words_on(page: pypdfium2.PdfPage) -> list[str]:
    """The words, sorted: the two list the same text in different orders. Musical signs are set in pieces by both."""
    return sorted(re.findall(r"[\w\u00c0-\u017f]+", page.get_textpage().get_text_range()))


def test_words_over_the_last_notes_stay_on_the_line(demo: WrittenScore) -> None:
    """A comment as long as may stand over a note, at each measure's last one: PDFium finds every letter within the
    margins of the paper."""
    last = [[note.id for note in measure.notes][-1] for measure in demo.piece.part.measures]
    words = ("sing over the bar", "WARM AND LOW, MWMW", "listen to the others")
    marks = tuple(Mark(f"c{k}", at, Comment(words[k % 3])) for k, at in enumerate(last))
    document = pypdfium2.PdfDocument(
        pdf(printed_part(demo, Prep(marks=marks), TEMPO, PAPERS["a4"]), PAPERS["a4"], MADE_AT)
    )
    margin = PAPERS["a4"].side_mm * 72 / 25.4
    seen = 0
    for page in document:
        text = page.get_textpage()
        for said in words:
            search = text.search(said)
            while (found := search.get_next()) is not None:
                boxes = [text.get_charbox(k) for k in range(found[0], sum(found)) if text.get_text_range(k, 1).strip()]
                seen += 1
                assert max(box[2] for box in boxes) <= page.get_width() - margin
    assert seen == 2 * len(last)  # over the note and in the list of comments


def test_an_ossia_has_its_notes_and_no_clef_far_from_them(demo: WrittenScore) -> None:
    """verovio sets clef and key where the measure begins; the small staff starts at its notes, over a staff that has
    them (trade practice)."""
    mark = Mark("a", "4.3", Alteration((Pitch("E", -1, 5),)))
    part = printed_part(demo, Prep(marks=(mark,)), TEMPO, PAPERS["a4"])
    root = etree.fromstring(part.pages[0].svg.encode())
    (small,) = [g for g in root.iter(f"{SVG}g") if "oStaff" in (g.get("class") or "").split()]
    around = small.getparent()
    assert around is not None
    assert not around.findall(f"{SVG}path")  # a bracket and a barline before a clef that is not there
    assert not [g for g in small.iter(f"{SVG}g") if (g.get("class") or "") in ("clef", "keySig", "keyAccid")]
    xs = [float(x) for path in small.findall(f"{SVG}path") for x in re.findall(r"[ML](\d+)", path.get("d") or "")]
    (head,) = [g for g in small.iter(f"{SVG}g") if g.get("class") == "notehead"]
    (at,) = re.findall(r"translate\((\d+)", etree.tostring(head, encoding="unicode"))
    assert 0 < float(at) - min(xs) < 2 * 180  # two staff spaces, in verovio's units
