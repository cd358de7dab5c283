"""Something written out, in words that can be counted: the note values one after the other, with their notes.

"dotted quarter C5, triplet 16ths Db5 C5 Bb4, eighth C5". Values are those of the printed page; a length that is none of
them is tied together from several. What stands in 3, 5, 6 or 7 in the time of 2 or 4 has its usual name (any primer
of notation); rarer groups say their numbers. What is shared out in no countable way, as a file's per cent are, is told
by about what part of a value it has: "about a third of a half note D5, the rest C5".
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from math import log

from coach.music.rhythm import VALUE_Q, Value, by_the_beat, simplest_value
from coach.prepare.mark import Ornament, OssiaNote, Shake

MOST_SAID = 24  # notes; more cannot be counted from a line
_MOST_TIED = 3
_LARGEST_GROUP = 31
_PARTS = {
    Fraction(1, 8): "an eighth",
    Fraction(1, 6): "a sixth",
    Fraction(1, 5): "a fifth",
    Fraction(1, 4): "a fourth",
    Fraction(1, 3): "a third",
    Fraction(2, 5): "two fifths",
    Fraction(1, 2): "half",
    Fraction(3, 5): "three fifths",
    Fraction(2, 3): "two thirds",
    Fraction(3, 4): "three fourths",
    Fraction(4, 5): "four fifths",
    Fraction(7, 8): "seven eighths",
}
_GROUPS = {3: "triplet", 5: "quintuplet", 6: "sextuplet", 7: "septuplet"}


def counted(ornament: Ornament, beat_q: Fraction = Fraction(1)) -> str:
    """An ornament as it is counted: its notes in note values; an even trill by its notes in a beat of `beat_q`
    quarters, one that changes its rate by the values of its countable form."""
    shake = ornament.shake
    if shake is None:
        return counted_notes(ornament.notes, beat_q)
    end_q = shake.onset_q + shake.length_q
    before = [note for note in ornament.notes if note.onset_q < shake.onset_q]
    after = [note for note in ornament.notes if note.onset_q >= end_q]
    inside = [note for note in ornament.notes if shake.onset_q <= note.onset_q < end_q]
    said = (counted_notes(before, beat_q), counted_shake(shake, inside, beat_q), counted_notes(after, beat_q))
    return ", ".join(filter(None, said))


def counted_notes(notes: Sequence[OssiaNote], beat_q: Fraction = Fraction(1)) -> str:
    """Notes in note values: "dotted quarter C5, triplet 16ths Db5 C5 Bb4"; of very many only how many. Tied values
    show the beats of a compound metre, of beats of `beat_q` quarters."""
    if len(notes) > MOST_SAID:
        return f"{len(notes)} notes"
    window = _shared(notes)
    if window is not None:
        first, last = window
        parts = (
            counted_notes(notes[:first], beat_q),
            _share_words(notes[first:last]),
            counted_notes(notes[last:], beat_q),
        )
        return ", ".join(filter(None, parts))
    runs = (list(run) for _, run in groupby(notes, lambda note: (note.length_q, note.pitch is None)))
    return ", ".join(_run_words(run, beat_q) for run in runs)


def _shared(notes: Sequence[OssiaNote]) -> tuple[int, int] | None:
    """From which note to which the fewest that fill one value begin with, or end after, the first one that cannot be
    counted; None where all can be, or none fill one."""
    odd = next((k for k, note in enumerate(notes) if _uncountable(note.length_q)), None)
    if odd is None:
        return None
    windows = ((a, b) for a in range(odd + 1) for b in range(odd + 1, len(notes) + 1) if b - a > 1)
    filled = [(a, b) for a, b in windows if simplest_value(sum((note.length_q for note in notes[a:b]), Fraction(0)))]
    return min(filled, key=lambda window: (window[1] - window[0], -window[0]), default=None)


def _uncountable(length_q: Fraction) -> bool:
    """Whether a length is no value, or several values of a group that is rarer than a triplet."""
    values = _values(length_q)
    return not values or (len(values) > 1 and values[0].actual not in (1, 3))


def _share_words(notes: Sequence[OssiaNote]) -> str:
    """Notes that fill one value, by about what part of it each has."""
    whole_q = sum((note.length_q for note in notes), Fraction(0))
    said = [f"{_part_words(note.length_q / whole_q)} {_name(note)}" for note in notes[:-1]]
    part, _, name = said[0].rpartition(" ")
    said[0] = f"{part} of {_with_article(value_words(whole_q))} note {name}"
    return ", ".join((*said, f"the rest {_name(notes[-1])}"))


def _part_words(share: Fraction) -> str:
    near = min(_PARTS, key=lambda part: abs(log(share / part)))
    return f"{'' if near == share else 'about '}{_PARTS[near]}"


def _name(note: OssiaNote) -> str:
    return note.pitch.name if note.pitch is not None else "silent"


def counted_shake(shake: Shake, notes: Sequence[OssiaNote], beat_q: Fraction = Fraction(1)) -> str:
    """A shake with the notes of its countable form: "trill with Eb5, triplet eighths, sextuplet 16ths, 6 32nds, then
    32nds C5 Db5"."""
    closing = "" if not shake.close else f", then {_run_words(_closing(shake))}"
    body = notes[: len(notes) - len(shake.close)]
    return f"trill with {shake.other.name}{_start(shake)}, {_rates(shake, body, beat_q)}{closing}"


def rate_words(shake: Shake) -> str:
    """A shake in a few signs, such as "2-9", for where there is no room for its notes."""
    first, last = _rounded(shake.first), _rounded(shake.last)
    return first if first == last else f"{first}-{last}"


def value_words(length_q: Fraction, at_q: Fraction = Fraction(0), beat_q: Fraction = Fraction(1)) -> str:
    """A length as printed values, the later ones tied: "dotted quarter", "triplet 16th", "half tied to an eighth"; by
    the beats after `at_q` where they are those of a compound metre."""
    values = by_the_beat(length_q, at_q, beat_q) or _values(length_q)
    if not values:
        return f"{length_q} of a quarter"
    return " tied to ".join(_value_name(value, Counter(), k > 0) for k, value in enumerate(values))


def _start(shake: Shake) -> str:
    return "" if shake.start == "main" else f" from the {shake.start} note"


def _rates(shake: Shake, body: Sequence[OssiaNote], beat_q: Fraction) -> str:
    """How many notes an even trill has in a beat; of one that changes its rate, its values in order."""
    if shake.first == shake.last and shake.length_q > beat_q:
        return f"{_rounded(shake.last * beat_q)} notes a {value_words(beat_q)}"
    runs = [tuple(run) for _, run in groupby(note.length_q for note in body)]
    if shake.first == shake.last or any(len(_values(run[0])) != 1 for run in runs):
        return f"{len(body)} note{'' if len(body) == 1 else 's'}"
    return ", ".join(_many_words(run[0], len(run)) for run in runs)


def _many_words(length_q: Fraction, many: int) -> str:
    """Notes of a value without their names: "triplet eighths", "6 32nds"."""
    value = _values(length_q)[0]
    name = _value_name(value, Counter({(value.actual, value.normal): many}))
    if value.actual > 1 and many in (value.actual, 2 * value.actual):
        return f"{name}s"
    return f"{many} {name}{'' if many == 1 else 's'}"


def _closing(shake: Shake) -> list[OssiaNote]:
    return [OssiaNote(pitch, Fraction(0), shake.close_q) for pitch in shake.close]


def _run_words(run: Sequence[OssiaNote], beat_q: Fraction = Fraction(1)) -> str:
    """Notes of one length, or rests."""
    rest = run[0].pitch is None
    values = _values(run[0].length_q)
    names = " ".join(note.pitch.name for note in run if note.pitch is not None)
    if len(values) != 1:
        each = value_words(run[0].length_q, run[0].onset_q, beat_q)
        return f"{each} rest" if rest else f"{each} {names}"
    value = values[0]
    grouped = Counter({(value.actual, value.normal): len(run)})
    name = _value_name(value, grouped)
    plural = len(run) > 1
    if rest:
        return f"{f'{len(run)} ' if plural else ''}{name} rest{'s' if plural else ''}"
    if value.actual in (1, *_GROUPS):
        return f"{name}{'s' if plural else ''} {names}"
    return f"{_group_words(len(run), name, value)} {names}"


def _group_words(many: int, name: str, value: Value) -> str:
    """Notes of a group without a usual name, of some groups, or of a part of one."""
    groups, over = divmod(many, value.actual)
    if over:
        return f"{many} of {value.actual} {name}s in the time of {value.normal}"
    return f"{many} {name}s in the time of {groups * value.normal}"


def _value_name(value: Value, grouped: Counter[tuple[int, int]], tied: bool = False) -> str:
    """A value with the name of its group; six of a triplet are a sextuplet."""
    plain = Value(value.kind, value.dots).name
    count = grouped[value.actual, value.normal]
    group = 6 if value.actual == 3 and count == 6 else value.actual
    name = f"{_GROUPS[group]} {plain}" if group in _GROUPS else plain
    return _with_article(name) if tied else name


def _with_article(name: str) -> str:
    return f"{'an' if name.startswith(('eighth', '8')) else 'a'} {name}"


def _values(length_q: Fraction) -> tuple[Value, ...]:
    """The values, to be tied, that make a length; () where a reader could not count it."""
    actual = length_q.denominator
    while actual % 2 == 0:
        actual //= 2
    if actual > _LARGEST_GROUP:
        return ()
    normal = 1 << (actual.bit_length() - 1)
    found = tuple(_split(length_q * actual / normal))
    if len(found) > _MOST_TIED or sum(value.length_q for value in found) != length_q * actual / normal:
        return ()
    return tuple(Value(value.kind, value.dots, actual, normal) for value in found)


def _split(written_q: Fraction) -> Iterator[Value]:
    while written_q > 0:
        value = simplest_value(written_q) or _largest_within(written_q)
        if value is None:
            return
        yield value
        written_q -= value.length_q


def _largest_within(length_q: Fraction) -> Value | None:
    return next((Value(kind) for kind, value_q in VALUE_Q.items() if value_q <= length_q), None)


def _rounded(rate: Fraction) -> str:
    return f"{float(rate):.3g}"
