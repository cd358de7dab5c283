"""The ways to finger a note, a trill, and a finger's way from one key to another."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fingering:
    """One way to sound the written pitch `midi`; `choice` names it, unique within the pitch.

    `controls` is all that is pressed or covered. `rank` 0 is the player's own preference, 1 the ordinary one, larger
    less usual, 9 only passed through. `cents` is the usual deviation from the tempered pitch, None where none is
    known. `confidence` is "high", "medium" or "low"; `source` names entries of the chart's sources.
    """

    midi: int
    choice: str
    controls: frozenset[str]
    rank: int
    register: str
    uses: tuple[str, ...] = ()
    tendency: str = ""
    cents: int | None = None
    note: str = ""
    confidence: str = "low"
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Trill:
    """A trill between two written pitches: `hold` stays down, `move` is tapped, and the upper note sounds with `move`
    released if `lifts`, else with it pressed. An `alternative` is not the first choice."""

    low: int
    high: int
    hold: frozenset[str]
    move: frozenset[str]
    lifts: bool
    alternative: bool = False
    note: str = ""
    confidence: str = "low"
    source: tuple[str, ...] = ()

    @property
    def lower(self) -> frozenset[str]:
        """What is pressed while the lower note sounds."""
        return self.hold | self.move if self.lifts else self.hold

    @property
    def upper(self) -> frozenset[str]:
        """What is pressed while the upper note sounds."""
        return self.hold if self.lifts else self.hold | self.move


@dataclass(frozen=True, slots=True)
class Slide:
    """One finger going from control to control: `ease` is 1 (least bad) to 3 (worst); a roll stays in touch and is no
    slide to be avoided."""

    start: str
    end: str
    ease: int
    rolls: bool = False
    note: str = ""
    confidence: str = "low"
    source: tuple[str, ...] = ()
