"""Dynamics, hairpins, words and tempos of a part, out of its signs."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate

from coach.files.musicxml.raw import Notices, RawMeasure, Sign
from coach.files.musicxml.vocabulary import hairpin_word, level_after, level_at
from coach.music.part import DynamicMark, Hairpin, Words

_DYNAMIC_SIGNS = ("dynamic", "wedge", "dashes")
_LONGEST_WORD_HAIRPIN_MEASURES = 4  # our default: "cresc." without an end is not carried on for longer


@dataclass(slots=True)
class Marks:
    """What is printed beside the notes of one staff, in order of onset."""

    dynamics: list[DynamicMark] = field(default_factory=list)
    hairpins: list[Hairpin] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    # Floats only to search by: fractions of such sizes never fall together, and comparing floats is ten times faster.
    _onsets: list[float] = field(default_factory=list)
    _levels: list[tuple[str | None, str | None]] = field(default_factory=list)
    _starts: list[float] = field(default_factory=list)
    _furthest: list[float] = field(default_factory=list)

    def settle(self) -> None:
        """Work out the level in force after every mark."""
        self.dynamics.sort(key=lambda mark: mark.onset_q)
        level: str | None = None
        for mark in self.dynamics:
            self._onsets.append(float(mark.onset_q))
            self._levels.append((level_at(mark.mark, level), level_after(mark.mark, level)))
            level = self._levels[-1][1]

    def level(self, onset_q: Fraction) -> str | None:
        """The level of a note that begins at an onset."""
        k = bisect_right(self._onsets, float(onset_q)) - 1
        if k < 0:
            return None
        return self._levels[k][0 if self.dynamics[k].onset_q == onset_q else 1]

    def hairpin(self, onset_q: Fraction, end_q: Fraction) -> str | None:
        """The hairpin open over a note; of two, the one that is open at its beginning."""
        onset = float(onset_q)
        over: list[Hairpin] = []
        for k in range(bisect_left(self._starts, float(end_q)) - 1, -1, -1):
            if self._furthest[k] <= onset:
                break
            if self.hairpins[k].end_q > onset_q:
                over.insert(0, self.hairpins[k])
        at_onset = [hairpin for hairpin in over if hairpin.start_q <= onset_q]
        return next((hairpin.kind for hairpin in (*at_onset, *over)), None)

    def lay_hairpins(self, hairpins: list[Hairpin]) -> None:
        """Take the hairpins in order of onset."""
        self.hairpins = sorted(hairpins, key=lambda hairpin: (hairpin.start_q, hairpin.end_q))
        self._starts = [float(hairpin.start_q) for hairpin in self.hairpins]
        self._furthest = list(accumulate((float(hairpin.end_q) for hairpin in self.hairpins), max))


def gather_marks(
    measures: Sequence[RawMeasure],
    onsets: Sequence[Fraction],
    staff: int,
    printed: Sequence[tuple[Fraction, str]],
    notices: Notices,
) -> Marks:
    """The marks that hold for one staff: its own; where it has no dynamics of its own, those of the part. `printed`
    are dynamics that stand at notes."""
    # In the order of the file, which pairs starts with stops; places may run against it.
    signs = [
        (onset + sign.at, raw.number, sign) for raw, onset in zip(measures, onsets, strict=True) for sign in raw.signs
    ]
    own = any(sign.staff == staff and sign.kind in _DYNAMIC_SIGNS for _, _, sign in signs)
    mine = [entry for entry in signs if entry[2].staff == staff or not own or entry[2].kind not in _DYNAMIC_SIGNS]
    marks = Marks()
    marks.dynamics = [DynamicMark(at, sign.text) for at, _, sign in mine if sign.kind == "dynamic"]
    marks.dynamics.extend(DynamicMark(at, text) for at, text in printed)
    marks.settle()
    marks.words = [
        Words(at, sign.text, sign.kind == "rehearsal") for at, _, sign in mine if sign.kind in ("words", "rehearsal")
    ]
    marks.words.sort(key=lambda words: words.onset_q)
    ends = list(onsets[1:])
    marks.lay_hairpins(_wedges(mine, marks, ends, notices) + _word_hairpins(mine, marks, ends))
    return marks


_Placed = tuple[Fraction, str, Sign]


def _wedges(signs: list[_Placed], marks: Marks, ends: list[Fraction], notices: Notices) -> list[Hairpin]:
    hairpins: list[Hairpin] = []
    open_: dict[int, tuple[Fraction, str, Sign]] = {}
    for at, measure, sign in signs:
        if sign.kind != "wedge":
            continue
        if sign.type in ("crescendo", "diminuendo"):
            if sign.number in open_:
                hairpins.append(_unended(open_.pop(sign.number), at, notices))
            open_[sign.number] = (at, measure, sign)
        elif sign.type == "stop" and sign.number in open_:
            start, _, first = open_.pop(sign.number)
            if at > start:
                hairpins.append(Hairpin(first.type, start, at, first.niente or sign.niente))
            else:
                notices.add("A hairpin without length is left out.", measure)
        elif sign.type == "stop":
            notices.add("A hairpin that ends without having begun is left out.", measure)
    for entry in open_.values():
        start = entry[0]
        later = [mark.onset_q for mark in marks.dynamics if mark.onset_q > start] + [end for end in ends if end > start]
        hairpins.append(_unended(entry, min(later, default=start + 1), notices))
    return hairpins


def _unended(entry: _Placed, end: Fraction, notices: Notices) -> Hairpin:
    start, measure, sign = entry
    notices.add("A hairpin that never ends in the file is taken to end at the next mark or measure.", measure)
    return Hairpin(sign.type, start, end if end > start else start + 1, sign.niente)


def _word_hairpins(signs: list[_Placed], marks: Marks, ends: list[Fraction]) -> list[Hairpin]:
    """ "cresc." and "dim." last to the end of their dashes, else to the next dynamic or hairpin."""
    hairpins = []
    for at, _, sign in signs:
        kind = hairpin_word(sign.text) if sign.kind == "words" else None
        if kind is None:
            continue
        end = _end_of_dashes(at, signs)
        if end is None:
            stops = [mark.onset_q for mark in marks.dynamics if mark.onset_q > at]
            stops += [
                other
                for other, _, later in signs
                if other > at
                and (later.type in ("crescendo", "diminuendo") or (later.kind == "words" and hairpin_word(later.text)))
            ]
            stops += [end for end in ends if end > at][_LONGEST_WORD_HAIRPIN_MEASURES - 1 :]
            end = min(stops, default=None)
        if end is not None:
            hairpins.append(Hairpin(kind, at, end, False, sign.text))
    return hairpins


def _end_of_dashes(at: Fraction, signs: list[_Placed]) -> Fraction | None:
    started: set[int] = set()
    for place, _, sign in signs:
        if sign.kind != "dashes" or place < at:
            continue
        if sign.type == "start" and place <= at + 1:
            started.add(sign.number)
        elif sign.type == "stop" and sign.number in started and place > at:
            return place
    return None
