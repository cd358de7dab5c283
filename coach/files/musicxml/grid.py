"""Where the measures of a score lie, all parts together."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from coach.files.musicxml.raw import ZERO, Notices, RawMeasure
from coach.music.metre import Metre

_EMPTY_Q = Fraction(4)  # a measure with neither notes nor a metre
_LONGEST_Q = 4096


@dataclass(frozen=True, slots=True)
class Grid:
    """Onsets and lengths of the measures in quarters. `leads` is how far into its metre a measure begins: an upbeat of
    a quarter in 3/4 begins 2 quarters in. `pickup` tells that the first measure is an upbeat."""

    onsets: tuple[Fraction, ...]
    lengths: tuple[Fraction, ...]
    leads: tuple[Fraction, ...]
    pickup: bool


def lay_grid(parts: Sequence[Sequence[RawMeasure]], chosen: int, notices: Notices) -> Grid:
    """The grid of a score. A measure is as long as the chosen part fills it, if that is what its metre asks for or
    more; else as its metre says if another part fills it so; else as its fullest part. An empty one lasts what its
    metre says."""
    count = max(map(len, parts))
    own = parts[chosen]
    lengths = [
        _length(own[k] if k < len(own) else None, [part[k] for part in parts if k < len(part)]) for k in range(count)
    ]
    onsets = [ZERO]
    for length in lengths:
        onsets.append(onsets[-1] + length)
    for raw, length in zip(own, lengths, strict=False):
        if raw.nominal is not None and length > raw.nominal:
            notices.add("A measure holds more than its metre asks for.", raw.number)
    leads = _leads(own, lengths)
    pickup = bool(own) and own[0].nominal is not None and lengths[0] < own[0].nominal and count > 1
    return Grid(tuple(onsets[:-1]), tuple(lengths), tuple(leads), pickup)


def _length(own: RawMeasure | None, measures: list[RawMeasure]) -> Fraction:
    nominal = own.nominal if own is not None else None
    if own is not None and nominal is not None and own.content >= nominal:
        return own.content
    contents = {raw.content for raw in measures}
    if nominal in contents and nominal is not None:
        return nominal
    if max(contents) > 0:
        return max(contents)
    return next((raw.nominal for raw in measures if raw.nominal is not None), _EMPTY_Q)


def _leads(measures: Sequence[RawMeasure], lengths: list[Fraction]) -> list[Fraction]:
    leads: list[Fraction] = []
    for k, length in enumerate(lengths):
        nominal = measures[k].nominal if k < len(measures) else None
        before = (lengths[k - 1], leads[-1], measures[k - 1].nominal) if 0 < k < len(measures) else None
        leads.append(_lead(k, length, nominal, before, k < len(measures) and measures[k].implicit))
    return leads


def _lead(
    k: int,
    length: Fraction,
    nominal: Fraction | None,
    before: tuple[Fraction, Fraction, Fraction | None] | None,
    implicit: bool,
) -> Fraction:
    """The first measure, if short, is an upbeat; a short one that completes the short one before it goes on counting;
    an uncounted short one after a full one is an upbeat again."""
    if nominal is None or length >= nominal:
        return ZERO
    if before is None:
        return nominal - length if k == 0 else ZERO
    length_before, lead_before, nominal_before = before
    end_before = lead_before + length_before
    if k > 1 and nominal_before == nominal and end_before < nominal and end_before + length <= nominal:
        return end_before
    return nominal - length if implicit else ZERO


@lru_cache(maxsize=4096)
def beat_of(metre: Metre | None, offset_q: Fraction) -> Fraction:
    """The beat, from 1, at an offset into the metre; quarters where there is none."""
    if metre is None:
        return offset_q + 1
    if not metre.groups:
        return offset_q / metre.beat_q + 1
    beat = Fraction(1)
    for group in metre.groups:
        length = group * metre.unit_q
        if offset_q < length:
            return beat + offset_q / length
        offset_q -= length
        beat += 1
    return beat + offset_q / metre.unit_q
