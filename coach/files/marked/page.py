"""Where on the page a sign goes: beside which element, in which order of siblings, under which id."""

from fractions import Fraction

from lxml import etree

from coach.files.marked.ids import ACCIDENTAL, PREFIX
from coach.files.musicxml.written import Written
from coach.files.score import WrittenScore
from coach.music.metre import Metre
from coach.music.note import Grace, Note

_AFTER_NOTATIONS = ("lyric", "play", "listen")
_AFTER_ACCIDENTAL = ("time-modification", "stem", "notehead", "notehead-text", "staff", "beam", "notations")
_MEASURE_START = ("print", "attributes")


def made(tag: str, text: str = "", /, **attributes: str) -> etree._Element:
    """An element; underscores in attribute names stand for hyphens."""
    element = etree.Element(tag, {name.replace("_", "-"): value for name, value in attributes.items()})
    if text:
        element.text = text
    return element


def holding(tag: str, *children: etree._Element, **attributes: str) -> etree._Element:
    """An element with these children."""
    element = made(tag, **attributes)
    element.extend(children)
    return element


class Page:
    """The practised part of a tree, to write on. Marks of notes that are not on it go nowhere."""

    def __init__(self, score: WrittenScore) -> None:
        self.piece = score.piece
        self.root = score.root
        self.written: Written = score.written
        self.notes: dict[str, Note] = {note.id: note for note in score.piece.part.notes()}
        self.graces: dict[str, tuple[Grace, Note]] = {
            grace.id: (grace, note) for note in self.notes.values() for grace in (*note.graces, *note.after_graces)
        }
        self.order: dict[str, int] = {name: k for k, name in enumerate(self.notes)}
        self._measures = {measure.id: measure for measure in score.piece.part.measures}
        self._count = 0

    def has(self, note_id: str) -> bool:
        """Whether there is such a note, rest or grace."""
        return note_id in self.notes or note_id in self.graces

    def main(self, note_id: str) -> Note:
        """The note, or the one that a grace belongs to."""
        return self.notes[note_id] if note_id in self.notes else self.graces[note_id][1]

    def measure_start_q(self, note_id: str) -> Fraction:
        """Where the note's measure begins, in quarters from the start of the piece."""
        return self._measures[self.main(note_id).measure].onset_q

    def metre_at(self, note_id: str) -> Metre | None:
        """The metre of the note's measure."""
        return self._measures[self.main(note_id).measure].metre

    def held(self, note_id: str, when_q: Fraction) -> str:
        """The note of a tied chain that is on the page `when_q` quarters after the onset of its first."""
        if note_id not in self.notes:
            return note_id
        chain = list(self.notes.values())[self.order[note_id] :]
        found, until_q = chain[0], chain[0].onset_q + when_q
        for later in chain[1:]:
            if found.tie not in ("start", "continue") or later.onset_q > until_q:
                break
            found = later
        return found.id

    def element(self, note_id: str) -> etree._Element | None:
        """The `<note>` of a note; None for a rest that the file leaves out."""
        return self.written.notes.get(note_id)

    def new_id(self, kind: str) -> str:
        """An id for an addition."""
        self._count += 1
        return f"{PREFIX}{self._count}-{kind}"

    def notate(self, note_id: str, kind: str, notation: etree._Element) -> bool:
        """Put a notation at a note, among those that are there, for not every reader looks for a second group; whether
        the file holds that note."""
        element = self.element(note_id)
        if element is None:
            return False
        there = element.find("notations")
        if there is None:
            _insert(element, holding("notations", notation, id=self.new_id(kind)), _AFTER_NOTATIONS)
        else:
            notation.set("id", self.new_id(kind))
            there.append(notation)
        return True

    def has_notation(self, note_id: str, path: str) -> bool:
        """Whether the file itself prints such a notation at the note."""
        element = self.element(note_id)
        return element is not None and element.find(f"notations/{path}") is not None

    def remind(self, note_id: str, accidental: str, around: str = "parentheses") -> bool:
        """Put a courtesy accidental before a note, in parentheses or a "bracket"; not where one stands, nor where it
        would say another pitch."""
        element = self.element(note_id)
        if element is None or element.find("accidental") is not None or not _says(element, accidental):
            return False
        sign = made("accidental", accidental, cautionary="yes", **{around: "yes"})
        _insert(element, sign, (*_AFTER_ACCIDENTAL, *_AFTER_NOTATIONS))
        _insert(element, made("notations", id=self.new_id("reminder") + ACCIDENTAL), _AFTER_NOTATIONS)
        return True

    def direct(self, note_id: str, kind: str, *signs: etree._Element, above: bool = True, after: bool = False) -> None:
        """Put signs beside a note, where it begins or (`after`) where it ends."""
        types = [holding("direction-type", sign) for sign in signs]
        direction = holding("direction", *types, placement="above" if above else "below", id=self.new_id(kind))
        element = self.element(note_id)
        if element is None:
            self._direct_in_measure(self.main(note_id), direction, after)
            return
        staff = element.find("staff")
        if staff is not None and staff.text:
            direction.append(made("staff", staff.text))
        if after:
            _last_of_stem(element).addnext(direction)
        else:
            _first_of_stem(element).addprevious(direction)

    def _direct_in_measure(self, note: Note, direction: etree._Element, after: bool) -> None:
        """Beside a rest that the file leaves out: an offset from the start of the measure."""
        element = self.written.measures[note.measure]
        at_q = (note.end_q if after else note.onset_q) - self._measures[note.measure].onset_q
        if at_q:
            direction.append(made("offset", str(round(at_q * _divisions_at(element)))))
        inside = list(element)
        starts = [k for k, child in enumerate(inside) if child.tag not in _MEASURE_START]
        element.insert(starts[0] if starts else len(inside), direction)


def _divisions_at(measure: etree._Element) -> Fraction:
    """Divisions to a quarter in force after the measure's opening attributes."""
    for element in (measure, *measure.itersiblings("measure", preceding=True)):
        found = element.findall("attributes/divisions")
        if found:
            chosen = found[0] if element is measure else found[-1]
            return Fraction((chosen.text or "1").strip())
    return Fraction(1)


def _says(note: etree._Element, accidental: str) -> bool:
    alters = {"flat-flat": -2, "flat": -1, "natural": 0, "sharp": 1, "double-sharp": 2}
    if note.find("pitch") is None or accidental not in alters:
        return False
    return float(note.findtext("pitch/alter") or 0) == alters[accidental]


def _insert(note: etree._Element, child: etree._Element, later: tuple[str, ...]) -> None:
    following = next((one for one in note if one.tag in later), None)
    if following is None:
        note.append(child)
    else:
        following.addprevious(child)


def _first_of_stem(note: etree._Element) -> etree._Element:
    """The head that the others of its chord follow: nothing may stand between them."""
    while note.find("chord") is not None:
        before = note.getprevious()
        if before is None or before.tag != "note":
            break
        note = before
    return note


def _last_of_stem(note: etree._Element) -> etree._Element:
    after = note.getnext()
    while after is not None and after.tag == "note" and after.find("chord") is not None:
        note, after = after, after.getnext()
    return note
