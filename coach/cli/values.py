"""Values typed on the command line. argparse prints the sentence of a ValueError's kin and leaves with status 2."""

import argparse
from datetime import date


def day(text: str) -> date:
    """A day such as 2026-03-14."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no day; write it like 2026-03-14") from None


def minutes(text: str) -> int:
    """Minutes of practice: a whole number from 5 to 480."""
    if not text.isdigit() or not 5 <= int(text) <= 480:
        raise argparse.ArgumentTypeError(f"{text!r} minutes cannot be planned; give a whole number from 5 to 480")
    return int(text)


def per_cent(text: str) -> float:
    """A per cent of the performance tempo, from 10 to 200."""
    try:
        value = float(text.rstrip("%"))
    except ValueError:
        value = 0.0
    if not 10 <= value <= 200:
        raise argparse.ArgumentTypeError(f"{text!r} per cent cannot be played; give a number from 10 to 200")
    return value


def quarters_per_minute(text: str) -> float:
    """A tempo in quarters a minute, from 10 to 400."""
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 10 <= value <= 400:
        raise argparse.ArgumentTypeError(f"{text!r} is no tempo; give quarters a minute, from 10 to 400")
    return value
