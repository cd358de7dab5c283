"""The engraving process: requests as lines of JSON on standard input, answers on standard output, in order.

It exists because verovio holds the interpreter while it lays out a part, which would stop the screen; and because a
score that brings verovio down must not take the player's sitting with it.
"""

import json
import sys
from base64 import b64encode
from pathlib import Path
from typing import Any

from coach.errors import CoachError
from coach.files.engraving.codec import pack_system
from coach.files.engraving.engraver import Engraver, Layout
from coach.files.engraving.kept import Shelf, engraver_of
from coach.music.engraved import Paint

_MOST_LAYOUTS = 4  # the Stand and the Drill, before and after a mark


class _Worker:
    """Answers requests; the last part and its last layouts stay at hand."""

    def __init__(self) -> None:
        self._engravers: dict[tuple[str, str], Engraver] = {}
        self._layouts: dict[int, Layout] = {}
        self._count = 0

    def answer(self, request: dict[str, Any]) -> dict[str, Any]:
        """The answer to a request. Raises CoachError."""
        if request["do"] == "lay":
            return self._lay(request)
        layout = self._layouts.get(request["layout"])
        if layout is None:
            return {"gone": True}
        if request["do"] == "svg":
            return {"svg": layout.svg(request["number"])}
        if request["do"] == "picture":
            return self._picture(layout, request["number"], Paint(*request["paint"]))
        return {"system": pack_system(layout.system(request["number"]))}

    def _picture(self, layout: Layout, number: int, paint: Paint) -> dict[str, Any]:
        from coach.files.engraving.picture import picture  # deferred: few ask for pictures

        try:
            made = picture(layout.svg(number), paint)
        except ValueError:  # resvg cannot draw it; the shapes are there all the same
            return {}
        return {"png": b64encode(made.png).decode("ascii"), "columns": made.columns, "rows": made.rows}

    def _lay(self, request: dict[str, Any]) -> dict[str, Any]:
        key = request["source"], request["part"] or ""
        if key not in self._engravers:
            kept = request.get("kept")
            shelf = Shelf(*map(Path, kept)) if kept else None
            self._engravers = {key: engraver_of(request["source"], request["part"], shelf)}
        layout = self._engravers[key].lay(self._prep(request.get("prep") or ""), request["width"])
        self._count += 1
        self._layouts[self._count] = layout
        for number in [*self._layouts][:-_MOST_LAYOUTS]:
            del self._layouts[number]
        return {"layout": self._count, "systems": layout.systems}

    def _prep(self, text: str) -> Any:
        if not text:
            return None
        from coach.files.prep import parse_prep

        return parse_prep(text, "the marks").prep


def main() -> None:
    """Answer until standard input ends."""
    worker = _Worker()
    for line in sys.stdin:
        request = json.loads(line)
        try:
            answer = worker.answer(request)
        except CoachError as error:
            answer = {"error": str(error)}
        sys.stdout.write(json.dumps({"id": request["id"], **answer}, separators=(",", ":")) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
