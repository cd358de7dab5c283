"""`<direction>`, `<sound>` and `<barline>`: signs beside the notes."""

import re
from fractions import Fraction

from lxml import etree

from coach.files.musicxml.notes import value_of
from coach.files.musicxml.numbers import Exact, attribute_decimal, attribute_number, decimal, text_of, whole
from coach.files.musicxml.raw import ZERO, Notices, RawMeasure, Sign
from coach.files.musicxml.vocabulary import dynamic_text, is_tempo_word, jump_of
from coach.music.rhythm import VALUE_Q, Value

_JUMP_SOUNDS = ("segno", "coda", "dacapo", "dalsegno", "tocoda", "fine")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


def read_direction(element: etree._Element, notices: Notices) -> list[Sign]:
    """The signs of a direction, their place not yet set. Raises Malformed."""
    staff_element = element.find("staff")
    staff = whole(staff_element) if staff_element is not None else 1
    signs: list[Sign] = []
    for kind in element.iterfind("direction-type"):
        for child in kind:
            signs.extend(_signs_of(child, notices))
    sound = element.find("sound")
    if sound is not None:
        signs.extend(read_sound(sound))
    signs = _joined_jumps(_joined_tempo(_joined_words(signs)))
    for sign in signs:
        sign.staff = staff
    return signs


def offset_of(element: etree._Element) -> tuple[Exact, bool]:
    """The offset of a direction in divisions, and whether it moves the sound too. Raises Malformed."""
    offset = element.find("offset")
    if offset is None:
        return 0, False
    return decimal(offset), offset.get("sound") == "yes"


def read_sound(element: etree._Element) -> list[Sign]:
    """The tempo and jumps of a `<sound>`. Raises Malformed."""
    signs = []
    tempo = attribute_decimal(element, "tempo")
    if tempo is not None and tempo > 0:
        signs.append(Sign(ZERO, "tempo", heard=tempo))
    for name in _JUMP_SOUNDS:
        if element.get(name) not in (None, "no"):
            signs.append(Sign(ZERO, "jump", name))
    if element.get("forward-repeat") == "yes":
        signs.append(Sign(ZERO, "jump", "repeatstart"))
    return signs


def _signs_of(child: etree._Element, notices: Notices) -> list[Sign]:
    number = attribute_number(child, "number", 1) or 1
    match child.tag:
        case "dynamics":
            mark = dynamic_text(child)
            return [Sign(ZERO, "dynamic", mark)] if mark else []
        case "wedge":
            niente = child.get("niente") == "yes"
            return [Sign(ZERO, "wedge", type=child.get("type", ""), number=number, niente=niente)]
        case "dashes":
            return [Sign(ZERO, "dashes", type=child.get("type", ""), number=number)]
        case "words":
            return [Sign(ZERO, "words", _spaced(child.text))] if _spaced(child.text) else []
        case "rehearsal":
            return [Sign(ZERO, "rehearsal", _spaced(child.text))] if _spaced(child.text) else []
        case "segno" | "coda":
            return [Sign(ZERO, "jump", child.tag)]
        case "metronome":
            return _metronome(child, notices)
    return []


def _spaced(text: str | None) -> str:
    return " ".join((text or "").split())


def _metronome(element: etree._Element, notices: Notices) -> list[Sign]:
    values = _beat_units(element)
    per_minute = text_of(element.find("per-minute"))
    if not values:
        notices.add("A metronome mark that compares groups of notes is not read.")
        return []
    if not per_minute:
        if len(values) == 2:
            return [Sign(ZERO, "tempo", beat=values[0], equals=values[1])]
        notices.add("A metronome mark without a number is not read.")
        return []
    found = _NUMBER.findall(per_minute)
    number = Fraction(found[0].replace(",", ".")) if found and len(found[0]) < 12 else ZERO
    if number <= 0:
        notices.add(f"The metronome mark {per_minute[:40]!r} holds no number.")
        return [Sign(ZERO, "tempo", _spaced(per_minute))]
    text = "" if found == [per_minute] else _spaced(per_minute)
    if text:
        notices.add(f"The metronome mark {text[:40]!r} is read as {found[0]}.")
    return [Sign(ZERO, "tempo", text, printed=number, beat=values[0])]


def _beat_units(element: etree._Element) -> list[Value]:
    units: list[tuple[str, int]] = []
    for child in element:
        if child.tag == "beat-unit" and text_of(child) in VALUE_Q:
            units.append((text_of(child), 0))
        elif child.tag == "beat-unit-dot" and units and units[-1][1] < 4:
            units[-1] = (units[-1][0], units[-1][1] + 1)
    return [value_of(kind, dots, 1, 1) for kind, dots in units]


def _joined_words(signs: list[Sign]) -> list[Sign]:
    """Words of one direction that follow one another are one text."""
    joined: list[Sign] = []
    for sign in signs:
        if sign.kind == "words" and joined and joined[-1].kind == "words":
            joined[-1].text += " " + sign.text
        else:
            joined.append(sign)
    return joined


def _joined_tempo(signs: list[Sign]) -> list[Sign]:
    """Words, metronome mark and sounding tempo of one direction are one tempo mark."""
    tempos = [sign for sign in signs if sign.kind == "tempo"]
    rest = [sign for sign in signs if sign.kind != "tempo"]
    words = [sign for sign in rest if sign.kind == "words" and jump_of(sign.text) is None]
    spoken = words if tempos else [sign for sign in words if is_tempo_word(sign.text)]
    if not tempos and not spoken:
        return rest
    mark = Sign(ZERO, "tempo", " ".join(sign.text for sign in (*spoken, *tempos) if sign.text))
    for sign in tempos:
        mark.heard = mark.heard if sign.heard is None else sign.heard
        if sign.beat is not None:
            mark.beat, mark.printed, mark.equals = sign.beat, sign.printed, sign.equals
    return [mark, *(sign for sign in rest if all(sign is not word for word in spoken))]


def _joined_jumps(signs: list[Sign]) -> list[Sign]:
    """A jump given in words and as a sound is one jump; its words stay as words too. The coda sign of a "to coda" is
    that jump and not the coda."""
    kept: list[Sign] = []
    for sign in signs:
        jump = jump_of(sign.text) if sign.kind == "words" else None
        for candidate in (sign, Sign(ZERO, "jump", jump)) if jump else (sign,):
            if candidate.kind != "jump" or all(other.kind != "jump" or other.text != candidate.text for other in kept):
                kept.append(candidate)
    leaves = any(sign.kind == "jump" and sign.text == "tocoda" for sign in kept)
    return [sign for sign in kept if not (leaves and sign.kind == "jump" and sign.text == "coda")]


def read_barline(element: etree._Element, measure: RawMeasure, notices: Notices) -> list[Sign]:
    """Put repeats, endings and style of a barline into its measure and return its segno or coda. Raises Malformed."""
    signs = [Sign(ZERO, "jump", name) for name in ("segno", "coda") if element.find(name) is not None]
    location = element.get("location", "right")
    style = element.find("bar-style")
    if style is not None and location == "right":
        measure.barline = text_of(style)
    repeat = element.find("repeat")
    if repeat is not None:
        _read_repeat(repeat, measure)
    ending = element.find("ending")
    if ending is not None:
        signs.append(Sign(ZERO, "ending", ending.get("number", ""), type=ending.get("type", "")))
        if text_of(ending) and not _NUMBER.findall(ending.get("number", "")):
            notices.add("The text of an ending bracket without a number is not kept.")
    if element.find("fermata") is not None:
        notices.add("A fermata over a barline is not kept.")
    return signs


def _read_repeat(element: etree._Element, measure: RawMeasure) -> None:
    if element.get("direction") == "forward":
        measure.repeat_start = True
    else:
        times = attribute_number(element, "times", 2) or 2
        measure.repeat_end = min(max(times, 2), 99)


def ending_numbers(text: str) -> tuple[int, ...]:
    """The numbers of an ending bracket ("1, 2" or "1-3"); a bracket without any counts as the first."""
    numbers: list[int] = []
    for first, last in re.findall(r"(\d{1,3})(?:\s*-\s*(\d{1,3}))?", text):
        numbers.extend(range(int(first), int(last or first) + 1))
    return tuple(dict.fromkeys(numbers[:99])) or (1,)
