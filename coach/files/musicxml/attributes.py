"""`<attributes>`: divisions, keys, metres, clefs, transposition."""

from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

from coach.files.musicxml.numbers import Exact, attribute_number, decimal, malformed, text_of, whole
from coach.files.musicxml.raw import Notices, RawMeasure
from coach.music.metre import Clef, Key, Metre
from coach.music.pitch import STEPS, Pitch, Transposition

_MOST_BEATS = 1024
_SLOWEST_UNIT = 1024
_MOST_FIFTHS = 28


@dataclass(slots=True)
class Setting:
    """What is in force at a place of a part. In a concert score the notes stand as they sound; `concert` is then what
    the player reads them through."""

    divisions: Exact = 1
    metre: Metre | None = None
    keys: dict[int, Key] = field(default_factory=dict)
    clefs: dict[int, Clef] = field(default_factory=dict)
    transposition: Transposition = Transposition()
    concert_score: bool = False
    concert: Transposition | None = None

    def written(self, pitch: Pitch) -> Pitch:
        """The pitch that the player reads; in a concert score the file holds the sounding one."""
        return pitch if self.concert is None else self.concert.written(pitch)


def read_divisions(element: etree._Element) -> Exact:
    """Divisions to a quarter. Raises Malformed."""
    divisions = decimal(element)
    if divisions <= 0:
        raise malformed(element, "divisions must be more than 0")
    return divisions


def read_key(element: etree._Element) -> Key:
    """A usual or a free key signature. Raises Malformed."""
    fifths = element.find("fifths")
    if fifths is not None:
        count = whole(fifths)
        if abs(count) > _MOST_FIFTHS:
            raise malformed(fifths, f"no key has {abs(count)} sharps or flats")
        return Key(count, text_of(element.find("mode")))
    alters: list[tuple[str, int]] = []
    step = ""
    for child in element:
        if child.tag == "key-step":
            step = text_of(child)
        elif child.tag == "key-alter" and step in STEPS and step:
            alters.append((step, int(decimal(child))))
    return Key(0, "", tuple(alters))


def read_metre(element: etree._Element, notices: Notices) -> Metre | None:
    """A time signature; None for music without one. Raises Malformed."""
    if element.find("senza-misura") is not None:
        return None
    tops = [_numbers(child) for child in element.findall("beats")]
    units = [whole(child) for child in element.findall("beat-type")]
    if not tops or len(tops) != len(units):
        notices.add("A time signature without numbers is read as free time.")
        return None
    for child, unit in zip(element.findall("beat-type"), units, strict=True):
        if not 1 <= unit <= _SLOWEST_UNIT:
            raise malformed(child, f"{unit} is no lower number of a time signature")
    if element.find("interchangeable") is not None:
        notices.add("A second time signature given as an alternative is not kept.")
    return _metre(tops, units, element.get("symbol", ""))


def _metre(tops: list[list[int]], units: list[int], symbol: str) -> Metre:
    finest = max(units)
    if any(finest % unit for unit in units):
        finest *= units[0]
    groups = [number * finest // unit for top, unit in zip(tops, units, strict=True) for number in top]
    additive = tuple(groups) if len(groups) > 1 else ()
    return Metre(sum(groups), finest, additive, symbol)


def _numbers(element: etree._Element) -> list[int]:
    words = text_of(element).split("+")
    numbers = [int(word) for word in words if word.strip().isascii() and word.strip().isdigit() and len(word) < 8]
    if len(numbers) != len(words) or not 1 <= sum(numbers) <= _MOST_BEATS or min(numbers) < 1:
        raise malformed(element, f"{text_of(element)[:40]!r} is no upper number of a time signature")
    return numbers


def read_clef(element: etree._Element) -> Clef:
    """A clef. Raises Malformed."""
    line, octaves = element.find("line"), element.find("clef-octave-change")
    sign = text_of(element.find("sign")) or "G"
    usual = {"G": 2, "F": 4, "C": 3}.get(sign, 3)
    return Clef(sign, whole(line) if line is not None else usual, whole(octaves) if octaves is not None else 0)


def read_transposition(element: etree._Element) -> Transposition:
    """What is added to the written pitch. A file without `diatonic` gets the step that fits the semitones. Raises
    Malformed."""
    chromatic, diatonic, octaves = (element.find(name) for name in ("chromatic", "diatonic", "octave-change"))
    semitones = int(decimal(chromatic)) if chromatic is not None else 0
    steps = whole(diatonic) if diatonic is not None else usual_steps(semitones)
    shift = whole(octaves) if octaves is not None else 0
    if max(abs(semitones), abs(steps)) > 60 or abs(shift) > 5:
        raise malformed(element, "no instrument transposes so far")
    return Transposition(steps, semitones, shift)


def usual_steps(semitones: int) -> int:
    """The steps of the usual interval of so many semitones (2: a second; 3: a minor third; 6: an augmented fourth)."""
    octaves, rest = divmod(abs(semitones), 12)
    steps = 7 * octaves + (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)[rest]
    return steps if semitones >= 0 else -steps


def change_setting(element: etree._Element, setting: Setting, raw: RawMeasure, at: Fraction, notices: Notices) -> None:
    """Put an `<attributes>` at `at` quarters into the measure into force. Raises Malformed."""
    for child in element:
        match child.tag:
            case "divisions":
                setting.divisions = read_divisions(child)
            case "key":
                _set_key(read_key(child), attribute_number(child, "number"), setting, raw, at)
            case "clef":
                _set_clef(read_clef(child), attribute_number(child, "number", 1) or 1, setting, raw, at)
            case "time":
                if (attribute_number(child, "number", 1) or 1) == 1:
                    _set_metre(read_metre(child, notices), setting, raw, at, notices)
            case "transpose":
                _set_transposition(read_transposition(child), setting, raw, at)
            case "for-part":
                _set_concert(child, setting, raw, at)


def _set_key(key: Key, staff: int | None, setting: Setting, raw: RawMeasure, at: Fraction) -> None:
    if setting.concert is not None and not key.alters:
        key = Key(key.fifths - setting.concert.fifths, key.mode)
    if staff is None:
        setting.keys.clear()
    setting.keys[staff or 1] = key
    if at == 0:
        raw.keys = dict(setting.keys)
    else:
        raw.changes.append((at, staff or 1, key))


def _set_clef(clef: Clef, staff: int, setting: Setting, raw: RawMeasure, at: Fraction) -> None:
    setting.clefs[staff] = clef
    if at == 0:
        raw.clefs = dict(setting.clefs)
    else:
        raw.changes.append((at, staff, clef))


def _set_metre(metre: Metre | None, setting: Setting, raw: RawMeasure, at: Fraction, notices: Notices) -> None:
    setting.metre = metre
    if at == 0:
        raw.metre = metre
    else:
        notices.add("A time signature inside a measure counts from the next measure on.", raw.number)


def _set_transposition(transposition: Transposition, setting: Setting, raw: RawMeasure, at: Fraction) -> None:
    setting.transposition = transposition
    if at == 0:
        raw.transposition = transposition
    else:
        raw.moved.append((at, transposition))


def _set_concert(element: etree._Element, setting: Setting, raw: RawMeasure, at: Fraction) -> None:
    """`for-part` stands in a concert score: its notes stand there as they sound, the player reads them transposed."""
    inner = element.find("part-transpose")
    if inner is None or not setting.concert_score:
        return
    setting.concert = read_transposition(inner)
    _set_transposition(setting.concert, setting, raw, at)
    if at == 0:
        raw.keys = {
            staff: key if key.alters else Key(key.fifths - setting.concert.fifths, key.mode)
            for staff, key in raw.keys.items()
        }
        setting.keys = dict(raw.keys)
