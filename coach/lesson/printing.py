"""The marked part on paper: pages as a PDF file, or as one HTML file."""

from dataclasses import replace
from typing import TYPE_CHECKING

from coach.lesson.desk import Desk
from coach.lesson.part import PartToWrite, free_path
from coach.whole_file import write_whole

if TYPE_CHECKING:
    from coach.files.printing.pages import PrintedPart

PAPERS = ("a4", "letter")


def print_part(desk: Desk, part: PartToWrite, *, pdf: str = "", html: str = "", paper: str = "a4") -> tuple[str, ...]:
    """Write the part with its marks, engraved for a stand, whole or not at all; returns a sentence for each mark that
    found no place. `paper` is one of PAPERS. Raises ScoreError, StoreError, and RequestError for a file that is
    guarded."""
    from coach.files.printing.html import html as as_html  # deferred, all of these: only printing needs an engraver
    from coach.files.printing.pages import printed_part
    from coach.files.printing.paper import PAPERS as SHEETS
    from coach.files.printing.pdf import pdf as as_pdf
    from coach.files.score import written_score

    paths = [free_path(part, file) if file else None for file in (pdf, html)]
    sheet = SHEETS[paper]
    score = written_score(part.source, part=part.part)
    # The copy on the stand is named by its hash; a score without a title must not be called so.
    titled = replace(score, piece=replace(score.piece, title=part.piece.title))
    made = printed_part(titled, part.prep, part.tempo, sheet)
    if paths[0] is not None:
        write_whole(paths[0], as_pdf(made, sheet, desk.now()))
    if paths[1] is not None:
        write_whole(paths[1], as_html(made, sheet).encode())
    return tuple(_missing(part, made))


def _missing(part: PartToWrite, made: "PrintedPart") -> list[str]:
    from coach.lesson.marking import runs_backwards

    told = [mark.id for mark in part.prep.shown if runs_backwards(part.prep, mark)]
    left = [mark for mark in part.prep.shown if mark.id in made.undrawn and mark.id not in told]
    return [f"The {mark.kind} at {mark.at} is not on the page, for it has no such note." for mark in left]
