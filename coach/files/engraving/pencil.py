"""The pencil: every mark that is not struck, drawn in the part's MEI where a player would write it.

A kept mark is drawn plainly. A suggested one stands in square brackets or is dashed, as editors print what is theirs
(trade practice): tenuto, fermata, words and letters in brackets, the reminder in brackets instead of parentheses,
hairpins and phrases dashed. verovio has no other breath mark than the comma, and no dashed staff: a breath and an
ossia have the class "suggested", a breath also "full" or "catch", and whoever draws the shapes makes the difference.
Shaping in decibels is for the ear and is not drawn.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from lxml import etree

from coach.files.engraving.ids import xml_id
from coach.files.engraving.mei import MEI
from coach.files.engraving.ossia import draw_ossias
from coach.files.engraving.sheet import Sheet, rend
from coach.music.note import Note
from coach.music.part import Part
from coach.prepare.mark import (
    ACCIDENTALS,
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.prep import Prep

LONGEST_TEXT = 24  # letters of a comment that is written over the note; a longer one gets a number there

_ACCIDENTALS = {"double-flat": "ff", "flat": "f", "natural": "n", "sharp": "s", "double-sharp": "x"}
_GLYPHS = {"double-flat": "♭♭", "flat": "♭", "natural": "♮", "sharp": "♯", "double-sharp": "x"}
_HAIRPINS = {"crescendo": "cres", "diminuendo": "dim"}
_AFTER = Fraction(3, 4)  # of a note's length: there the breath after it stands
_SMALL = {"fontstyle": "italic", "fontsize": "75%"}

assert set(_ACCIDENTALS) == set(ACCIDENTALS)  # noqa: S101  one that is missing would be drawn as a word


@dataclass(frozen=True, slots=True)
class Pencilled:
    """A part with its marks: the MEI, the ids of marks that found no place in it, and the numbers that stand for
    comments too long to be written over a note, as (mark id, number)."""

    root: etree._Element
    undrawn: tuple[str, ...] = ()
    numbers: tuple[tuple[str, int], ...] = ()


def pencil_in(mei: etree._Element, prep: Prep, part: Part) -> Pencilled:
    """The part (of `part_mei`) with every mark of the prep that is not struck, in a copy."""
    sheet = Sheet(mei, part)
    drawn = [mark for mark in prep.shown if _has_place(sheet, mark)]
    numbers = _numbers(sheet, drawn)
    for mark in drawn:
        draw = _DRAWERS.get(type(mark.content))
        if draw is not None:
            draw(sheet, mark, mark.content)
        elif isinstance(mark.content, Comment):
            _comment(sheet, mark, mark.content, numbers.get(mark.id))
    draw_ossias(sheet, [mark for mark in drawn if isinstance(mark.content, Ornament | Alteration)])
    undrawn = tuple(mark.id for mark in prep.shown if mark not in drawn)
    return Pencilled(sheet.root, undrawn, tuple(numbers.items()))


def _has_place(sheet: Sheet, mark: Mark) -> bool:
    """Whether the page has all notes of a mark, a stretch's end not before its start."""
    names = (mark.at, mark.to, mark.content.goal if isinstance(mark.content, Phrase) else "")
    if not mark.at or any(sheet.element(name) is None for name in names if name):
        return False
    return not mark.to or sheet.owners[mark.at].onset_q <= sheet.owners[mark.to].onset_q


def _numbers(sheet: Sheet, marks: list[Mark]) -> dict[str, int]:
    """Numbers for long comments, in the order of the page."""
    long = [mark for mark in marks if isinstance(mark.content, Comment) and len(mark.content.text) > LONGEST_TEXT]
    long.sort(key=lambda mark: sheet.owners[mark.at].onset_q)
    return {mark.id: k for k, mark in enumerate(long, 1)}


def _in_brackets(mark: Mark, text: str) -> str:
    return text if mark.state == "kept" else f"[{text}]"


def _enclosed(mark: Mark) -> dict[str, str]:
    return {} if mark.state == "kept" else {"enclose": "brack"}


def _line(mark: Mark) -> str:
    return "solid" if mark.state == "kept" else "dashed"


def _breath(sheet: Sheet, mark: Mark, breath: Breath) -> None:
    note = sheet.owners[mark.at]
    place = sheet.place_at(note, _AFTER) if mark.at == note.id else {}
    made = sheet.put(mark, mark.at, "breath", place="above", **place)
    made.set("type", f"{made.get('type')} {breath.size}")


def _fingering(sheet: Sheet, mark: Mark, fingering: Fingering) -> None:
    sheet.put(mark, mark.at, "fing", _in_brackets(mark, fingering.choice), place="above")


def _swap(sheet: Sheet, mark: Mark, swap: Swap) -> None:
    sheet.put(mark, mark.at, "fing", _in_brackets(mark, f"{swap.start}\u2013{swap.end}"), place="above")


def _reminder(sheet: Sheet, mark: Mark, reminder: Reminder) -> None:
    note = sheet.elements[xml_id(mark.at)]
    sign = _ACCIDENTALS.get(reminder.text)
    if reminder.of:  # as over and under the sign of a turn
        place = "above" if reminder.of == "upper" else "below"
        _small(sheet, mark, mark.at, _GLYPHS.get(reminder.text, reminder.text), place)
        return
    if sign is None or note.tag != f"{{{MEI}}}note":
        _small(sheet, mark, mark.at, reminder.text)
        return
    printed = note.find(f"{{{MEI}}}accid[@accid]")
    if printed is not None and printed.get("accid") != sign:
        _small(sheet, mark, mark.at, reminder.text)
        return
    accid = printed if printed is not None else _without_silent(note)
    accid.set("accid", sign)
    accid.set("func", "caution")
    accid.set("enclose", "paren" if mark.state == "kept" else "brack")
    sheet.signed(mark, accid)


def _without_silent(note: etree._Element) -> etree._Element:
    """A new accidental for a note, in place of one that is only heard."""
    for silent in note.findall(f"{{{MEI}}}accid"):
        note.remove(silent)
    if "accid.ges" in note.attrib:
        del note.attrib["accid.ges"]
    return etree.SubElement(note, f"{{{MEI}}}accid")


def _small(sheet: Sheet, mark: Mark, at: str, text: str, place: str = "above") -> None:
    """Words in small italics over a note, or under it."""
    rend(sheet.put(mark, at, "dir", place=place), _in_brackets(mark, text), **_SMALL)


def _dynamic(sheet: Sheet, mark: Mark, dynamic: Dynamic) -> None:
    form = _HAIRPINS.get(dynamic.sign)
    start, end = sheet.owners[mark.at], sheet.owners[(form and dynamic.to) or mark.at]
    place = "above" if _is_taken(sheet.part, start.onset_q, end.end_q) else "below"
    if form is not None:
        stretch = {"endid": f"#{xml_id(end.id)}"} if end is not start else _over(sheet, start)
        sheet.put(mark, mark.at, "hairpin", form=form, place=place, lform=_line(mark), **stretch)
    elif dynamic.sign:
        sheet.put(mark, mark.at, "dynam", _in_brackets(mark, dynamic.sign), place=place)


def _over(sheet: Sheet, note: Note) -> dict[str, str]:
    """The attributes of a hairpin on one note, in time: one that ends where it begins is not drawn."""
    return {**sheet.place_at(note, Fraction(0)), "tstamp2": f"0m+{sheet.place_at(note, Fraction(1))['tstamp']}"}


def _is_taken(part: Part, start_q: Fraction, end_q: Fraction) -> bool:
    """Whether dynamics are printed below a stretch: verovio would draw another over them."""
    signs = any(start_q <= sign.onset_q < end_q for sign in part.dynamics)
    return signs or any(pin.start_q < end_q and pin.end_q > start_q for pin in part.hairpins)


def _phrase(sheet: Sheet, mark: Mark, phrase: Phrase) -> None:
    sheet.put(
        mark,
        mark.at,
        "bracketSpan",
        func="phrase",
        place="above",
        lform=_line(mark),
        endid=f"#{xml_id(phrase.to)}",
    )
    if phrase.goal:
        sheet.put(mark, phrase.goal, "dir", "\u2193", place="above")


def _pace(sheet: Sheet, mark: Mark, pace: Pace) -> None:
    if pace.shape == "tenuto":
        _tenuto(sheet, mark)
    elif pace.shape == "fermata":
        sheet.put(mark, mark.at, "fermata", place="above", **_enclosed(mark))
    else:
        lasting = {"extender": "true", "endid": f"#{xml_id(pace.to)}"} if pace.to and pace.to != mark.at else {}
        made = sheet.put(mark, mark.at, "dir", place="above", **lasting)
        rend(made, _in_brackets(mark, pace.shape), fontstyle="italic")
    if pace.length_q is not None:
        _small(sheet, mark, mark.at, _beats(pace.length_q / _beat_q(sheet, mark.at)))


def _tenuto(sheet: Sheet, mark: Mark) -> None:
    element = sheet.elements[xml_id(mark.at)]
    holder = next(element.iterancestors(f"{{{MEI}}}chord"), element)
    if holder.tag not in (f"{{{MEI}}}note", f"{{{MEI}}}chord"):
        _small(sheet, mark, mark.at, "tenuto")
        return
    made = etree.SubElement(holder, f"{{{MEI}}}artic", {"artic": "ten", **_enclosed(mark)})
    sheet.signed(mark, made)


def _beat_q(sheet: Sheet, at: str) -> Fraction:
    metre = sheet.measure_of(at).metre
    return metre.beat_q if metre is not None else Fraction(1)


def _beats(beats: Fraction) -> str:
    """A number of beats as a player writes it: "3 beats", "1 1/2 beats"."""
    whole, rest = divmod(beats, 1)
    number = " ".join(text for text in (str(whole) if whole else "", str(rest) if rest else "") if text)
    return f"{number} {'beat' if beats <= 1 else 'beats'}"


def _comment(sheet: Sheet, mark: Mark, comment: Comment, number: int | None) -> None:
    if number is None:
        _small(sheet, mark, mark.at, comment.text)
    else:
        made = sheet.put(mark, mark.at, "dir", place="above")
        rend(made, _in_brackets(mark, str(number)), rend="box", fontstyle="normal", fontsize="75%")


_DRAWERS: dict[type[Content], Callable[[Sheet, Mark, Any], None]] = {
    Breath: _breath,
    Fingering: _fingering,
    Swap: _swap,
    Reminder: _reminder,
    Dynamic: _dynamic,
    Phrase: _phrase,
    Pace: _pace,
}
