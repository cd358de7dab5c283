"""The ways to play a trill: the one that the page, the style and the tempo ask for, then its alternatives.

Start, where the file does not say: "lyrical" on the main note (usual since Hummel 1828 and Spohr 1832; from memory),
"treatise" on the upper one (C. P. E. Bach 1753, ch. 2, trills par. 5). Closing notes, where none are printed: from the
lower neighbour, for a trill of a beat and 0.8 seconds at least whose next note follows by step; in the treatise style
for short ones too (L. Mozart 1756, ch. X par. 6), but not in a run downwards nor before another trill (common
practice). A lyrical trill that is closed grows faster where it has three beats of 0.7
seconds and 2.5 seconds in all at least (L. Mozart 1756, ch. X par. 7: mostly at cadences). These lengths are defaults.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice

from coach.music.pitch import Pitch
from coach.prepare.mark import Ornament, OssiaNote, Shake
from coach.prepare.ornaments.countable import countable, laid
from coach.prepare.ornaments.figure import Chain, Figure
from coach.prepare.ornaments.graces import Lead, closing, graces_of, is_trilled, leads
from coach.prepare.ornaments.neighbour import marked
from coach.prepare.ornaments.printed_trill import PrintedTrill, printed_trill
from coach.prepare.ornaments.rates import (
    LIMIT_S,
    SPURT,
    Closing,
    Tempo,
    even_division,
    free_closing_value,
    growing_rates,
)
from coach.prepare.ornaments.realisation import Fastest, Pace, Realisation
from coach.prepare.ornaments.shake import count, integral
from coach.prepare.ornaments.trill_words import (
    even_words,
    growing_words,
    reason,
    short_words,
    start_words,
    way_name,
)

SHORT_S = 0.8
GROWS_S, GROWS_BEATS, GROWS_BEAT_S = 2.5, 3, 0.7
_MOST_WAYS = 5


@dataclass(frozen=True, slots=True)
class _Closing:
    """Closing notes with the reason for them, or for their lack; `value_q` as printed, None where none is."""

    pitches: tuple[Pitch, ...]
    why: str
    value_q: Fraction | None = None
    printed: bool = False


@dataclass(frozen=True, slots=True)
class _Choice:
    """How a trill may be played; `curve` is one of coach.prepare.mark.CURVES."""

    start: str
    closing: _Closing
    curve: str = "even"


@dataclass(frozen=True, slots=True)
class _Trill:
    """A trill in its place, which is what the graces of `lead` leave."""

    figure: Figure
    page: PrintedTrill
    upper: Pitch
    tempo: Tempo
    style: str
    lead: Lead

    @property
    def onset_q(self) -> Fraction:
        return self.lead.start_q

    @property
    def length_q(self) -> Fraction:
        return self.figure.end_q - self.lead.start_q

    @property
    def main(self) -> Pitch:
        return self.figure.pitch

    @property
    def seconds(self) -> float:
        return self.tempo.seconds(self.length_q)

    @property
    def short(self) -> bool:
        return self.seconds < SHORT_S or self.length_q < self.tempo.beat_q

    @property
    def beats_q(self) -> Iterator[Fraction]:
        """Where beats begin, from the start of the measure in which the trill begins to the trill's end."""
        measure = self.figure.chain.measure
        metre, beat_q = measure.metre, self.tempo.beat_q
        if metre is not None and not measure.pickup:
            yield from metre.beat_onsets_q(measure.length_q)
        else:
            yield from (measure.length_q - k * beat_q for k in range(1, int(measure.length_q / beat_q) + 1))
        at_q = measure.length_q
        while at_q < self.onset_q + self.length_q:
            yield at_q
            at_q += beat_q


def trill_ways(figure: Figure, style: str, pace: Pace, fastest: Fastest) -> tuple[Realisation, ...]:
    """The ways to play the trill of a note in a style (of coach.prepare.ornaments.realisation.STYLES): the proposed
    one first, then one to four others."""
    page = printed_trill(figure)
    upper = page.upper or figure.neighbour(upper=True)
    main = figure.pitch.midi
    bound = min(max(fastest(min(main, upper.midi), max(main, upper.midi)), 0.5), LIMIT_S)
    tempo = Tempo(pace(figure.chain.onset_q), figure.beat_q, bound)
    fronts = (Lead((), figure.onset_q),) if _absorbs(figure, style, upper, page.start) else leads(figure, style)
    trills = [_Trill(figure, page, upper, tempo, style, front) for front in fronts[:2]]
    other_front = [way for other in trills[1:] for way in islice(_ways(other), 1)]
    return _distinct((*islice(_distinct(_ways(trills[0])), _MOST_WAYS - len(other_front)), *other_front))


def _absorbs(figure: Figure, style: str, upper: Pitch, start: str) -> bool:
    """Whether the graces are the beginning of the trill itself: in the treatises one from above, which would else be
    struck twice."""
    graces = graces_of(figure)
    if style != "treatise" or len(graces) != 1 or start not in ("", "upper"):
        return False
    return graces[0].pitch.midi == upper.midi


def _ways(trill: _Trill) -> Iterator[Realisation]:
    page = trill.page
    if page.upper is None:
        yield _plain(trill, "The file asks for a trill on one note, so it is played plain.")
    if page.beats is not None or page.second is not None or page.last is not None:
        yield _as_the_file_counts(trill)
    first = _proposal(trill)
    yield _realised(trill, first)
    narrower = _narrower(trill)
    if narrower is not None:
        way = _realised(narrower, first)
        yield replace(way, name=f"with {narrower.upper.spoken}, {way.name}")
    yield from (_realised(trill, other) for other in _others(trill, first))
    yield _plain(trill, "The main note alone, without the trill.")
    if trill.tempo.rate(trill.length_q / 2) <= LIMIT_S:
        yield _touched(trill)


def _narrower(trill: _Trill) -> _Trill | None:
    """A trill to a whole tone where the key or the measure makes it wider, which may not be meant."""
    wide = trill.upper.midi - trill.main.midi - 2
    if wide <= 0 or marked(trill.figure.ornaments, upper=True) is not None:
        return None
    return replace(trill, upper=replace(trill.upper, alter=trill.upper.alter - wide))


def _proposal(trill: _Trill) -> _Choice:
    start = trill.page.start or ("upper" if trill.style == "treatise" else "main")
    closing = _closing(trill)
    return _Choice(start, closing, "steady" if _grows(trill, closing) else "even")


def _grows(trill: _Trill, closing: _Closing) -> bool:
    """Whether a trill grows faster unasked, or because the file says so; the fingers must have room to grow."""
    first, last = growing_rates(trill.tempo)
    if last < first * Fraction(3, 2) or trill.length_q * first < 3:
        return False
    if trill.page.accelerate is not None:
        return trill.page.accelerate
    beat_q = trill.tempo.beat_q
    long = trill.seconds >= GROWS_S and trill.length_q >= GROWS_BEATS * beat_q
    slow = trill.tempo.seconds(beat_q) >= GROWS_BEAT_S
    return trill.style == "lyrical" and long and slow and bool(closing.pitches)


def _others(trill: _Trill, first: _Choice) -> Iterator[_Choice]:
    """What else a player may choose."""
    other_start = replace(first, start="main" if first.start == "upper" else "upper")
    if first.curve != "even":
        yield from (replace(first, curve="late"), replace(first, curve="early"), replace(first, curve="even"))
        yield other_start
        return
    yield other_start
    if _grows(replace(trill, page=replace(trill.page, accelerate=True)), first.closing) and not trill.short:
        yield replace(first, curve="steady")
    if first.closing.pitches:
        yield replace(first, closing=_Closing((), "without closing notes"))
    elif trill.figure.after is not None:
        yield replace(first, closing=_Closing((trill.page.lower, trill.main), "closed from the note below"))


# Closing notes.


def _closing(trill: _Trill) -> _Closing:
    pitches = closing(trill.figure)
    if pitches:
        return _Closing(pitches, "the printed graces close it in time", _printed_value(trill.figure), True)
    if trill.page.turn in ("whole", "half"):
        return _Closing((trill.page.lower, trill.main), "the closing notes are those that the file asks for")
    why_not = _why_not_closed(trill)
    if why_not:
        return _Closing((), why_not)
    after = trill.figure.after
    why = "as at a cadence" if after and _resolves(trill, after) else "because the next note follows by step"
    return _Closing((trill.page.lower, trill.main), f"closed from the note below, {why}")


def _printed_value(figure: Figure) -> Fraction | None:
    graces = figure.chain.after_graces or (figure.after.head.graces if figure.after is not None else ())
    value = graces[0].value if graces else None
    return value.length_q if value is not None else None


def _why_not_closed(trill: _Trill) -> str:
    """Why a trill without printed closing notes gets none; "" if it gets some."""
    after = trill.figure.after
    if trill.page.turn == "none":
        return "without closing notes, as the file asks"
    if after is None or after.head.pitch is None:
        return "without closing notes, because no note follows it"
    if is_trilled(after):
        return "without closing notes, because another trill follows"
    if abs(after.head.pitch.diatonic - trill.main.diatonic) != 1 and not _resolves(trill, after):
        return "without closing notes, because the next note does not follow by step"
    if trill.short and (trill.style != "treatise" or _runs_down(trill, after.head.pitch)):
        return "without closing notes, because it is short"
    return ""


def _resolves(trill: _Trill, after: Chain) -> bool:
    """Whether the next note is what a long trill at a cadence leads to: a fifth below or a fourth above, on a
    beat, as the keynote after its fifth."""
    pitch = after.head.pitch
    leap = pitch.midi - trill.main.midi if pitch is not None else 0
    return leap in (-7, 5) and after.head.beat.denominator == 1 and not trill.short


def _runs_down(trill: _Trill, after: Pitch) -> bool:
    before = trill.figure.before
    came = before.head.pitch if before is not None else None
    return came is not None and came.diatonic - trill.main.diatonic == 1 and after.diatonic < trill.main.diatonic


# A choice as notes.


def _realised(trill: _Trill, choice: _Choice) -> Realisation:
    if choice.curve != "even":
        return _growing(trill, choice)
    shake = _even_shake(trill, choice)
    if choice.closing.printed and (shake is None or not shake.close):
        closed = _only_closed(trill, choice.closing.pitches)
        if closed is not None:
            return closed
    notes = countable(trill.main, shake, trill.beats_q) if shake is not None else ()
    if shake is None or len(notes) < 3:
        return _too_short(trill)
    kept = shake if trill.seconds >= SHORT_S and len(notes) - len(shake.close) >= 5 else None
    pace = even_words(shake, count(trill.main, shake), trill.tempo) if kept else short_words(len(notes))
    name = way_name(choice.start, "short" if kept is None else "even", closed=bool(shake.close))
    return _way(trill, notes, kept, name, _because(trill, choice, shake, pace))


def _even_shake(trill: _Trill, choice: _Choice) -> Shake | None:
    """The shake of an even trill, without its closing notes where these have no room; None where the fingers have no
    time for it."""
    pitches = choice.closing.pitches
    for close in (pitches, ()) if pitches else ((),):
        odd = (choice.start == "main") != (bool(close) and close[0].midi == trill.main.midi)
        asked = Closing(len(close), choice.closing.value_q)
        division = even_division(trill.length_q, trill.tempo, asked, odd=odd, least=3 if odd else 2)
        if division is not None:
            unit_q, close_q = division
            rate = 1 / unit_q
            return Shake(trill.upper, trill.onset_q, trill.length_q, rate, rate, "even", choice.start, close, close_q)
    return None


def _growing(trill: _Trill, choice: _Choice) -> Realisation:
    first, last = growing_rates(trill.tempo)
    closing = choice.closing
    close_q = Fraction(0)
    if closing.pitches:
        close_q = free_closing_value(closing.value_q, len(closing.pitches), trill.length_q, trill.tempo, last)
    shake = Shake(
        trill.upper, trill.onset_q, trill.length_q, first, last, choice.curve, choice.start, closing.pitches, close_q
    )
    while shake.last > first and _top(trill, shake) > min(trill.tempo.fastest * SPURT, LIMIT_S):
        shake = replace(shake, last=max(first, shake.last - Fraction(1, 4)))
    notes = countable(trill.main, shake, trill.beats_q)
    name = way_name(choice.start, choice.curve, closed=bool(shake.close))
    return _way(trill, notes, shake, name, _because(trill, choice, shake, growing_words(shake, trill.tempo)))


def _top(trill: _Trill, shake: Shake) -> float:
    """The quickest notes a second of a growing trill, its number of notes being whole."""
    return float(shake.last * count(trill.main, shake) / integral(shake)) / trill.tempo.quarter_s


def _only_closed(trill: _Trill, pitches: tuple[Pitch, ...]) -> Realisation | None:
    """The main note and its printed closing notes evenly, where there is no time to trill as well; None where there is
    none even for that."""
    each_q = trill.length_q / (len(pitches) + 1)
    if trill.tempo.rate(each_q) > LIMIT_S or pitches[0].midi == trill.main.midi:
        return None
    notes = laid((trill.main, *pitches), (each_q,) * (len(pitches) + 1), trill.onset_q)
    because = "The note is too short for a trill as well as its printed graces, so the graces alone are played."
    return _way(trill, notes, None, "graces only", because)


def _too_short(trill: _Trill) -> Realisation:
    if trill.tempo.rate(trill.length_q / 2) <= min(trill.tempo.fastest * SPURT, LIMIT_S):
        return _touched(trill)
    return _plain(trill, "The note is too short for a trill, so it is played plain.")


def _touched(trill: _Trill) -> Realisation:
    half_q = trill.length_q / 2
    notes = laid((trill.upper, trill.main), (half_q, half_q), trill.onset_q)
    because = f"The note is short for a trill, so {trill.upper.spoken} is only touched before it."
    return _way(trill, notes, None, "upper note touched", because)


def _as_the_file_counts(trill: _Trill) -> Realisation:
    """The notes that the file counts: `beats` of them, the second and the last one where it says; by MusicXML 4.0 four
    of them, at a quarter and three quarters of the time, where it leaves some of this open."""
    page = trill.page
    number = page.beats or 4
    closing = _closing(trill) if page.turn != "none" else _Closing((), "")
    close_q = min(Fraction(1, 4), trill.length_q / 8) if closing.pitches else Fraction(0)
    span_q = trill.length_q - close_q * len(closing.pitches)
    shares = _shares(number, page.second, page.last)
    start = _proposal(trill).start
    lengths = [(b - a) * span_q for a, b in zip(shares, (*shares[1:], Fraction(1)), strict=True)]
    pitches = _to_and_fro(trill, start, number)
    notes = laid((*pitches, *closing.pitches), (*lengths, *(close_q for _ in closing.pitches)), trill.onset_q)
    because = f"The file counts {number} notes for this trill with {trill.upper.spoken}, from the {start} note."
    return _way(trill, notes, None, "as the file counts it", because)


def _shares(number: int, second: Fraction | None, last: Fraction | None) -> tuple[Fraction, ...]:
    """Where each note begins, as shares of the time: evenly from the second to the last one."""
    begin = second if second is not None else Fraction(1, number)
    end = last if last is not None else Fraction(number - 1, number)
    if number == 2:
        return (Fraction(0), begin)
    if not begin < end:
        return tuple(Fraction(k, number) for k in range(number))
    return (Fraction(0), *(begin + (end - begin) * k / (number - 2) for k in range(number - 1)))


def _to_and_fro(trill: _Trill, start: str, number: int) -> tuple[Pitch, ...]:
    pair = (trill.upper, trill.main) if start == "upper" else (trill.main, trill.upper)
    first = trill.page.lower if start == "lower" else pair[0]
    rest = pair if start != "lower" else (trill.upper, trill.main)
    return (first, *(rest[k % 2] for k in range(1, number)))


def _plain(trill: _Trill, because: str) -> Realisation:
    note = OssiaNote(trill.main, trill.onset_q, trill.length_q)
    return Realisation(Ornament((*trill.lead.notes, note), "trill", trill.style), "plain", because)


def _way(trill: _Trill, notes: tuple[OssiaNote, ...], shake: Shake | None, name: str, because: str) -> Realisation:
    lead = trill.lead
    if lead.notes:
        name, because = f"{name}; graces {lead.name}", f"{because} {lead.because}"
    return Realisation(Ornament((*lead.notes, *notes), "trill", trill.style, shake), name, because)


def _distinct(ways: Iterable[Realisation]) -> tuple[Realisation, ...]:
    found: list[Realisation] = []
    for way in ways:
        if all(way.content != one.content for one in found):
            found.append(way)
    return tuple(found[:_MOST_WAYS])


def _because(trill: _Trill, choice: _Choice, shake: Shake, pace: str) -> str:
    start = start_words(trill.style, choice.start, trill.page.start)
    closing = choice.closing.why if shake.close or not choice.closing.pitches else "too short for closing notes"
    told = marked(trill.figure.ornaments, upper=True) is not None
    return reason(trill.upper, start, pace, closing, marked=told)
