"""One `<note>` element into a `Head`."""

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache

from lxml import etree

from coach.files.musicxml.notations import read_notations
from coach.files.musicxml.numbers import Exact, attribute_decimal, decimal, malformed, text_of, whole
from coach.files.musicxml.raw import Head
from coach.music.pitch import STEPS, Pitch
from coach.music.rhythm import VALUE_Q, Value

_HIGHEST_OCTAVE = 10
_WIDEST_ALTER = 4
_MOST_DOTS = 8
_WIDEST_TUPLET = 1024
_OTHER_NAMES = {"double-flat": "flat-flat"}  # said for it in some files; MusicXML has the other name


def read_note(element: etree._Element) -> Head:
    """The head that a note element describes; place and length are set by the walk. Raises Malformed."""
    head = Head()
    for child in element:
        read = _READERS.get(child.tag)
        if read is not None:
            read(head, child)
    if head.pitch is None and not head.unpitched:
        head.is_rest = True
    if head.kind:
        head.value = value_of(head.kind, head.dots, *head.ratio)
    return head


@lru_cache(maxsize=4096)
def value_of(kind: str, dots: int, actual: int, normal: int) -> Value:
    """A printed value, one object for all notes that carry it."""
    return Value(kind, dots, actual, normal)


@lru_cache(maxsize=4096)
def length_of(value: Value) -> Fraction:
    """The exact length of a value in quarters."""
    return value.length_q


@lru_cache(maxsize=1024)
def _pitch(step: str, alter: int, octave: int) -> Pitch:
    return Pitch(step, alter, octave)


def _read_pitch(head: Head, element: etree._Element) -> None:
    step, octave = "", None
    alter: Exact = 0
    for child in element:
        if child.tag == "step":
            step = text_of(child)
        elif child.tag == "alter":
            alter = decimal(child)
        elif child.tag == "octave":
            octave = whole(child)
    if step not in STEPS or not step or octave is None:
        raise malformed(element, "a pitch needs a step from A to G and an octave")
    if not -1 <= octave <= _HIGHEST_OCTAVE or not -_WIDEST_ALTER <= alter <= _WIDEST_ALTER:
        raise malformed(element, "the pitch lies outside everything that can be played")
    head.pitch = _pitch(step, int(alter), octave)  # a quarter tone counts as the half tone nearer to the natural


def _read_unpitched(head: Head, element: etree._Element) -> None:
    step, octave = text_of(element.find("display-step")) or "B", element.find("display-octave")
    if step not in STEPS:
        raise malformed(element, "the staff position needs a step from A to G")
    head.unpitched = True
    head.pitch = _pitch(step, 0, whole(octave) if octave is not None else 4)


def _read_rest(head: Head, element: etree._Element) -> None:
    head.is_rest = True
    head.measure_rest = element.get("measure") == "yes"


def _read_grace(head: Head, element: etree._Element) -> None:
    head.is_grace = True
    head.grace = {str(name): str(value) for name, value in element.attrib.items()}
    for name in ("steal-time-previous", "steal-time-following", "make-time"):
        attribute_decimal(element, name)


def _read_duration(head: Head, element: etree._Element) -> None:
    duration = decimal(element)
    if duration < 0:
        raise malformed(element, "a duration cannot be negative")
    head.duration = duration


def _read_type(head: Head, element: etree._Element) -> None:
    kind = text_of(element)
    head.kind = kind if kind in VALUE_Q else ""


def _read_dot(head: Head, element: etree._Element) -> None:
    head.dots += 1
    if head.dots > _MOST_DOTS:
        raise malformed(element, "no note has so many dots")


def _read_ratio(head: Head, element: etree._Element) -> None:
    actual, normal = 1, 1
    for child in element:
        if child.tag == "actual-notes":
            actual = whole(child)
        elif child.tag == "normal-notes":
            normal = whole(child)
    if not 1 <= actual <= _WIDEST_TUPLET or not 1 <= normal <= _WIDEST_TUPLET:
        raise malformed(element, f"{actual} notes in the time of {normal} is no tuplet")
    head.ratio = (actual, normal)


def _read_tie(head: Head, element: etree._Element) -> None:
    head.tie = joined_tie(head.tie, element.get("type", ""))


def joined_tie(before: str | None, kind: str) -> str | None:
    """A tie that ends and begins at the same head continues."""
    if kind not in ("start", "stop", "continue"):
        return before
    return kind if before in (None, kind) else "continue"


def _read_accidental(head: Head, element: etree._Element) -> None:
    text = text_of(element)
    head.accidental = _OTHER_NAMES.get(text, text) or None
    head.courtesy = any(element.get(name) == "yes" for name in ("cautionary", "parentheses", "bracket"))


def _read_staff(head: Head, element: etree._Element) -> None:
    head.staff = max(whole(element), 1)


def _read_lyric(head: Head, element: etree._Element) -> None:
    parts, hyphen = [], ""
    for child in element:
        if child.tag == "text":
            parts.append(child.text or "")
        elif child.tag == "elision":
            parts.append(child.text or " ")
        elif child.tag == "syllabic":
            hyphen = "-" if text_of(child) in ("begin", "middle") else ""
        elif child.tag in ("laughing", "humming"):
            parts.append(f"({child.tag})")
    text = "".join(parts).strip()
    if text:
        head.lyrics.append(text + hyphen)


def _set_cue(head: Head, element: etree._Element) -> None:
    head.cue = True


def _set_chord(head: Head, element: etree._Element) -> None:
    head.in_chord = True


def _set_voice(head: Head, element: etree._Element) -> None:
    head.voice = text_of(element) or "1"


_READERS: dict[str, Callable[[Head, etree._Element], None]] = {
    "pitch": _read_pitch,
    "unpitched": _read_unpitched,
    "rest": _read_rest,
    "grace": _read_grace,
    "cue": _set_cue,
    "chord": _set_chord,
    "duration": _read_duration,
    "type": _read_type,
    "dot": _read_dot,
    "time-modification": _read_ratio,
    "tie": _read_tie,
    "voice": _set_voice,
    "staff": _read_staff,
    "accidental": _read_accidental,
    "notations": read_notations,
    "lyric": _read_lyric,
}
