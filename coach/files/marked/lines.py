"""Lines over a stretch: wedges, brackets, dashes, each with a number that no other open line of its kind bears."""

from lxml import etree

from coach.files.marked.page import Page, made

_NUMBERS = range(1, 17)  # MusicXML 4.0, number-level


class Lines:
    """Draws lines on a page."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._drawn: dict[str, list[tuple[int, int, int]]] = {}
        self._taken: dict[str, set[int]] = {}

    def draw(
        self,
        tag: str,
        kind: str,
        first: str,
        last: str,
        *before: etree._Element,
        start: dict[str, str],
        stop: dict[str, str] | None = None,
        above: bool = True,
    ) -> None:
        """A line from the start of one note to the end of another; `before` stands in the same direction. A line that
        runs backwards, or to no note, ends with the note it begins at."""
        page = self._page
        ends = [page.order[page.main(name).id] if page.has(name) else -1 for name in (first, last)]
        if ends[1] < ends[0] or (ends[1] == ends[0] and last != first):
            last, ends[1] = page.main(first).id, ends[0]
        number = str(self._number(tag, *ends))
        page.direct(first, kind, *before, made(tag, **start, number=number), above=above)
        page.direct(last, kind, made(tag, type="stop", number=number, **(stop or {})), above=above, after=True)

    def _number(self, tag: str, first: int, last: int) -> int:
        """A free number, best one that the file itself never gives to such a line."""
        drawn = self._drawn.setdefault(tag, [])
        open_ = {number for number, begins, ends in drawn if begins <= last and first <= ends}
        free = [number for number in _NUMBERS if number not in open_]
        unused = [number for number in free if number not in self._of_the_file(tag)]
        number = next(iter(unused or free), _NUMBERS[-1])
        drawn.append((number, first, last))
        return number

    def _of_the_file(self, tag: str) -> set[int]:
        if tag not in self._taken:
            numbers = (one.get("number", "1").strip() for one in self._page.root.iterfind(f"part/measure//{tag}"))
            self._taken[tag] = {int(number) for number in numbers if number.isascii() and number.isdigit()}
        return self._taken[tag]
