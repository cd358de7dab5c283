"""The mechanism: what a finger presses, the holes that this opens or shuts, and the rules of what then sounds."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finger:
    """A finger (or another part of a hand); `hand` is "left" or "right"; `together` lists the sets of controls that it
    may hold at once."""

    id: str
    hand: str
    name: str
    together: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True, slots=True)
class Control:
    """What a finger covers ("hole", or "ring" for a hole with one) or presses ("key"). `option` names the equipment
    that an instrument must have for it, "" for all instruments."""

    id: str
    name: str
    finger: str
    kind: str = "key"
    option: str = ""
    note: str = ""
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole or pad, in the order of the chart from the reed down.

    It stands `open` or shut, and does the opposite while any of `moved_by` is active (a control that is pressed, or
    another hole that has left its rest), unless one of `held_by` is. `low` is the written pitch in the lowest
    register when it is the uppermost open hole, None for a vent. `flatter_next` and `flatter_all` are the cents that
    it sounds lower with the next open-standing hole below shut, and with all of them shut. With `raises` it is no
    tone hole of its own but adds that many semitones to what sounds without it (`raises_over`: other numbers over
    some holes).
    """

    id: str
    name: str
    open: bool
    moved_by: frozenset[str]
    held_by: frozenset[str] = frozenset()
    low: int | None = None
    flatter_next: float = 0.0
    flatter_all: float = 0.0
    raises: float = 0.0
    raises_over: tuple[tuple[str, float], ...] = ()
    note: str = ""
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Instead:
    """What may sound instead of what a rule names: another `raise_by` over the base note, or the pitch `at`."""

    raise_by: float = 0.0
    at: int | None = None
    covered: frozenset[str] = frozenset()
    partial: int = 1
    words: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """From the base note of a state to what sounds: `raise_by` semitones higher, less `flatter` times the cents of the
    holes that are shut below.

    It applies when all of `down` and, if there are any, one of `any_of` are pressed, none of `up` is, and the base note
    (reckoned with `covered` as if pressed) is not below `lowest`. `partial` is the resonance of the tube that sounds. A
    state that is not `clean` gives no note in its own right. `lingers` is (partial, semitones) of a resonance that may
    hold on when the state is slurred into from a higher one.
    """

    id: str
    raise_by: float
    flatter: float
    partial: int
    down: frozenset[str] = frozenset()
    up: frozenset[str] = frozenset()
    any_of: frozenset[str] = frozenset()
    covered: frozenset[str] = frozenset()
    lowest: int | None = None
    clean: bool = True
    words: str = ""
    others: tuple[Instead, ...] = ()
    lingers: tuple[int, float] | None = None
    source: tuple[str, ...] = ()
