"""A way to play a trill in words: a short name, and the reason in one sentence."""

from fractions import Fraction

from coach.music.pitch import Pitch
from coach.prepare.mark import Shake
from coach.prepare.ornaments.rates import Tempo
from coach.prepare.ornaments.shake import spans

HANDY = 9.5  # notes a second of a trill that fingers need not slow down
_CURVES = {
    "steady": "growing faster",
    "late": "growing faster, mostly at the end",
    "early": "growing faster, mostly at the beginning",
}
_WHY_START = {("lyrical", "main"): ", as players do today", ("treatise", "upper"): ", as the treatises have it"}
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_VALUES = {
    Fraction(1, 2): "halves",
    Fraction(1): "quarters",
    Fraction(2): "eighths",
    Fraction(4): "sixteenths",
    Fraction(8): "thirty-seconds",
    Fraction(16): "sixty-fourths",
    Fraction(3): "eighths of a triplet",
    Fraction(6): "sixteenths of a triplet",
    Fraction(12): "thirty-seconds of a triplet",
}


def way_name(start: str, how: str, *, closed: bool) -> str:
    """The name of a way by its start, its curve (or "short") and whether it is closed."""
    named = _CURVES.get(how, how)
    return ", ".join((f"from the {start} note", named, *(() if closed else ("without closing notes",))))


def start_words(style: str, start: str, asked: str) -> str:
    """On which note a trill begins and why; `asked` is what its file asks for."""
    why = ", as the file asks" if asked == start else _WHY_START.get((style, start), "")
    return f"from the {start} note{why}"


def reason(upper: Pitch, start: str, pace: str, closing: str, *, marked: bool) -> str:
    """The reason in a sentence: "With F flat, as its accidental says, from the main note, as players do today: ...";
    `marked` tells that an accidental stands at the trill."""
    whose = ", as its accidental says," if marked else ""
    return f"With {upper.spoken}{whose} {start}: {pace}; {closing}."


def even_words(shake: Shake, number: int, tempo: Tempo) -> str:
    """The notes of an even trill with so many before its closing notes, how many a second that is, and whether the
    fingers set it."""
    span_q, _ = spans(shake)
    # To end on the right note it may have a note fewer, or more, than its value says.
    values = f"{'' if number == span_q * shake.first else 'nearly '}{_values(shake.first)}"
    bound = f", since its fingers do no more than about {tempo.fastest:.0f}" if tempo.fastest < HANDY else ""
    return f"{values}, about {tempo.rate(span_q / number):.0f} notes a second{bound}"


def growing_words(shake: Shake, tempo: Tempo) -> str:
    """From which notes to which a trill grows."""
    top = float(shake.last) / tempo.quarter_s
    ends = f"from {_values(shake.first)} to {_values(shake.last)}"
    return f"{ends}, about {top:.0f} notes a second at the end, as fast as its fingers go"


def short_words(number: int) -> str:
    """How many notes a short trill has, its closing notes among them."""
    return f"{_NUMBERS[number] if number < len(_NUMBERS) else number} notes in all"


def _values(rate: Fraction) -> str:
    """Notes of a rate by their printed value, else by their number."""
    return _VALUES.get(rate, f"{float(rate):.3g} notes a quarter")
