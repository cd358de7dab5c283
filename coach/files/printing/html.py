"""The printed part as one HTML file: drawings, style and fonts inside, no scripts, nothing fetched from elsewhere."""

import base64
import re
from collections.abc import Iterator
from html import escape
from importlib.resources import files

from coach.files.printing.legend import Remark
from coach.files.printing.pages import HEAD_MM, Page, PrintedPart
from coach.files.printing.paper import Paper
from coach.paths import content
from coach.prepare.breath.caution import CAUTION

_FONTS = (
    ("Coach Serif", "CoachSerif-Regular.ttf", "normal", "normal"),
    ("Coach Serif", "CoachSerif-Bold.ttf", "bold", "normal"),
    ("Coach Serif", "CoachSerif-Italic.ttf", "normal", "italic"),
    ("Coach Serif", "CoachSerif-BoldItalic.ttf", "bold", "italic"),
    ("Coach Signs", "CoachSigns-Regular.ttf", "normal", "normal"),
)
_GLYPHS = re.compile("([\ue000-\uf8ff\u266d-\u266f])")
_LONG_TITLE = 48


def html(part: PrintedPart, paper: Paper) -> str:
    """The part as an HTML document."""
    name = " \u2013 ".join(filter(None, (part.title, part.part)))
    sheets = "\n".join(
        f'<section class="sheet" aria-label="Page {k} of {len(part.pages)}, {escape(page.name)}">\n'
        f"{_head(part) if k == 1 else ''}{_music(page, k)}"
        f"{_lists(part) if k == len(part.pages) else ''}"
        f'<p class="number" aria-hidden="true">{escape(part.title)} &#8195;{k} / {len(part.pages)}</p>\n</section>'
        for k, page in enumerate(part.pages, 1)
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
        'font-src data:">\n'
        f"<title>{escape(name)}</title>\n<style>\n{_style(part, paper)}</style>\n</head>\n<body>\n<main>\n"
        f"{sheets}\n</main>\n</body>\n</html>\n"
    )


def _style(part: PrintedPart, paper: Paper) -> str:
    sizes = (
        f":root {{ --width: {paper.width_mm}mm; --height: {paper.height_mm}mm; --side: {paper.side_mm}mm; "
        f"--top: {paper.top_mm}mm; --foot: {paper.foot_mm}mm; --head: {HEAD_MM}mm; }}\n"
        f"@page {{ size: {paper.width_mm}mm {paper.height_mm}mm; "
        f"margin: {paper.top_mm}mm {paper.side_mm}mm {paper.foot_mm}mm; "
        '@bottom-center { font: 9pt "Coach Serif", serif; '
        f'content: "{_css(part.title)}\\2003" counter(page) " / " counter(pages); }} }}\n'
    )
    sheet = files("coach.files.printing").joinpath("part.css").read_text("utf-8")
    return "".join(_font(*row) for row in _FONTS) + sizes + sheet


def _css(text: str) -> str:
    """Text inside a CSS string inside a style element: every letter that could end either one as its code."""
    return "".join(letter if letter.isalnum() or letter == " " else f"\\{ord(letter):x} " for letter in text)


def _font(family: str, file: str, weight: str, style: str) -> str:
    data = base64.b64encode(content("fonts", file).read_bytes()).decode()
    return (
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; font-style: {style}; '
        f'src: url("data:font/ttf;base64,{data}") format("truetype"); }}\n'
    )


def _head(part: PrintedPart) -> str:
    long = ' class="long"' if len(part.title) > _LONG_TITLE else ""
    return (
        f"<header>\n<h1{long}>{escape(part.title)}</h1>\n"
        f'<p class="names"><span class="part">{_text(part.part)}</span>'
        f'<span class="composer">{escape(part.composer)}</span></p>\n'
        f'<p class="tempo">Performance tempo: {escape(part.tempo)}</p>\n</header>\n'
    )


def _music(page: Page, k: int) -> str:
    """The drawing, named, and its measures in words for those who hear the page."""
    svg = page.svg.replace(
        "<svg ",
        f'<svg class="music" role="img" aria-label="Music, {escape(page.name)}" aria-describedby="words-{k}" '
        f'style="height: {page.height_mm:.2f}mm" ',
        1,
    )
    words = "\n".join(f"<li>{escape(line)}</li>" for line in page.words)
    return f'{svg}\n<div class="heard" id="words-{k}"><ul>\n{words}\n</ul></div>\n'


def _lists(part: PrintedPart) -> str:
    return "".join((*_signs(part), *_comments(part), *_breaths(part)))


def _signs(part: PrintedPart) -> Iterator[str]:
    if part.legend:
        yield '<section class="list">\n<h2>Signs</h2>\n<dl class="signs">\n'
        for sign in part.legend:
            yield f"<dt>{_text(sign.sign)}</dt><dd>{escape(sign.meaning)}</dd>\n"
        yield "</dl>\n</section>\n"


def _comments(part: PrintedPart) -> Iterator[str]:
    if part.remarks:
        yield '<section class="list">\n<h2>Comments</h2>\n<ul class="comments">\n'
        yield from map(_remark, part.remarks)
        yield "</ul>\n</section>\n"


def _breaths(part: PrintedPart) -> Iterator[str]:
    if part.reasons:
        yield '<section class="list">\n<h2>Breaths</h2>\n<ul class="comments">\n'
        yield from map(_remark, part.reasons)
        yield f"</ul>\n<p>{escape(CAUTION)}</p>\n</section>\n"


def _remark(remark: Remark) -> str:
    number = f'<span class="box">{escape(remark.number)}</span>' if remark.number else ""
    whose = f" ({escape(remark.origin)})" if remark.origin != "player" else ""
    return (
        f"<li><span>{number}</span><span>measure {escape(remark.where)}</span>"
        f"<span>{escape(remark.text)}{whose}</span></li>\n"
    )


def _text(text: str) -> str:
    """Text with its musical signs a little larger, as they are small in their font."""
    return _GLYPHS.sub(r'<span class="glyph">\1</span>', escape(text))
