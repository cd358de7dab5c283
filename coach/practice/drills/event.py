"""What a drill is laid out of: notes and rests one after another, by measures."""

from dataclasses import dataclass, field, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Note
from coach.music.pitch import Pitch
from coach.music.rhythm import Value, simplest_value
from coach.prepare.mark import Ornament

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Event:
    """A note, or a rest where `pitch` is None. `tied` and `slurred` join it to the next event; `anew` begins another
    slur at a note that one ends at. `page` is the printed note whose articulations, ornaments and graces it keeps.
    `label` is printed over it; `says` is what to do from here on. `plays` is what sounds of its ornament, with onsets
    that count from the event's own. `sign` is the dynamic printed at it, `swell` the hairpin open over it. `breath` is
    the size of the breath that follows it, which is printed as a comma."""

    pitch: Pitch | None
    length_q: Fraction
    value: Value | None
    tied: bool = False
    slurred: bool = False
    anew: bool = False
    page: Note | None = None
    label: str = ""
    says: str = ""
    plays: Ornament | None = None
    sign: str = ""
    swell: str = ""
    breath: str = ""

    @property
    def dressed(self) -> bool:
        """Whether more than the note is printed: graces, ornaments, articulations, a fermata, a breath."""
        page = self.page
        if page is None:
            return False
        signs = page.articulations, page.ornaments, page.graces, page.after_graces
        return any(signs) or page.fermata or page.breath is not None


@dataclass(frozen=True, slots=True)
class Frame:
    """What a measure of a drill is like: a full measure of its metre."""

    metre: Metre
    key: Key
    clef: Clef

    @property
    def length_q(self) -> Fraction:
        """Its length in quarters."""
        return self.metre.length_q

    @property
    def beats(self) -> tuple[Fraction, ...]:
        """Where its beats begin, and its end."""
        return (*self.metre.beat_onsets_q(), self.length_q)

    @property
    def beat_q(self) -> Fraction:
        """Length of a beat in quarters; of the printed unit in additive metres, whose beats differ."""
        return self.metre.beat_q


@dataclass(frozen=True, slots=True)
class Bar:
    """One measure of a drill: its events add up to its frame's length."""

    frame: Frame
    events: tuple[Event, ...] = field(default=())


def frame_of(measure: Measure) -> Frame:
    """What a drill's measures are like that are made from this one. Where the page sets no metre, or the measure holds
    more than its metre, they get the metre that it fills. Raises ValueError if there is none."""
    metre = measure.metre
    if metre is None or measure.length_q > metre.length_q:
        metre = _filled(measure.length_q)
    return Frame(metre, measure.key, measure.clef)


def _filled(length_q: Fraction) -> Metre:
    for unit in (4, 8, 16, 32, 64):
        beats = length_q * unit / 4
        if beats.denominator == 1:
            return Metre(int(beats), unit)
    raise ValueError(f"no metre is filled by {length_q} quarters")


def printed(length_q: Fraction) -> Value | None:
    """The value of a length: plain or dotted, else in a triplet; None where several are needed."""
    value = simplest_value(length_q)
    if value is not None and value.dots < 2:
        return value
    written = simplest_value(length_q * 3 / 2)
    return Value(written.kind, 0, 3, 2) if written is not None and not written.dots else None


def sustained(pitch: Pitch, length_q: Fraction, unit_q: Fraction) -> list[Event]:
    """A note held for so long, as tied values of whole units, long ones first; for a unit that has no value, as one."""
    if printed(unit_q) is None or (length_q / unit_q).denominator != 1:
        return [Event(pitch, length_q, printed(length_q))]
    pieces: list[Fraction] = []
    left = int(length_q / unit_q)
    while left:
        count = next(k for k in range(left, 0, -1) if printed(k * unit_q) is not None)
        pieces.append(count * unit_q)
        left -= count
    return [Event(pitch, each, printed(each), tied=k + 1 < len(pieces)) for k, each in enumerate(pieces)]


def rests(frame: Frame, start_q: Fraction, end_q: Fraction) -> list[Event]:
    """Rests from one place of a measure to another, beat by beat."""
    cuts = sorted({start_q, end_q, *(beat for beat in frame.beats if start_q < beat < end_q)})
    lengths = [b - a for a, b in zip(cuts, cuts[1:], strict=False)]
    return [Event(None, length, simplest_value(length)) for length in lengths]


def moved(ornament: Ornament, by_q: Fraction) -> Ornament:
    """An ornament with all its onsets so many quarters later."""
    notes = tuple(replace(note, onset_q=note.onset_q + by_q) for note in ornament.notes)
    shake = ornament.shake
    return replace(ornament, notes=notes, shake=replace(shake, onset_q=shake.onset_q + by_q) if shake else None)
