"""A fingering drawn: a circle for each hole or first key, filled where a finger is down, a square for each other key.

Drawn from the chart's fingers and keys alone, so that any instrument's chart can be drawn.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from coach.instruments.chart import Chart
from coach.instruments.picture import FingerRow, picture
from coach.screen.view.glyphs import Glyphs


@dataclass(frozen=True, slots=True)
class Inked:
    """A piece of a drawn line: its text, and whether it shows something that is down."""

    text: str
    down: bool = False


def hand_line(chart: Chart, controls: frozenset[str], glyphs: Glyphs) -> str:
    """A fingering on one line: the circles of both hands (the thumb apart), then the keys that are pressed."""
    hands = {hand: _circles(chart, controls, hand, glyphs) for hand in ("left", "right")}
    circles = "  ".join(filter(None, hands.values()))
    return f"{circles}  {keys_told(chart, controls)}".rstrip()


def keys_told(chart: Chart, controls: frozenset[str]) -> str:
    """The keys that are pressed, each with its hand where both hands have one of the name: "register, left F#/C#"."""
    rows = picture(chart, controls)
    names = [(spot.name, row.finger.hand) for row in rows for spot in row.keys]
    hands = {name: {hand for other, hand in names if other == name} for name, _ in names}
    told = []
    for row in rows:
        for spot in row.down:
            told.append(f"{row.finger.hand} {spot.name}" if len(hands[spot.name]) > 1 else spot.name)
    return ", ".join(told)


def hand_rows(chart: Chart, controls: frozenset[str], glyphs: Glyphs, moving: frozenset[str]) -> Iterator[list[Inked]]:
    """A fingering as a small picture, a row a finger, each hand under its name; fingers that are `moving` in the change
    to the next note are pointed at."""
    hand = ""
    for row in picture(chart, controls):
        if row.finger.hand != hand:
            hand = row.finger.hand
            yield [Inked(f"{hand} hand")]
        yield _finger_row(row, glyphs, row.finger.id in moving)


def _finger_row(row: FingerRow, glyphs: Glyphs, moves: bool) -> list[Inked]:
    home = " " if row.home is None else glyphs.filled if row.home.down else glyphs.open
    inked = [
        Inked(glyphs.here if moves else " "),
        Inked(f"{row.finger.name:<6} "),
        Inked(home, row.home is not None and row.home.down),
        Inked(" "),
    ]
    inked += [Inked(glyphs.key_down if spot.down else glyphs.key_up, spot.down) for spot in row.keys]
    if row.down:
        inked.append(Inked(f" {' '.join(spot.name for spot in row.down)}", True))
    return inked


def _circles(chart: Chart, controls: frozenset[str], hand: str, glyphs: Glyphs) -> str:
    rows: Sequence[FingerRow] = [row for row in picture(chart, controls) if row.finger.hand == hand and row.home]
    drawn = [(row, glyphs.filled if row.home and row.home.down else glyphs.open) for row in rows]
    thumb = "".join(f"{sign} " for row, sign in drawn if row.finger.name == "thumb")
    return thumb + "".join(sign for row, sign in drawn if row.finger.name != "thumb")
