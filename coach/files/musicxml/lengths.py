"""How long a head lasts: its notated value; the file's rounded duration only where no value stands."""

from fractions import Fraction

from lxml import etree

from coach.files.musicxml.attributes import Setting
from coach.files.musicxml.notes import length_of, value_of
from coach.files.musicxml.numbers import malformed
from coach.files.musicxml.position import rounding, snap
from coach.files.musicxml.raw import Head
from coach.music.rhythm import Value, simplest_value


def length_in_file(head: Head, setting: Setting, by_duration: bool, element: etree._Element) -> tuple[Fraction, bool]:
    """The exact length in quarters, and whether value and duration contradict each other by a division or more. Raises
    Malformed where the file gives neither."""
    divisions, duration = setting.divisions, head.duration
    whole_measure = _whole_measure(head, setting)
    if whole_measure is not None:
        head.value = None
        return whole_measure, False
    if duration is None and head.value is None:
        raise malformed(element, "it has neither a type nor a duration")
    if head.value is None:
        length = snap(Fraction(duration or 0) / divisions, divisions)
        head.value = simplest_value(length)
        return length, False
    length = length_of(head.value)
    if duration is None:
        return length, False
    off = rounding(duration, length, divisions)
    if not off or off < 1:
        return length, False
    if by_duration:
        length = snap(Fraction(duration) / divisions, divisions)
        head.value = _value_lasting(head.value, length)
    return length, True


def _whole_measure(head: Head, setting: Setting) -> Fraction | None:
    """The length of a rest that fills its measure, or None for any other head. A whole rest in a measure shorter than
    four quarters fills it too."""
    if not head.is_rest:
        return None
    nominal = setting.metre.length_q if setting.metre is not None else None
    filed = snap(Fraction(head.duration) / setting.divisions, setting.divisions) if head.duration is not None else None
    if head.measure_rest:
        return min(filter(None, (nominal, filed)), default=None)
    if head.kind == "whole" and not head.dots and nominal is not None:
        if filed is not None and filed == nominal or nominal < 4:
            return nominal
    return None


def _value_lasting(value: Value, length: Fraction) -> Value | None:
    """The printed type as the tuplet that its length makes of it."""
    if length <= 0:
        return None
    ratio = length / length_of(value_of(value.kind, value.dots, 1, 1))
    return value_of(value.kind, value.dots, ratio.denominator, ratio.numerator)
