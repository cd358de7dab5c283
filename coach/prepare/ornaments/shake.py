"""A trill as exact notes, and as a line of text.

Equation: over the time before the closing notes, s from 0 to 1, the rate in notes a quarter is
r(s) = first + (last - first) g(s), with g = s ("steady"), s^2 ("late"), 1 - (1 - s)^2 ("early"); an "even" trill has
the mean of both rates throughout. A new note begins as the integral of r comes to 1, 2, 3 and so on. Their number is
the whole number nearest to the integral that lets the trill end on the right note (`ends_on_other`); of two as near the
smaller one, but three rather than one. The rate is then scaled by number / integral, so that the last note ends exactly
where the closing notes begin.

Units: quarters, notes a quarter. Grid: onsets are whole multiples of 1/960 quarter from the trill's beginning, or of
half of that, and so on, until every note is shorter than the one before it (longer, in a trill that slows down).

Source: that trills may grow faster, and do so at cadences, L. Mozart 1756, Versuch einer gruendlichen Violinschule,
ch. X par. 7. The shapes of the growth are our own choice: no measured curve of a player's trill is known here.
"""

from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from coach.music.pitch import STEPS, Pitch
from coach.prepare.mark import CURVES, STARTS, Ornament, OssiaNote, Shake
from coach.prepare.ossia import parse_length, parse_quarters, parse_written

SLOWEST, FASTEST = Fraction(1, 4), Fraction(64)  # notes a quarter that may be asked for
MOST_NOTES = 4000
MOST_CLOSING = 16
_GRID = 960
_HALVINGS = 30
_SHAPES: dict[str, Callable[[float], float]] = {  # g(s)
    "steady": lambda s: s,
    "late": lambda s: s * s,
    "early": lambda s: s * (2 - s),
}
_AREAS: dict[str, Callable[[float], float]] = {  # the integral of g from 0 to s
    "steady": lambda s: s * s / 2,
    "late": lambda s: s * s * s / 3,
    "early": lambda s: s * s - s * s * s / 3,
}
_WHOLE_AREA = {"steady": Fraction(1, 2), "late": Fraction(1, 3), "early": Fraction(2, 3)}


def shaken(main: Pitch, shake: Shake) -> tuple[OssiaNote, ...]:
    """The notes of a shake of a main note, its closing notes last; they fill it exactly. Where there is no time to
    alternate, the main note alone; where there is none for the closing notes either, they share half of it."""
    span_q, closing_q = spans(shake)
    if shake.length_q <= 0:
        return ()
    pitches = alternating(main, shake, count(main, shake))
    notes: list[OssiaNote] = []
    at_q = shake.onset_q
    lengths = (*_lengths(shake, span_q, len(pitches)), *(closing_q for _ in shake.close))
    for pitch, length_q in zip((*pitches, *shake.close), lengths, strict=True):
        notes.append(OssiaNote(pitch, at_q, length_q))
        at_q += length_q
    return tuple(notes)


def sounds(ornament: Ornament, main: Pitch) -> tuple[OssiaNote, ...]:
    """What sounds of an ornament: its notes, those of its shake in place of their countable form."""
    shake = ornament.shake
    if shake is None:
        return ornament.notes
    end_q = shake.onset_q + shake.length_q
    before = tuple(note for note in ornament.notes if note.onset_q < shake.onset_q)
    after = tuple(note for note in ornament.notes if note.onset_q >= end_q)
    return (*before, *shaken(main, shake), *after)


def spans(shake: Shake) -> tuple[Fraction, Fraction]:
    """The quarters before the closing notes, and the quarters of each closing note."""
    if not shake.close:
        return shake.length_q, Fraction(0)
    wanted_q = len(shake.close) * shake.close_q
    closing_q = wanted_q if 0 < wanted_q < shake.length_q else shake.length_q / 2
    return shake.length_q - closing_q, closing_q / len(shake.close)


def rate_at(shake: Shake, share: float) -> float:
    """Notes a quarter that a shake asks for, at a share (0 to 1) of the time before its closing notes."""
    first, last = _rates(shake)
    return float(first) + float(last - first) * _SHAPES.get(shake.curve, _SHAPES["steady"])(share)


def begun(shake: Shake, share: float) -> float:
    """How many notes a shake asks for up to a share (0 to 1) of the time before its closing notes."""
    first, last = _rates(shake)
    area = _AREAS.get(shake.curve, _AREAS["steady"])(share)
    return float(spans(shake)[0]) * (float(first) * share + float(last - first) * area)


def integral(shake: Shake) -> Fraction:
    """The integral of the rate that a shake asks for: how many notes it would have, if that were a whole number."""
    first, last = _rates(shake)
    return spans(shake)[0] * (first + (last - first) * _WHOLE_AREA.get(shake.curve, Fraction(1, 2)))


def count(main: Pitch, shake: Shake) -> int:
    """The number of notes before the closing notes: the nearest to the integral that ends on the right note."""
    return nearest(integral(shake), odd=(shake.start == "main") != ends_on_other(main, shake))


def nearest(wanted: Fraction, *, odd: bool) -> int:
    """The odd (or even) number of notes nearest to the wanted one, from 1 (or 2) to 4000; of two as near the smaller,
    but 3 rather than 1."""
    least = 1 if odd else 2
    below = least + 2 * max(0, int((min(wanted, Fraction(MOST_NOTES - 2)) - least) // 2))
    gap = wanted - below
    return below + 2 if gap > 1 or (gap == 1 and below == 1) else below


def ends_on_other(main: Pitch, shake: Shake) -> bool:
    """Whether a shake ends on its other note: where its closing notes begin with the main note. Else, and before the
    end of the note, it ends on the main note."""
    return bool(shake.close) and shake.close[0].midi == main.midi


def alternating(main: Pitch, shake: Shake, number: int) -> tuple[Pitch, ...]:
    """That many notes of a shake to and fro, from its start note on."""
    if shake.start == "main":
        return tuple(shake.other if n % 2 else main for n in range(number))
    opening = shake.other if shake.start == "upper" else lower_of(main, shake)
    return (opening, *(shake.other if n % 2 else main for n in range(number - 1)))


def lower_of(main: Pitch, shake: Shake) -> Pitch:
    """The lower neighbour that a shake begins with: that of its closing notes, else the nearest simple one."""
    below = main.diatonic - 1
    for pitch in shake.close:
        if pitch.diatonic == below:
            return pitch
    octave, step = divmod(below, 7)
    natural = Pitch(STEPS[step], 0, octave)
    choices = [Pitch(natural.step, main.midi - size - natural.midi, octave) for size in (1, 2)]
    return min(choices, key=lambda pitch: abs(pitch.alter))


def _rates(shake: Shake) -> tuple[Fraction, Fraction]:
    first, last = max(Fraction(0), shake.first), max(Fraction(0), shake.last)
    return ((first + last) / 2,) * 2 if shake.curve not in _SHAPES else (first, last)


def _lengths(shake: Shake, span_q: Fraction, number: int) -> tuple[Fraction, ...]:
    first, last = _rates(shake)
    if number == 1 or first == last:
        return (span_q / number,) * number
    onsets = tuple(_onsets(float(first), float(last), _AREAS[shake.curve], number))
    for halving in range(_HALVINGS):
        grid = _GRID << halving
        marks = [Fraction(round(float(span_q) * s * grid), grid) for s in onsets]
        lengths = tuple(b - a for a, b in pairwise((Fraction(0), *marks, span_q)))
        if lengths[-1] > 0 and all(a > b > 0 if last > first else 0 < a < b for a, b in pairwise(lengths)):
            return lengths
    return _hardly_changing(span_q, number, first, last)


def _onsets(first: float, last: float, area: Callable[[float], float], number: int) -> Iterator[float]:
    """Shares of the time at which the second note begins, the third one, ...: found by halving what holds them."""
    whole = first + (last - first) * area(1.0)
    for n in range(1, number):
        wanted, low, high = n / number * whole, 0.0, 1.0
        for _ in range(53):
            middle = (low + high) / 2
            if first * middle + (last - first) * area(middle) < wanted:
                low = middle
            else:
                high = middle
        yield (low + high) / 2


def _hardly_changing(span_q: Fraction, number: int, first: Fraction, last: Fraction) -> tuple[Fraction, ...]:
    """Lengths in equal steps, for rates that differ by less than what the finest grid shows."""
    step = (last - first) / (last + first) / number
    return tuple(span_q / number * (1 + step * (number - 1 - 2 * n)) for n in range(number))


def shake_text(shake: Shake) -> str:
    """A shake as a line of text that `parse_shake` reads back: "with Fb5, 2 to 9 a quarter, steady, from main,
    at 0 for 6, close Db5 Eb5 1/4" (closing notes of 1/4 quarter each)."""
    rate = f"{shake.first}" if shake.first == shake.last else f"{shake.first} to {shake.last}"
    close = " ".join(("close", *(pitch.name for pitch in shake.close), str(shake.close_q))) if shake.close else ""
    parts = (
        f"with {shake.other.name}",
        f"{rate} a quarter",
        shake.curve,
        f"from {shake.start}",
        f"at {shake.onset_q} for {shake.length_q}",
        close,
    )
    return ", ".join(part for part in parts if part)


def parse_shake(text: str) -> Shake:
    """Read what `shake_text` writes, its parts in any order; the curve may be left out (even, or steady where two rates
    are given), so may the start (main) and the close. Raises ValueError, a clause that names the word."""
    if len(text) > 400:
        raise ValueError(f"it has {len(text)} characters, more than 400")
    found: dict[str, str] = {}
    for part in (" ".join(part.split()) for part in text.split(",")):
        name, said = _named(part)
        if name in found:
            raise ValueError(f"{part[:40]!r} is said twice")
        found[name] = said
    for name, example in (("with", "with Fb5"), ("rate", "2 to 9 a quarter"), ("at", "at 0 for 4")):
        if name not in found:
            raise ValueError(f'{text[:40]!r} lacks something like "{example}"')
    return _bounded(_shake_of(found))


def _named(part: str) -> tuple[str, str]:
    if part in CURVES:
        return "curve", part
    if part.endswith(" a quarter"):
        return "rate", part.removesuffix(" a quarter")
    word, _, rest = part.partition(" ")
    if word not in ("with", "from", "at", "close") or not rest:
        raise ValueError(f'{part[:40]!r} is no part of a trill; write it like "with Fb5, 2 to 9 a quarter, at 0 for 4"')
    return word, rest


def _shake_of(found: dict[str, str]) -> Shake:
    first, last = _rate_words(found["rate"])
    at, said, length = found["at"].partition(" for ")
    if not said:
        raise ValueError(f"'at {found['at'][:40]}' has no length; write it like at 0 for 4")
    start = found.get("from", "main")
    if start not in STARTS:
        raise ValueError(f"from is {start[:40]!r}; it may be {', '.join(STARTS[:-1])} or {STARTS[-1]}")
    close, close_q = _close_words(found["close"].split(" ")) if "close" in found else ((), Fraction(0))
    curve = found.get("curve", "even" if first == last else "steady")
    other = parse_written(found["with"])
    return Shake(other, parse_quarters(at), parse_length(length), first, last, curve, start, close, close_q)


def _rate_words(said: str) -> tuple[Fraction, Fraction]:
    first, to, last = said.partition(" to ")
    rates = (parse_quarters(first), parse_quarters(last if to else first))
    for rate in rates:
        if not SLOWEST <= rate <= FASTEST:
            raise ValueError(f"{rate} notes a quarter is no rate; it may be from {SLOWEST} to {FASTEST}")
    return rates


def _close_words(words: list[str]) -> tuple[tuple[Pitch, ...], Fraction]:
    *names, length = words
    if not 1 <= len(names) <= MOST_CLOSING:
        raise ValueError(f"close has {len(names)} notes; it may have 1 to {MOST_CLOSING}, and then their length")
    return tuple(parse_written(name) for name in names), parse_length(length)


def _bounded(shake: Shake) -> Shake:
    if len(shake.close) * shake.close_q >= shake.length_q:
        raise ValueError(f"close takes {len(shake.close) * shake.close_q} quarters, and the trill has {shake.length_q}")
    if integral(shake) > MOST_NOTES:
        raise ValueError(f"it would have {int(integral(shake))} notes, more than {MOST_NOTES}")
    return shake
