"""Simple note values for the small notes of an ornament, chosen by how long they last, and their names in sentences.

A group of n small notes takes the time of 2, 4, 8 ... of one plain value, the nearest number below n: two sixteenths, a
triplet of sixteenths in an eighth, four thirty-seconds, five, six or seven in the time of four. Which value: the
largest with which a note lasts no longer than is asked for, in a length that leaves its neighbour enough. In front of
the beat two take a sixteenth and three to seven an eighth, twice that where a note would last less than GRACE_S and
half where it would last more than LYRICAL_S: they are an ornament, and in quick music too not a melody in eighths.

A single grace without a stroke leaps so from a thirty-second to a sixteenth, from 0.105 to 0.21 seconds at about 71
quarters a minute. The values between leave the note before it what nobody counts: a half less a dotted thirty-second is
29/16, less a sixteenth of a triplet 11/6. A rhythm that can be counted comes before a smooth course of the seconds;
the ways "quicker" and "broader" are the neighbours.

Defaults, none of them measured except the two rates: a note in front of the beat lasts GRACE_S to LYRICAL_S where there
is room, a quick one on the beat at most 2 / FASTEST, a turn's at most TURN_S. FASTEST is the
95th percentile and QUICKEST the maximum of even trills in notes a second, one key moving, measured on a keyed
single-reed instrument (Libřický and Hajič jr. 2025, ISMIR, arXiv:2507.04963; aggregates). A run of different notes was
not measured; the bound is taken over from the trill.
"""

from fractions import Fraction

from coach.music.rhythm import Value, simplest_value

FASTEST = 14.2
QUICKEST = 16.5
LYRICAL_S = 0.21
GRACE_S = 0.065
QUICK_S = 2 / FASTEST
TURN_S = 0.175
SHORT_S = 0.18  # a single short grace or a note of a mordent: a 32nd, unless it would last longer than this
_LONGEST_Q = Fraction(2)
_SMALLEST_Q = Fraction(1, 64)  # of a group, where there is room
_GROUPS = {3: "triplet", 5: "quintuplet", 6: "sextuplet", 7: "septuplet"}
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_PLAIN = {
    "16th": "sixteenth",
    "32nd": "thirty-second",
    "64th": "sixty-fourth",
    "128th": "hundred-and-twenty-eighth",
}


def group_q(count: int, room_q: Fraction, quarter_s: float, longest_s: float) -> Fraction:
    """What a group of `count` even notes takes: the longest simple time of at most `room_q` in which each lasts at most
    `longest_s`. Where even the smallest value is too long for the room, an even share of the room."""
    total_q = _LONGEST_Q
    while total_q >= _SMALLEST_Q:
        if total_q <= room_q and float(total_q) * quarter_s <= longest_s * count + 1e-9:
            return total_q if _binary(room_q) or total_q <= room_q / 4 else _within(room_q, total_q)
        total_q /= 2
    return room_q


def before_q(count: int, room_q: Fraction, quarter_s: float) -> Fraction:
    """What a group of `count` graces takes in front of the beat, of at most `room_q`."""
    total_q = Fraction(1, 2) if count == 3 else Fraction(1 << (count.bit_length() - 1), 8)
    each_s = float(total_q) * quarter_s / count
    while each_s > LYRICAL_S:
        each_s /= 2
    while each_s < GRACE_S:
        each_s *= 2
    return group_q(count, room_q, quarter_s, each_s)


def _within(room_q: Fraction, total_q: Fraction) -> Fraction:
    """The nearest time within a room that is part of a tuplet: its half or quarter, or the whole of it."""
    share_q = room_q
    while share_q / 2 >= total_q:
        share_q /= 2
    return share_q


def _binary(length_q: Fraction) -> bool:
    return length_q.denominator & (length_q.denominator - 1) == 0


def short_q(quarter_s: float, room_q: Fraction) -> Fraction:
    """The value of one short note: a 32nd; a 64th where that is slow, a 16th where fingers could not do it; less where
    there is no room."""
    value_q = Fraction(1, 8)
    while float(value_q) * quarter_s > SHORT_S and value_q > Fraction(1, 64):
        value_q /= 2
    while float(value_q) * quarter_s < 1 / QUICKEST and value_q < 1:
        value_q *= 2
    if not _binary(room_q):
        return _within(room_q, value_q)
    while value_q > room_q and value_q > Fraction(1, 64):
        value_q /= 2
    return min(value_q, room_q)


def too_fast(each_q: Fraction, quarter_s: float) -> bool:
    """Whether even notes of this length go faster than fingers do."""
    return float(each_q) * quarter_s < 1 / QUICKEST - 1e-9


def value_words(length_q: Fraction) -> str:
    """A length as one printed value or two tied ones, with its article: "a dotted quarter"; "" if it is none."""
    values = _values(length_q)
    return " tied to ".join(_with_article(_named(value)) for value in values)


def group_words(count: int, total_q: Fraction) -> str:
    """Even notes in their values: "a triplet of sixteenths", "four thirty-seconds"; "" where they have none."""
    plain = simplest_value(total_q / count)
    actual, normal = (1, 1) if plain is not None and not plain.dots else _ratio(count)
    value = simplest_value(total_q / normal if actual != 1 else total_q / count)
    if value is None:
        return ""
    name = _named(value)
    if count == 1:
        return _with_article(name)
    if actual in _GROUPS:
        return f"a {_GROUPS[actual]} of {name}s"
    number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
    return f"{number} {name}s" if actual == 1 else f"{number} {name}s in the time of {_NUMBERS[normal]}"


def _ratio(count: int) -> tuple[int, int]:
    """How many in the time of how many; (1, 1) for a plain group."""
    normal = 1 << (count.bit_length() - 1)
    return (1, 1) if normal == count else (count, min(normal, 8))


def _values(length_q: Fraction) -> tuple[Value, ...]:
    value = simplest_value(length_q)
    if value is not None:
        return (value,)
    for whole_q in (Fraction(8), Fraction(6), Fraction(4), Fraction(3), Fraction(2), Fraction(3, 2), Fraction(1)):
        if whole_q < length_q:
            first, second = simplest_value(whole_q), simplest_value(length_q - whole_q)
            if first is not None and second is not None:
                return (first, second)
    half = Fraction(1, 2)
    first, second = simplest_value(half), simplest_value(length_q - half) if length_q > half else None
    return (first, second) if first is not None and second is not None else ()


def _named(value: Value) -> str:
    dots = {0: "", 1: "dotted ", 2: "double-dotted "}[value.dots]
    return f"{dots}{_PLAIN.get(value.kind, value.kind)}"


def _with_article(name: str) -> str:
    return f"{'an' if name.startswith(('eighth', 'a')) else 'a'} {name}"


def the_note(length_q: Fraction) -> str:
    """A note by its value: "the dotted quarter note"; "the note" where it has no value of its own."""
    value = simplest_value(length_q)
    return f"the {_named(value)} note" if value is not None else "the note"
