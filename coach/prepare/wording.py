"""What words a prep may hold: bounded, and without signs that would steer a terminal."""

import unicodedata

MOST_WORDS = 2000  # characters of a comment
MOST_NAME = 120  # characters of anything else
# Signs that turn the direction of writing can make a line read otherwise than it is.
_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def unfit_sign(text: str, lines: bool = False) -> str:
    """The first character that no text of a prep may hold (control characters, halves of characters, turns of the
    direction of writing), as "U+001B"; "" if there is none. `lines` allows line breaks and tabs."""
    for sign in text:
        if lines and sign in "\n\t":
            continue
        if sign in _TURNING or unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp"):
            return f"U+{ord(sign):04X}"
    return ""


def checked(name: str, text: object, most: int = MOST_NAME, lines: bool = False, empty: bool = False) -> str:
    """A text that may stand in a prep. Raises ValueError with a clause that names the field and what is wrong."""
    if not isinstance(text, str):
        raise ValueError(f"{name} is {str(text)[:40]!r}, which is no text in quotes")
    if not empty and not text.strip():
        raise ValueError(f"{name} is empty")
    if len(text) > most:
        raise ValueError(f"{name} has {len(text)} characters, more than {most}")
    sign = unfit_sign(text, lines)
    if sign:
        raise ValueError(f"{name} holds the control character {sign}, which no text may hold")
    return text


def shown_words(text: str) -> str:
    """A text for a screen, whatever it holds: unfit characters, line breaks and tabs become spaces."""
    return "".join(" " if unfit_sign(sign) else sign for sign in text)
