"""Tempo marks of a score: one at an onset, the printed number before the one that its own program would play.

Words have no number, but for "Tempo I", which takes up the first one again.
"""

import re
from collections.abc import Sequence
from fractions import Fraction

from coach.files.musicxml.raw import Notices, RawMeasure, Sign
from coach.music.rhythm import Value
from coach.music.tempo import Tempo, TempoMark

_FASTEST = 10_000
_FIRST_AGAIN = re.compile(r"\btempo\s+(?:i|1|1o|primo)\b", re.IGNORECASE)


def gather_tempos(
    parts: Sequence[Sequence[RawMeasure]], onsets: Sequence[Fraction], notices: Notices
) -> tuple[TempoMark, ...]:
    """The tempo marks of all parts, in order; the same mark in several parts is one."""
    found: dict[Fraction, list[tuple[RawMeasure, Sign]]] = {}
    for measures in parts:
        here: dict[Fraction, list[tuple[RawMeasure, Sign]]] = {}
        for raw, onset in zip(measures, onsets, strict=False):
            for sign in raw.signs:
                if sign.kind == "tempo":
                    here.setdefault(onset + sign.at, []).append((raw, sign))
        for at, signs in here.items():
            found.setdefault(at, signs)
    marks: list[TempoMark] = []
    for at in sorted(found):
        marks.append(_mark(at, found[at], marks, notices))
    return tuple(mark for mark in marks if mark.tempo is not None or mark.text)


def _mark(at: Fraction, signs: list[tuple[RawMeasure, Sign]], before: list[TempoMark], notices: Notices) -> TempoMark:
    raw = signs[0][0]
    unit = raw.metre.beat_unit if raw.metre is not None else Value("quarter")
    text = " ".join(dict.fromkeys(sign.text for _, sign in signs if sign.text))
    printed = [sign for _, sign in signs if sign.beat is not None]
    heard = [sign.heard for _, sign in signs if sign.heard is not None]
    tempo = _printed_tempo(printed[-1], before) if printed else None
    if tempo is None and heard:
        tempo = Tempo(heard[-1], Value("quarter")).counted_in(printed[-1].beat or unit if printed else unit)
    if tempo is None and _FIRST_AGAIN.search(text):
        tempo = next((mark.tempo for mark in before if mark.tempo is not None), None)
    if tempo is not None and not 0 < tempo.quarters_per_minute <= _FASTEST:
        notices.add(f"A tempo of {float(tempo.per_minute):g} cannot be meant and is left out.", raw.number)
        tempo = None
    for other in dict.fromkeys(heard):
        if tempo is not None and abs(other - tempo.quarters_per_minute) >= 1:
            said = f"The file plays {float(other):g} quarters a minute where {tempo.name} stands"
            notices.add(f"{said}; what stands there counts.", raw.number)
    return TempoMark(at, tempo, text)


def _printed_tempo(sign: Sign, before: list[TempoMark]) -> Tempo | None:
    if sign.beat is None:
        return None
    if sign.printed is not None:
        return Tempo(sign.printed, sign.beat)
    running = next((mark.tempo for mark in reversed(before) if mark.tempo is not None), None)
    if running is None or sign.equals is None:
        return None
    return Tempo(running.counted_in(sign.beat).per_minute, sign.equals)
