"""Words that are pencilled in leave the notes to be read."""

import pytest

from coach.files.engraving.engraver import Engraver
from coach.files.engraving.mei import part_mei
from coach.files.score import written_score
from coach.prepare.mark import Breath, Comment, Content, Fingering, Mark
from coach.prepare.prep import Prep
from coach.screen.view.dots.page import draw_engraved, extent
from coach.screen.view.glyphs import UNICODE
from coach.screen.view.page import Look, Page
from tests.screen.view.dots.drawn import DEMO

BRAILLE = range(0x2800, 0x2900)  # the Unicode block Braille Patterns


def pages(contents: tuple[Content, ...], columns: int) -> list[Page]:
    """The demo, a system at a time, with these marks at every note of its first nine measures, as high as they want."""
    score = written_score(DEMO)
    notes = [note for measure in score.piece.part.measures[:9] for note in measure.notes if not note.is_rest]
    marks = [Mark(f"{k}-{note.id}", note.id, content) for note in notes for k, content in enumerate(contents)]
    layout = Engraver(score.piece, part_mei(score)).lay(Prep(marks=tuple(marks)), (2 * columns - 1) / 4)
    systems = [layout.system(k) for k in range(len(layout.systems))]
    sizes = [(columns, extent(system).rows) for system in systems]
    return [
        draw_engraved(score.piece, (one,), Look(-1), size, UNICODE) for one, size in zip(systems, sizes, strict=True)
    ]


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_no_word_stands_on_a_note(columns: int) -> None:
    """Among slurs and other marks a catch breath has no free row; then it goes over the slur, not over a head."""
    seen = 0
    for page in pages((Breath("catch"), Fingering("R")), columns):
        for name, place in page.notes.items():
            for row, column, _ in place.name:
                seen += 1
                assert ord(page.canvas.at(row, column)) in BRAILLE, f"{name} is covered"
    assert seen > 100


def test_a_long_comment_is_a_number_in_parentheses() -> None:
    first = pages((Comment("sing, and let the line fall only at the very end"),), 80)[0].canvas.text()
    assert "(1)" in first and "(2)" in first
