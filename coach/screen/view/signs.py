"""What is printed around the notes: slurs, articulations, ornaments, fermatas, breaths; dynamics, hairpins, words."""

from coach.music.part import Part
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.layout import Layout, Placed
from coach.screen.view.slots import slur_ends

_ARTICULATIONS = {
    "staccato": ".",
    "tenuto": "-",
    "detached-legato": "-.",
    "accent": ">",
    "strong-accent": "^",
    "staccatissimo": "'",
    "spiccato": "'",
    "stress": "'",
    "unstress": "u",
    "soft-accent": "<>",
}
_ACCIDENTALS = {"flat": 1, "natural": 2, "sharp": 3, "flat-flat": 0, "double-sharp": 4, "sharp-sharp": 4}


def draw_slurs(canvas: Canvas, row: int, layout: Layout, glyphs: Glyphs) -> None:
    """Slurs as one line of arcs, those inside another one left out."""
    depth = layout.system.slurs
    open_from = layout.prefix if depth else None
    for placed in layout.placed:
        starts, stops = slur_ends(placed.slot)
        was = depth
        depth = max(depth - stops, 0)
        closed = was > 0 and depth == 0
        if closed and open_from is not None:
            canvas.fill(row, open_from, placed.column, glyphs.slur_line, "slur")
            canvas.put(row, placed.column, glyphs.slur_join if starts else glyphs.slur_right, "slur")
            open_from = None
        if starts and depth == 0:
            if not closed:
                canvas.put(row, placed.column, glyphs.slur_left, "slur")
            open_from = placed.column + 1
        depth += starts
    if depth and open_from is not None:
        canvas.fill(row, open_from, layout.right + 1, glyphs.slur_line, "slur")


def draw_signs(canvas: Canvas, row: int, layout: Layout, glyphs: Glyphs) -> None:
    """Articulations, ornaments, fermatas over their notes; breath marks and caesuras after them."""
    for placed in layout.placed:
        text = _over(placed, glyphs)
        if text:
            canvas.put(row, placed.column, text[: placed.stop - placed.column], "mark")
        if placed.slot.grace is None and any(o.kind == "trill-mark" for o in placed.slot.note.ornaments):
            canvas.fill(row, placed.column + len(text), placed.stop - 1, "~", "mark")
        after = _after(placed)
        if after:
            canvas.put(row, placed.stop - len(after), after, "breath")


def _over(placed: Placed, glyphs: Glyphs) -> str:
    if placed.slot.grace:
        return "".join(_ARTICULATIONS.get(name, "") for name in placed.slot.grace.articulations)
    note = placed.slot.note
    ornaments = "".join(_ornament(o.kind, o.accidentals, glyphs) for o in note.ornaments)
    articulations = "".join(_ARTICULATIONS.get(name, "") for name in note.articulations)
    return (glyphs.fermata if note.fermata else "") + ornaments + articulations


def _ornament(kind: str, accidentals: tuple[tuple[str, str], ...], glyphs: Glyphs) -> str:
    if kind == "wavy-line":
        return ""
    known = {"trill-mark": "tr", "turn": glyphs.turn, "inverted-turn": glyphs.turn, "delayed-turn": glyphs.turn}
    known |= {"mordent": glyphs.mordent, "inverted-mordent": glyphs.mordent, "tremolo": "///"}
    signs = [glyphs.accidentals[_ACCIDENTALS[what]] for what, _ in accidentals if what in _ACCIDENTALS]
    return known.get(kind, kind[:2]) + "".join(signs)


def _after(placed: Placed) -> str:
    if placed.slot.grace:
        return ""
    note = placed.slot.note
    return "," if note.breath else "//" if note.caesura else ""


def draw_dynamics(canvas: Canvas, row: int, layout: Layout, part: Part, glyphs: Glyphs) -> None:
    """Dynamics under their notes, hairpins between, and printed words where room is left."""
    start_q, end_q = layout.boxes[0].segment.start_q, layout.boxes[-1].segment.end_q
    for hairpin in part.hairpins:
        if hairpin.start_q < end_q and hairpin.end_q > start_q:
            left = layout.column_at(max(hairpin.start_q, start_q))
            right = layout.column_at(min(hairpin.end_q, end_q))
            _hairpin(canvas, row, hairpin.kind, left, max(right, left + 3), glyphs)
    for mark in part.dynamics:
        if start_q <= mark.onset_q < end_q:
            column = layout.column_at(mark.onset_q)
            canvas.put(row, column - 1, f" {mark.mark} ", "dynamic")
    for words in part.words:
        if start_q <= words.onset_q < end_q:
            _words(canvas, row, layout.column_at(words.onset_q), words.text)


def _hairpin(canvas: Canvas, row: int, kind: str, left: int, right: int, glyphs: Glyphs) -> None:
    """A hairpin from one column up to, not including, another."""
    canvas.fill(row, left, right - 1, glyphs.hairpin_line, "hairpin")
    if kind == "crescendo":
        canvas.put(row, left, "<", "hairpin")
    else:
        canvas.put(row, right - 2, ">", "hairpin")


def _words(canvas: Canvas, row: int, column: int, text: str) -> None:
    """Words at their place, or a little after it if a dynamic stands there."""
    for shift in range(5):
        if canvas.put_if_free(row, column + shift, text, "words"):
            return
