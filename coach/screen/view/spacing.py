"""Where things stand from left to right: columns in proportion to time, but never closer than their texts allow."""

from collections.abc import Sequence
from fractions import Fraction


def spread(minima: Sequence[int], lengths: Sequence[Fraction], width: int) -> tuple[int, ...]:
    """Widths that add up to `width` (or to the minima, if those need more): each is the larger of its minimum and a
    common scale times its length in quarters."""
    if not minima:
        return ()
    spare = width - sum(minima)
    if spare <= 0:
        return tuple(minima)
    scale = _scale(minima, lengths, width)
    exact = [max(Fraction(low), scale * length) for low, length in zip(minima, lengths, strict=True)]
    return _whole(minima, exact, width)


def _scale(minima: Sequence[int], lengths: Sequence[Fraction], width: int) -> Fraction:
    """Columns per quarter at which the widths fill the room, from the piecewise linear sum."""
    order = sorted((Fraction(low) / length, low, length) for low, length in zip(minima, lengths, strict=True) if length)
    fixed = Fraction(sum(minima))
    moving = Fraction(0)
    scale = Fraction(0)
    for k, (threshold, low, length) in enumerate(order):
        fixed -= low
        moving += length
        scale = (width - fixed) / moving
        if scale >= threshold and (k + 1 == len(order) or scale <= order[k + 1][0]):
            break
    return scale


def _whole(minima: Sequence[int], exact: Sequence[Fraction], width: int) -> tuple[int, ...]:
    """Whole widths near the exact ones, none below its minimum, adding up to `width`."""
    widths = []
    at, used = Fraction(0), 0
    for low, size in zip(minima, exact, strict=True):
        at += size
        whole = max(low, int(at + Fraction(1, 2)) - used)
        widths.append(whole)
        used += whole
    return _trimmed(minima, widths, used - width)


def _trimmed(minima: Sequence[int], widths: list[int], excess: int) -> tuple[int, ...]:
    """Give or take the rounding's remainder at the widest places."""
    while excess:
        step = 1 if excess > 0 else -1
        open_to = [k for k in range(len(widths)) if step < 0 or widths[k] > minima[k]]
        widest = max(open_to, key=lambda k: widths[k] - minima[k])
        widths[widest] -= step
        excess -= step
    return tuple(widths)
