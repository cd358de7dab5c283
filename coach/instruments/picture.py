"""A fingering as a picture to be drawn: finger by finger, the hole and the keys that each one has, and what is down.

Nothing in it knows an instrument: the fingers and their keys come in the order of the chart.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from coach.instruments.chart import Chart
from coach.instruments.mechanism import Control, Finger

# Words of a control's name that its place in the picture tells already.
_TOLD = frozenset({"left", "right", "key", "lever", "hole", "throat", "index", "middle", "ring-finger", "thumb"})


@dataclass(frozen=True, slots=True)
class Spot:
    """A key or hole of the picture: `name` is short, without what its place tells; `down` whether it is pressed or
    covered; `optional` for equipment that not every instrument has."""

    id: str
    name: str
    down: bool
    optional: bool = False


@dataclass(frozen=True, slots=True)
class FingerRow:
    """One finger of the picture: `home` is where it rests, a hole or a first key (None for a finger that has only keys
    to choose from), `keys` the others."""

    finger: Finger
    home: Spot | None
    keys: tuple[Spot, ...]

    @property
    def down(self) -> tuple[Spot, ...]:
        """The keys that are pressed."""
        return tuple(spot for spot in self.keys if spot.down)


def picture(chart: Chart, controls: frozenset[str]) -> tuple[FingerRow, ...]:
    """The picture of what is pressed, a row a finger in the order of the chart."""
    fitted = {one for fingering in chart.all_fingerings for one in fingering.controls}
    shown = [one for one in chart.controls if not one.option or one.id in fitted | controls]
    return tuple(_row(finger, [one for one in shown if one.finger == finger.id], controls) for finger in chart.fingers)


def picture_words(chart: Chart, controls: frozenset[str]) -> str:
    """The picture in words: "left hand: thumb, index; right little: F/C key", "nothing" for an open instrument."""
    said = []
    for hand in ("left", "right"):
        rows = [row for row in picture(chart, controls) if row.finger.hand == hand]
        words = [word for row in rows for word in _row_words(chart, row)]
        said += [f"{hand} hand: {', '.join(words)}"] if words else []
    return "; ".join(said) or "nothing down"


def _row(finger: Finger, controls: list[Control], down: frozenset[str]) -> FingerRow:
    home = next((one for one in controls if one.kind != "key"), None)
    if home is None:
        home = next((one for one in controls if one.id == finger.id), None)
    keys = tuple(_spot(one, down) for one in controls if one is not home)
    return FingerRow(finger, _spot(home, down) if home else None, keys)


def _spot(control: Control, down: frozenset[str]) -> Spot:
    return Spot(control.id, short_name(control.name), control.id in down, bool(control.option))


def short_name(name: str) -> str:
    """A control's name without what its place in the picture tells: "E/B" of "left E/B lever"."""
    kept = [word for word in name.split() if word not in _TOLD]
    return " ".join(kept).replace(" sharp", "#") or name


def _row_words(chart: Chart, row: FingerRow) -> Iterator[str]:
    if row.home is not None and row.home.down:
        yield row.finger.name
    for spot in row.down:
        yield chart.control(spot.id).name.removeprefix(f"{row.finger.hand} ")
