"""The printed part as PDF, set by typst: text stays text, fonts are embedded, pages have a text for screen readers."""

import json
import tempfile
from dataclasses import asdict
from datetime import datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from coach.errors import ScoreError
from coach.files.printing.finish import PENCIL
from coach.files.printing.pages import HEAD_MM, PrintedPart
from coach.files.printing.paper import Paper
from coach.music.text import one_line
from coach.paths import content
from coach.prepare.breath.caution import CAUTION


def pdf(part: PrintedPart, paper: Paper, made_at: datetime) -> bytes:
    """The part as a PDF file; `made_at` is what it says of its making.
    Raises ScoreError if it cannot be set."""
    import typst  # deferred: only printing needs it

    sheet = files("coach.files.printing").joinpath("part.typ").read_bytes()
    with tempfile.TemporaryDirectory() as name, as_file(content("fonts")) as fonts:
        folder = Path(name)
        (folder / "part.typ").write_bytes(sheet)
        for k, page in enumerate(part.pages):
            (folder / f"{k}.svg").write_text(page.svg, "utf-8")
        (folder / "data.json").write_text(json.dumps(_data(part, paper)), "utf-8")
        when = made_at.replace(microsecond=0)
        try:
            made = typst.compile(folder / "part.typ", root=folder, font_paths=[fonts], timestamp=when)
        except typst.TypstError as error:
            raise ScoreError(f"{part.title} cannot be set as PDF ({one_line(str(error), 200)}); use --html.") from None
    if not isinstance(made, bytes):
        raise TypeError("typst gave no single PDF")
    return made


def _data(part: PrintedPart, paper: Paper) -> dict[str, Any]:
    return {
        "title": part.title,
        "composer": part.composer,
        "part": part.part,
        "tempo": part.tempo,
        "pencil": PENCIL,
        "head": HEAD_MM,
        "width": paper.width_mm,
        "height": paper.height_mm,
        "side": paper.side_mm,
        "top": paper.top_mm,
        "foot": paper.foot_mm,
        "pages": [
            {"file": f"{k}.svg", "name": page.name, "width": page.width_mm, "height": page.height_mm}
            for k, page in enumerate(part.pages)
        ],
        "legend": [asdict(sign) for sign in part.legend],
        "remarks": [asdict(remark) for remark in part.remarks],
        "reasons": [asdict(reason) for reason in part.reasons],
        "caution": CAUTION,
    }
