"""The printed part before it becomes a file: engraved pages, planned so that turns fall on rests, and all its words."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from lxml import etree

from coach.errors import ScoreError
from coach.files.engraving.mei import part_mei
from coach.files.engraving.pencil import pencil_in
from coach.files.engraving.splitting import split_wide
from coach.files.engraving.toolkit import load, toolkit
from coach.files.printing.finish import finish, resize, spread, systems
from coach.files.printing.leaves import Leaf, break_at, leaves
from coach.files.printing.legend import Remark, Sign, legend, reasons, remarks
from coach.files.printing.measuring import Extent, extents
from coach.files.printing.paper import PX_PER_MM, Paper
from coach.files.printing.turns import Block, Format, Lines, page_height, plan
from coach.files.printing.words import marks_by_note, measure_words
from coach.files.score import WrittenScore
from coach.music.measure import Measure
from coach.music.metre import Metre
from coach.music.part import Part
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.music.text import one_line
from coach.prepare.mark import Mark
from coach.prepare.prep import Prep

HEAD_MM = 27.0  # of the first page, for title, part and tempo
LEFT_PX, RIGHT_PX, TOP_PX = 24, 3, 4  # room for the measure numbers, the last barline, the highest sign
GAP_PX = 22.0  # between what reaches lowest in a line and highest in the next
MOST_SPREAD_PX = 60.0
TRIES = 8


@dataclass(frozen=True, slots=True)
class Page:
    """A page of music: its drawing as SVG, the size of that in mm, the numbers of its first and last measure, its
    measures in words."""

    svg: str
    width_mm: float
    height_mm: float
    first: str
    last: str
    words: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the page holds."""
        return f"measures {self.first} to {self.last}" if self.first != self.last else f"measure {self.first}"


@dataclass(frozen=True, slots=True)
class PrintedPart:
    """All that a printed part says. `tempo` is the performance tempo in words; `reasons` are those of the breaths."""

    title: str
    composer: str
    part: str
    tempo: str
    pages: tuple[Page, ...]
    legend: tuple[Sign, ...]
    remarks: tuple[Remark, ...]
    reasons: tuple[Remark, ...]
    undrawn: tuple[str, ...]


def printed_part(score: WrittenScore, prep: Prep, tempo: Tempo, paper: Paper) -> PrintedPart:
    """The part with its marks on pages of this paper. Raises ScoreError if it cannot be engraved."""
    piece = score.piece
    drawn = pencil_in(part_mei(score), prep, piece.part)
    split_wide(drawn.root, piece.part.measures, _metres(piece.part), _room(piece.part, paper))
    root, found = leaves(drawn.root, piece.part)
    if not found:
        raise ScoreError(f"{piece.title} has no measures to print; choose another part.")
    marks = tuple(mark for mark in prep.shown if mark.id not in drawn.undrawn)
    said = marks_by_note(marks)
    svgs, pages = _drawn_pages(piece, root, found, tempo, paper)
    starts = [0, *(lines[-1] for lines in pages)]
    made: list[Page] = []
    begun = -1
    for k, svg in enumerate(svgs):
        first, last = found[starts[k]].first, found[starts[k + 1] - 1].last
        made.append(_page(svg, piece.part.measures[first : last + 1], said, begun == first))
        begun = last
    return PrintedPart(
        one_line(piece.title),
        one_line(piece.composer),
        one_line(piece.part.name),
        tempo.name,
        tuple(made),
        legend(marks, dict(drawn.numbers)),
        remarks(marks, piece.part, dict(drawn.numbers)),
        reasons(marks, piece.part),
        drawn.undrawn,
    )


def _page(svg: etree._Element, measures: Sequence[Measure], said: dict[str, list[Mark]], begun: bool) -> Page:
    """A page; its words leave out a measure that the page before began."""
    names = [measure.number or measure.id for measure in measures]
    width, height = (float(number) for number in (svg.get("viewBox") or "").split()[2:])
    words = tuple(measure_words(measure, said) for measure in measures[int(begun) :])
    text = etree.tostring(svg, encoding="unicode")
    return Page(text, width / PX_PER_MM, height / PX_PER_MM, names[0], names[-1], words)


def _metres(part: Part) -> list[Metre | None]:
    """The metre in force in each measure."""
    found: list[Metre | None] = []
    for measure in part.measures:
        found.append(measure.metre or (found[-1] if found else None))
    return found


def _room(part: Part, paper: Paper) -> float:
    """How many staff spaces a line has for notes."""
    fullest = max(abs(measure.key.fifths) for measure in part.measures)
    return paper.line_mm * PX_PER_MM / 18 - 6 - fullest


def _drawn_pages(
    piece: Piece, root: etree._Element, found: tuple[Leaf, ...], tempo: Tempo, paper: Paper
) -> tuple[list[etree._Element], tuple[Lines, ...]]:
    """The pages, planned again with higher lines where verovio's drawing is higher than was reckoned."""
    rooms = [(paper.music_mm - HEAD_MM) * PX_PER_MM, paper.music_mm * PX_PER_MM]
    width = round(paper.line_mm * PX_PER_MM)
    blocks = _blocks(piece, found, _measured(root, found, width, piece.title), tempo)
    room = Format(width - LEFT_PX - RIGHT_PX, _clef_px(piece.part), GAP_PX, rooms[0], rooms[1])
    for _ in range(TRIES):
        pages = plan(blocks, room)
        svgs = _engraved(root, found, pages, width, piece.title)
        heights = [finish(svg, f"p{k + 1}-")[1] for k, svg in enumerate(svgs)]
        over = [height > rooms[min(k, 1)] and len(pages[k]) > 1 for k, height in enumerate(heights)]
        if not any(over):
            break
        blocks = _higher(blocks, room, pages, [height * full for height, full in zip(heights, over, strict=True)])
    for k, (svg, height) in enumerate(zip(svgs, heights, strict=True)):
        _fit(svg, width, height, rooms[min(k, 1)], last=k == len(svgs) - 1)
    return svgs, pages


def _higher(blocks: list[Block], room: Format, pages: tuple[Lines, ...], heights: list[float]) -> list[Block]:
    """The blocks, those of pages that came out too high (0 for the others) reckoned as high as they were drawn."""
    made: list[Block] = []
    for lines, height in zip(pages, heights, strict=True):
        much = max(height / page_height(blocks, room, len(made), lines) * 1.005, 1.0)
        for block in blocks[len(made) : lines[-1]]:
            made.append(replace(block, above=block.above * much, below=block.below * much))
    return made


def _fit(svg: etree._Element, width: float, height: float, room: float, *, last: bool) -> None:
    """Fill the page by setting its lines apart; the last one ends where it ends."""
    gaps = len(systems(svg)) - 1
    if gaps > 0 and not last and height < room:
        gap = min((room - height) / gaps, MOST_SPREAD_PX)
        spread(svg, gap)
        height += gap * gaps
    resize(svg, width, height)


def _measured(root: etree._Element, found: Sequence[Leaf], width: int, title: str) -> tuple[Extent, ...]:
    text = etree.tostring(root, encoding="unicode")
    line = _drawn(_tool(breaks="none", adjustPageWidth=True), text, title)
    return extents(line[0], _drawn(_tool(breaks="auto", pageWidth=width), text, title), found)


def _drawn(tool: Any, text: str, title: str) -> list[etree._Element]:
    load(tool, text, title)
    return [_parsed(tool.renderToSVG(k + 1)) for k in range(tool.getPageCount())]


def _engraved(
    root: etree._Element, found: tuple[Leaf, ...], pages: tuple[Lines, ...], width: int, title: str
) -> list[etree._Element]:
    undo = break_at(found, pages)
    made = _drawn(_tool(breaks="encoded", pageWidth=width), etree.tostring(root, encoding="unicode"), title)
    for element in undo:
        parent = element.getparent()
        if parent is not None:
            parent.remove(element)
    return made


def _tool(**options: Any) -> Any:
    return toolkit(
        fontTextLiberation=True,
        smuflTextFont="none",
        svgFormatRaw=True,
        adjustPageHeight=True,
        pageHeight=60000,
        pageMarginLeft=LEFT_PX,
        pageMarginRight=RIGHT_PX,
        pageMarginTop=TOP_PX,
        pageMarginBottom=TOP_PX,
        spacingSystem=4,
        ossiaStaffSize=0.65,
        minLastJustification=0.6,
        **options,
    )


def _parsed(svg: str) -> etree._Element:
    return etree.fromstring(svg.encode(), etree.XMLParser(huge_tree=True, resolve_entities=False))


def _blocks(piece: Piece, found: Sequence[Leaf], sizes: Sequence[Extent], tempo: Tempo) -> list[Block]:
    part = piece.part
    clef = _clef_px(part)
    made = []
    for k, (leaf, size) in enumerate(zip(found, sizes, strict=True)):
        after = found[k + 1] if k + 1 < len(found) else None
        rest_s = _rest_s(piece, leaf, after, tempo)
        made.append(Block(max(size.width - (clef if k == 0 else 0), 1.0), size.above, size.below, rest_s))
    return made


def _rest_s(piece: Piece, leaf: Leaf, after: Leaf | None, tempo: Tempo) -> float:
    """Seconds of rest before and after the end of a leaf."""
    part = piece.part
    rest_q = _silence_q(part, reversed(range(leaf.first, leaf.last + 1)), backwards=True)
    if after is not None and after.first == leaf.first:
        return 0.0  # in the middle of a measure too wide for a line
    if after is not None:
        rest_q += _silence_q(part, iter(range(after.first, after.last + 1)), backwards=False)
    return float(rest_q) * _quarter_s(piece, part.measures[leaf.last].end_q, tempo)


def _silence_q(part: Part, measures: Any, *, backwards: bool) -> Fraction:
    rest_q = Fraction(0)
    for k in measures:
        notes = part.measures[k].notes
        for note in reversed(notes) if backwards else notes:
            if not note.is_rest:
                return rest_q
            rest_q += note.length_q
    return rest_q


def _quarter_s(piece: Piece, onset_q: Fraction, tempo: Tempo) -> float:
    """How long a quarter lasts there: the performance tempo, changed as the printed tempi change."""
    first = piece.first_tempo
    here = [mark.tempo for mark in piece.tempos if mark.tempo is not None and mark.onset_q <= onset_q]
    ratio = here[-1].quarters_per_minute / first.quarters_per_minute if here and first is not None else Fraction(1)
    return float(60 / (tempo.quarters_per_minute * ratio))


def _clef_px(part: Part) -> float:
    """About what clef and key take at the start of a line: a clef four spaces wide, one space each sign of the key."""
    key = part.measures[0].key
    return 18.0 * (4.5 + (len(key.alters) if key.alters else abs(key.fifths)))
