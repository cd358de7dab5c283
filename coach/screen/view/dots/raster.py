"""Lines, polygons and curves as dots."""

from collections.abc import Iterator, Sequence
from math import ceil, floor

Dot = tuple[int, int]


def nearest(value: float) -> int:
    """The nearest whole number, halves upwards always, so that equal distances stay equal."""
    return floor(value + 0.5)


def segment(x0: float, y0: float, x1: float, y1: float) -> Iterator[Dot]:
    """A straight line one dot wide, without gaps."""
    steps = max(abs(nearest(x1) - nearest(x0)), abs(nearest(y1) - nearest(y0)), 1)
    for k in range(steps + 1):
        yield nearest(x0 + (x1 - x0) * k / steps), nearest(y0 + (y1 - y0) * k / steps)


def path(points: Sequence[float]) -> Iterator[Dot]:
    """Straight lines through points given as x and y in turn."""
    pairs = list(zip(points[::2], points[1::2], strict=True))
    for (x0, y0), (x1, y1) in zip(pairs, pairs[1:], strict=False):
        yield from segment(x0, y0, x1, y1)


def curve(points: Sequence[float]) -> Iterator[Dot]:
    """A cubic: start, two controls, end, as x and y in turn."""
    length = sum(
        ((points[k + 2] - points[k]) ** 2 + (points[k + 3] - points[k + 1]) ** 2) ** 0.5 for k in range(0, 6, 2)
    )
    steps = max(ceil(length * 2), 2)
    for k in range(steps + 1):
        t = k / steps
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        x = a * points[0] + b * points[2] + c * points[4] + d * points[6]
        y = a * points[1] + b * points[3] + c * points[5] + d * points[7]
        yield nearest(x), nearest(y)


def area(points: Sequence[float]) -> Iterator[Dot]:
    """A filled polygon: the dots whose middle lies inside, by the even-odd rule."""
    pairs = list(zip(points[::2], points[1::2], strict=True))
    for y in range(floor(min(points[1::2])), ceil(max(points[1::2])) + 1):
        crossings = sorted(_crossings(pairs, y))
        for left, right in zip(crossings[::2], crossings[1::2], strict=False):
            for x in range(ceil(left - 0.5), floor(right + 0.5) + 1):
                yield x, y


def _crossings(pairs: list[tuple[float, float]], y: int) -> Iterator[float]:
    for (x0, y0), (x1, y1) in zip(pairs, [*pairs[1:], pairs[0]], strict=True):
        if (y0 <= y) != (y1 <= y):
            yield x0 + (y - y0) * (x1 - x0) / (y1 - y0)


def slab(points: Sequence[float], thick: int) -> Iterator[Dot]:
    """A beam: a slanted band with upright ends, `thick` dots at every column, counted from its upper edge."""
    pairs = sorted(zip(points[::2], points[1::2], strict=True))
    (x0, y0), (x1, y1) = min(pairs[:2], key=_height), min(pairs[-2:], key=_height)
    first, last = nearest(x0), nearest(x1)
    for x in range(first, last + 1):
        share = (x - x0) / (x1 - x0) if x1 > x0 else 0.0
        top = nearest(y0 + (y1 - y0) * min(max(share, 0.0), 1.0))
        for k in range(thick):
            yield x, top + k


def _height(point: tuple[float, float]) -> float:
    return point[1]
