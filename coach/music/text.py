"""Text that came with a file of somebody's, made fit to be shown: no control characters, no turning of the direction.

A terminal obeys control characters (ECMA-48: C0, DELETE and C1, U+009B among them, which begins a sequence as ESC [
does), and embeddings, overrides and isolates (Unicode Standard Annex 9, section 2) make a line read otherwise than it
is. Whatever is read from a score, a prep, a share or a name of a file passes here once, where it is read.
"""

import re

_CONTROLS = "\0-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"
_DIRECTIONS = "\u202a-\u202e\u2066-\u2069"
_SURROGATES = "\ud800-\udfff"  # half a character, which no file can hold
_NO_CHARACTERS = "\ufffe\uffff"  # which XML 1.0 forbids (section 2.2)
_UNFIT = re.compile(f"[{_CONTROLS}{_DIRECTIONS}{_SURROGATES}{_NO_CHARACTERS}]")


def shown(text: str) -> str:
    """The text without what a terminal would obey; its lines and tabs stay."""
    return text if text.isprintable() else _UNFIT.sub("", text)


def one_line(text: str, longest: int = 0) -> str:
    """The text as `shown`, on one line with single spaces, cut after `longest` characters where that is given."""
    line = " ".join(shown(text).split())
    return line[:longest].rstrip() if longest else line
