"""An instrument's chart: its mechanism, its fingerings, trills and slides, and what a player makes of them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from coach.instruments.fingering import Fingering, Slide, Trill
from coach.instruments.mechanism import Control, Finger, Hole, Rule


@dataclass(frozen=True, slots=True)
class Source:
    """Where facts of a chart come from; `url` is "" for what was put down from memory or reckoned."""

    id: str
    title: str
    url: str = ""


@dataclass(frozen=True, slots=True)
class Advice:
    """What teachers say, in a sentence; `disputed` tells where they differ, "" where they agree."""

    id: str
    says: str
    disputed: str = ""
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Player:
    """What one player's instrument has and what they like: `fitted` options of the chart, and fingerings as (midi,
    choice) to prefer or never to use, and their own."""

    fitted: frozenset[str] = frozenset()
    preferred: frozenset[tuple[int, str]] = frozenset()
    forbidden: frozenset[tuple[int, str]] = frozenset()
    added: tuple[Fingering, ...] = ()


@dataclass(frozen=True)
class Chart:
    """All that is known of one instrument. Pitches are written MIDI numbers; `registers` go from low to high; `options`
    are (id, name) of equipment that not every instrument has; `uses` are (word, meaning).

    A chart from `coach.files.charts` names no control that is not there, and holds a fingering for each pitch from
    `lowest` to `highest`.
    """

    name: str
    instruments: tuple[str, ...]
    lowest: int
    highest: int
    registers: tuple[str, ...]
    uses: tuple[tuple[str, str], ...]
    options: tuple[tuple[str, str], ...]
    fingers: tuple[Finger, ...]
    controls: tuple[Control, ...]
    holes: tuple[Hole, ...]
    rules: tuple[Rule, ...]
    all_fingerings: tuple[Fingering, ...]
    trills: tuple[Trill, ...] = ()
    slides: tuple[Slide, ...] = ()
    advice: tuple[Advice, ...] = ()
    sources: tuple[Source, ...] = ()
    other_slides: int = 3

    def fingerings(self, midi: int) -> tuple[Fingering, ...]:
        """The fingerings of a written pitch, the most ordinary first; empty for a pitch that the instrument lacks."""
        return self._by_pitch.get(midi, ())

    def fingering(self, midi: int, choice: str) -> Fingering | None:
        """The fingering of a pitch with that choice, None if there is none."""
        return next((one for one in self.fingerings(midi) if one.choice == choice), None)

    def trill(self, low: int, high: int) -> tuple[Trill, ...]:
        """The trills between two written pitches, the first choice first; empty if the chart knows none."""
        return self._by_trill.get((low, high), ())

    def control(self, name: str) -> Control:
        """The control of that id. Raises KeyError."""
        return self._controls[name]

    def finger_of(self, control: str) -> str:
        """The id of the finger that works a control. Raises KeyError for a control that the chart lacks."""
        return self._controls[control].finger

    def finger(self, name: str) -> Finger:
        """The finger of that id. Raises KeyError."""
        return self._fingers[name]

    def hand_of(self, control: str) -> str:
        """The hand that works a control: "left" or "right". Raises KeyError for a control that the chart lacks."""
        return self._fingers[self.finger_of(control)].hand

    def by_finger(self, controls: Iterable[str]) -> dict[str, frozenset[str]]:
        """The controls, sorted by the finger that works them. Raises KeyError for a control that the chart lacks."""
        found: dict[str, set[str]] = {}
        for control in controls:
            found.setdefault(self.finger_of(control), set()).add(control)
        return {finger: frozenset(held) for finger, held in found.items()}

    def held_together(self, controls: frozenset[str]) -> bool:
        """Whether the hands can hold all these controls at once: one a finger, but for what a finger holds together."""
        held = self.by_finger(controls)
        return all(
            len(group) == 1 or any(group <= pair for pair in self._fingers[finger].together)
            for finger, group in held.items()
        )

    def slide(self, start: str, end: str) -> Slide | None:
        """The way of one finger from control to control; None if the controls are the same or of two fingers."""
        if start == end or self.finger_of(start) != self.finger_of(end):
            return None
        return self._slides.get((start, end)) or Slide(start, end, self.other_slides)

    def advised(self, name: str) -> Advice:
        """The advice of that id. Raises KeyError."""
        return self._advice[name]

    def for_player(self, player: Player) -> "Chart":
        """The chart as one player has it: without what their instrument lacks and what they never use, with their own
        fingerings, and what they prefer before all else. A pitch may be left without fingerings: see `bare_pitches`."""
        own = {(one.midi, one.choice) for one in player.added}
        kept = (one for one in self.all_fingerings if (one.midi, one.choice) not in own)
        mine = tuple(
            replace(one, rank=0) if (one.midi, one.choice) in player.preferred else one
            for one in (*kept, *player.added)
            if self._fits(one.controls, player.fitted) and (one.midi, one.choice) not in player.forbidden
        )
        trills = tuple(one for one in self.trills if self._fits(one.hold | one.move, player.fitted))
        return replace(self, all_fingerings=mine, trills=trills)

    def bare_pitches(self) -> tuple[int, ...]:
        """The written pitches between lowest and highest without a fingering."""
        return tuple(midi for midi in range(self.lowest, self.highest + 1) if not self.fingerings(midi))

    def _fits(self, controls: frozenset[str], fitted: frozenset[str]) -> bool:
        return all(self.control(one).option in ("", *fitted) for one in controls)

    @cached_property
    def _by_pitch(self) -> dict[int, tuple[Fingering, ...]]:
        found: dict[int, list[Fingering]] = {}
        for one in self.all_fingerings:
            found.setdefault(one.midi, []).append(one)
        return {midi: tuple(sorted(ones, key=lambda one: one.rank)) for midi, ones in found.items()}

    @cached_property
    def _by_trill(self) -> dict[tuple[int, int], tuple[Trill, ...]]:
        found: dict[tuple[int, int], list[Trill]] = {}
        for one in self.trills:
            found.setdefault((one.low, one.high), []).append(one)
        return {pair: tuple(sorted(ones, key=lambda one: one.alternative)) for pair, ones in found.items()}

    @cached_property
    def _controls(self) -> dict[str, Control]:
        return {one.id: one for one in self.controls}

    @cached_property
    def _fingers(self) -> dict[str, Finger]:
        return {one.id: one for one in self.fingers}

    @cached_property
    def _slides(self) -> dict[tuple[str, str], Slide]:
        return {(one.start, one.end): one for one in self.slides}

    @cached_property
    def _advice(self) -> dict[str, Advice]:
        return {one.id: one for one in self.advice}
