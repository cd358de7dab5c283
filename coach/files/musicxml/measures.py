"""The walk over the measures of a part: what follows what, and where it stands."""

from dataclasses import replace
from fractions import Fraction

from lxml import etree

from coach.files.musicxml.attributes import Setting, change_setting
from coach.files.musicxml.directions import ending_numbers, offset_of, read_barline, read_direction, read_sound
from coach.files.musicxml.graces import Graces
from coach.files.musicxml.lengths import length_in_file
from coach.files.musicxml.notes import read_note
from coach.files.musicxml.numbers import Exact, decimal, malformed
from coach.files.musicxml.position import Position
from coach.files.musicxml.raw import Head, Notices, RawMeasure, Sign

_NEAR_Q = Fraction(1, 4)  # a sign printed this near to a note belongs to it
_SIGN_GRID = 8  # elsewhere signs lie on 1/8 of a quarter
_STRAIN = "Note values contradict the file's durations; "


def walk_part(measures: list[etree._Element], concert_score: bool, notices: Notices) -> list[RawMeasure]:
    """All measures of a part as they stand; in a concert score, as the player reads them. Raises Malformed."""
    walked: list[RawMeasure] = []
    setting, graces = Setting(concert_score=concert_score), Graces()
    open_ending: tuple[int, ...] = ()
    for element in measures:
        raw, setting = _walk_measure(element, setting, graces, notices)
        open_ending = _lay_ending(raw, open_ending)
        walked.append(raw)
    if graces.left:
        notices.add("Grace notes that no note follows are left out.", count=graces.left)
    return walked


def _walk_measure(
    element: etree._Element, setting: Setting, graces: Graces, notices: Notices
) -> tuple[RawMeasure, Setting]:
    """Walk a measure by notated values. Where they contradict the file's durations by more than rounding and only the
    durations fill the measure (triplets without their 3, a forgotten dot), the durations stand."""
    found = Notices()
    before = graces.copy()
    walk = _Walk(element, setting, graces, found)
    if walk.strained and walk.raw.content != walk.raw.nominal:
        graces.restore(before)
        other = Notices()
        again = _Walk(element, setting, graces, other, by_duration=True)
        if again.raw.content == again.raw.nominal:
            other.add(_STRAIN + "the durations fill the measure and stand.", walk.raw.number)
            walk, found = again, other
        else:
            graces.restore(before)
            found = Notices()
            walk = _Walk(element, setting, graces, found)
            found.add(_STRAIN + "the values stand.", walk.raw.number)
    notices.take(found)
    return walk.raw, walk.setting


def _lay_ending(raw: RawMeasure, open_ending: tuple[int, ...]) -> tuple[int, ...]:
    marks = [sign for sign in raw.signs if sign.kind == "ending"]
    raw.signs = [sign for sign in raw.signs if sign.kind != "ending"]
    for sign in marks:
        if sign.type == "start":
            open_ending = ending_numbers(sign.text)
    raw.endings = open_ending
    return () if any(sign.type in ("stop", "discontinue") for sign in marks) else open_ending


class _Walk:
    """One measure, walked on construction: `raw` holds it, `setting` what is in force after it, `strained` whether
    values and durations contradict each other."""

    def __init__(
        self, element: etree._Element, setting: Setting, graces: Graces, notices: Notices, by_duration: bool = False
    ) -> None:
        self.setting = replace(setting, keys=dict(setting.keys), clefs=dict(setting.clefs))
        self.raw = RawMeasure(
            (element.get("number") or "").strip(),
            element.get("implicit") == "yes",
            setting.metre,
            dict(setting.keys),
            dict(setting.clefs),
            setting.transposition,
        )
        self.strained = False
        self._graces, self._notices, self._by_duration = graces, notices, by_duration
        self._position = Position(self.setting.divisions)
        self._last: dict[str, Head] = {}
        self._main: Head | None = None
        self._unplaced: list[tuple[list[Sign], Exact]] = []
        for child in element:
            self._step(child)
        graces.end_measure(self._last)
        self._place_signs()
        self.raw.content = self._position.reach

    def _step(self, child: etree._Element) -> None:
        match child.tag:
            case "note":
                self._note(read_note(child), child)
            case "backup":
                self._position.move(-_span(child))
            case "forward":
                self._position.move(_span(child))
            case "attributes":
                change_setting(child, self.setting, self.raw, self._position.exact, self._notices)
                self._position.divisions = self.setting.divisions
            case "direction":
                self._direction(child)
            case "sound":
                self._sign_here(read_sound(child))
            case "barline":
                self._sign_here(read_barline(child, self.raw, self._notices))

    def _note(self, head: Head, element: etree._Element) -> None:
        head.element = element
        head.pitch = self.setting.written(head.pitch) if head.pitch is not None else None
        if head.is_grace:
            self._graces.wait(head, self.setting.divisions)
        elif head.in_chord and self._main is not None:
            self._join_chord(head, element)
        else:
            self._place(head, element)

    def _place(self, head: Head, element: etree._Element) -> None:
        length, strained = length_in_file(head, self.setting, self._by_duration, element)
        self.strained |= strained
        at = self._position.exact
        duration = head.duration if head.duration is not None else length * self.setting.divisions
        self._position.advance(duration, length)
        head.put(at, length, self._position.exact)
        self._graces.settle(head, self._last.get(head.voice))
        if not head.is_rest:
            self._last[head.voice] = head
        self._main = head
        self.raw.heads.append(head)

    def _join_chord(self, head: Head, element: etree._Element) -> None:
        main = self._main
        if main is None or main.is_rest:
            return
        head.put(main.at, main.length, main.end)
        head.voice, head.staff = main.voice, head.staff
        main.chord.append(head)

    def _direction(self, element: etree._Element) -> None:
        signs = read_direction(element, self._notices)
        self._sign_here(signs)
        offset, moves_sound = offset_of(element)
        printed = [sign for sign in signs if moves_sound or sign.kind not in ("tempo", "jump")]
        if offset and printed:
            self._unplaced.append((printed, self._position.file_place(offset)))

    def _sign_here(self, signs: list[Sign]) -> None:
        for sign in signs:
            sign.at = self._position.exact
        self.raw.signs.extend(signs)

    def _place_signs(self) -> None:
        """Signs printed beside the place they stand at in the file belong to the note they are printed at."""
        for signs, file_place in self._unplaced:
            exact = min(self._position.place(file_place), self._position.reach)
            nearest = self._position.nearest(exact)
            grid = Fraction(round(exact * _SIGN_GRID), _SIGN_GRID)
            for sign in signs:
                sign.at = nearest if abs(nearest - exact) <= _NEAR_Q else grid


def _span(element: etree._Element) -> Exact:
    duration = element.find("duration")
    if duration is None:
        raise malformed(element, "it has no duration")
    span = decimal(duration)
    if span < 0:
        raise malformed(element, "a duration cannot be negative")
    return span
