"""Numbers out of elements, bounded, with the line that is wrong."""

import re
from fractions import Fraction
from functools import lru_cache

from lxml import etree

_INTEGER = re.compile(r"[+-]?\d{1,9}")
_DECIMAL = re.compile(r"[+-]?(\d{1,9}(\.\d{0,9})?|\.\d{1,9})")

Exact = int | Fraction
"""Files count in whole divisions, nearly always; whole numbers are much faster than fractions."""


class Malformed(Exception):
    """A place in the file that breaks the rules of MusicXML; the text names line and element."""


def malformed(element: etree._Element, what: str) -> Malformed:
    """The error for an element, with its line."""
    return Malformed(f"line {element.sourceline}, <{element.tag}>: {what}")


def text_of(element: etree._Element | None) -> str:
    """The text of an element with the ends trimmed; empty if there is none."""
    return (element.text or "").strip() if element is not None else ""


def whole(element: etree._Element) -> int:
    """The whole number in an element ("4", also "4.0"). Raises Malformed."""
    number = _number((element.text or "").strip())
    if number is None or number.denominator != 1:
        raise malformed(element, f"{text_of(element)[:40]!r} is not a whole number")
    return number.numerator


def decimal(element: etree._Element) -> Exact:
    """The decimal number in an element, exactly. Raises Malformed."""
    number = _number((element.text or "").strip())
    if number is None:
        raise malformed(element, f"{text_of(element)[:40]!r} is not a number")
    return number


@lru_cache(maxsize=4096)
def _number(text: str) -> Exact | None:
    if _INTEGER.fullmatch(text):
        return int(text)
    return Fraction(text) if _DECIMAL.fullmatch(text) else None


def attribute_number(element: etree._Element, name: str, default: int | None = None) -> int | None:
    """A whole number in an attribute; the default where it is missing. Raises Malformed."""
    text = element.get(name)
    if text is None:
        return default
    if not _INTEGER.fullmatch(text.strip()):
        raise malformed(element, f"{name}={text[:40]!r} is not a whole number")
    return int(text)


def attribute_decimal(element: etree._Element, name: str) -> Fraction | None:
    """A decimal number in an attribute; None where it is missing. Raises Malformed."""
    text = element.get(name)
    if text is None:
        return None
    if not _DECIMAL.fullmatch(text.strip()):
        raise malformed(element, f"{name}={text[:40]!r} is not a number")
    return Fraction(text.strip())
