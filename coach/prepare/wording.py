"""What words a prep may hold: bounded, and without signs that would steer a terminal."""

from coach.music.text import shown

MOST_WORDS = 2000  # characters of a comment
MOST_NAME = 120  # characters of anything else
_BREAKS = "\n\t\r\v\f\u2028\u2029"


def unfit_sign(text: str, lines: bool = False) -> str:
    """The first character that no text of a prep may hold (`coach.music.text` says which and why; line breaks and tabs
    too, unless `lines` allows them), as "U+001B"; "" if there is none."""
    for sign in text:
        if not shown(sign) or (sign in _BREAKS and not (lines and sign in "\n\t")):
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
        raise ValueError(f"{name} holds the character {sign}, which no text may hold")
    return text
