"""A compiled stretch of music: events in nominal seconds, ready to be played at any rate.

Nominal time is that of the performance tempo, tempo changes of the piece included; 0 is the start of the stretch and a
count-in lies before it. Playing at a rate r takes 1/r of the nominal time; nothing in a timeline depends on the rate.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Event:
    """A note or a click.

    `kind` is "note" or "click". `line` is 0 for the practised part, 1, 2, ... for the others. `midi` is the sounding
    pitch. `level_db` is relative to the loudest of the part (0 or below; clicks may lie above); with `end_level_db` a
    note glides, evenly in dB, to that level at its end, with `middle_level_db` by way of that level after
    `middle_share` of its length. `colour` is 0 (dark) to 1 (bright). `tongued` is False for a note slurred to from the
    one before; `slurred` is True if the next one is slurred to; `accented` if it begins with an accent, `ends_open` if
    the breath lets it end, as before a rest, and not the tongue. `click` is "accent", "beat" or "part" for clicks, ""
    for notes. An event with `below_rate` sounds only while the rate is below it. `bar` counts the
    measures of the stretch from 0 (count-in measures are negative), `where` is a note id or, for clicks, a measure id.
    """

    at_s: float
    length_s: float
    kind: str
    line: int = 0
    midi: int = 0
    level_db: float = 0.0
    colour: float = 0.5
    tongued: bool = True
    slurred: bool = False
    click: str = ""
    below_rate: float | None = None
    bar: int = 0
    where: str = ""
    end_level_db: float | None = None
    middle_level_db: float | None = None
    middle_share: float = 0.5
    accented: bool = False
    ends_open: bool = False

    @property
    def curve(self) -> tuple[tuple[float, float], ...]:
        """The level as (share of the length, dB) points; one point if it stays the same."""
        points = [(0.0, self.level_db)]
        if self.middle_level_db is not None:
            points.append((self.middle_share, self.middle_level_db))
        end_db = self.level_db if self.end_level_db is None else self.end_level_db
        if len(points) > 1 or end_db != self.level_db:
            points.append((1.0, end_db))
        return tuple(points)

    def level_at(self, share: float) -> float:
        """The level in dB after a share of the length, 0 to 1."""
        curve = self.curve
        for (start, from_db), (end, to_db) in zip(curve, curve[1:], strict=False):
            if share < end:
                return from_db + (to_db - from_db) * max(0.0, share - start) / (end - start)
        return curve[-1][1]


@dataclass(frozen=True, slots=True)
class Timeline:
    """Events in order of `at_s`. A lap lasts `length_s` plus, when looped, `rest_s` (its clicks are events too);
    `count_in_s` is how far before 0 the count-in begins. `bars` is the number of measures in a lap, its rest included.
    """

    events: tuple[Event, ...]
    length_s: float
    count_in_s: float = 0.0
    rest_s: float = 0.0
    bars: int = 0
