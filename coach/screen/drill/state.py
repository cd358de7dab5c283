"""The state of drilling one spot: its ladder, the tempo of the next rep, what just happened. No widget in it."""

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.breathing import Breaths, air_of, with_breaths
from coach.lesson.desk import Desk
from coach.lesson.drill_air import drill_air
from coach.lesson.drilling import choose_ladder, climb, growing_length, ladder_of, log_rep, name_slip, undo
from coach.lesson.drills import Work, decided_of, drill_copy, find_recipe, work_of
from coach.lesson.engraving import Copy
from coach.lesson.playing import Now, Take
from coach.music.tempo import notch_down, notch_up
from coach.practice.drills.decided import NOTHING
from coach.practice.drills.drill import Drill
from coach.practice.ladder import Climb, Ladder, Scale
from coach.practice.rep import Rep, Slip
from coach.practice.spot import Spot
from coach.prepare.interpretation import Interpretation
from coach.screen.drill.air import air_line
from coach.screen.session import Opened
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.track import outcome_words, rung_names, standing_words
from coach.screen.view.words import number

if TYPE_CHECKING:
    from coach.screen.prepared import Prepared


def breathing_of(prepared: "Prepared") -> Interpretation:
    """What is played of a piece at its performance tempo, with the breaths planned for that; with the marked ones alone
    where the air of the settings is nobody's, which the Stand tells."""
    try:
        return with_breaths(prepared.interpretation, prepared.breaths(1.0))
    except RequestError:
        return prepared.interpretation


class Drilling:
    """One spot under work, played as the piece is `prepared`. Every rep is on the disk before `said` tells of it."""

    def __init__(self, desk: Desk, opened: Opened, spot: Spot, glyphs: Glyphs, prepared: "Prepared") -> None:
        self.desk, self.opened, self.spot, self.glyphs = desk, opened, spot, glyphs
        self._prepared: Prepared | None = None
        self._copy: Copy | None = None
        self.work: Work
        self.ladder: Ladder
        self.climb: Climb
        self.per_minute = 0.0
        self._length: int | None = None
        self._air: tuple[tuple[object, ...], Breaths | None] | None = None
        self.outcome = ""
        self.unnamed = False  # whether the latest rep slipped and what slipped was not yet said
        self._last: Rep | None = None
        self._climbed()
        self.decide(prepared)
        self.said = self._standing()

    def decide(self, prepared: "Prepared") -> None:
        """Take what is now decided on the piece, and the length that the ladder stands at. Raises RequestError if the
        score no longer has the spot."""
        length = growing_length(self.ladder, self.climb)
        if self._prepared is not prepared or self._length != length:
            piece, played = self.opened.piece, prepared.interpretation
            decided = NOTHING
            if self.spot.drill:
                breathes = find_recipe(self.spot.drill).works_on == "breath"
                decided = decided_of(piece, breathing_of(prepared) if breathes else played, prepared.ways)
            self.work = work_of(self.opened.set_piece, piece, self.spot, decided, played, length)
            self._prepared, self._copy, self._length = prepared, None, length

    def look_again(self) -> None:
        """Take the ladder and the rung from the log, and the length that they ask for."""
        self._climbed()
        if self._prepared is not None:
            self.decide(self._prepared)

    def _climbed(self) -> None:
        arguments = (self.desk, self.opened.set_piece, self.opened.piece, self.spot)
        self.ladder = ladder_of(*arguments)
        self.climb = climb(*arguments)
        self.per_minute = self.climb.per_minute

    def take(self, others: bool, plain: bool = False) -> Take:
        """What is looped; a spot as printed may be played plainly, and breathes as its tempo asks for; a drill sounds
        what it is for."""
        take = Take(
            self.work.piece,
            self.work.span,
            self.work.tempo,
            self.per_minute,
            self.desk.settings.click,
            loop=not self.rest_s,
            rest_measures=self.desk.settings.drill_rest,
            others=others,
            interpretation=self.work.interpretation,
        )
        if self.work.drill is not None or self._prepared is None:
            return take
        return replace(take, interpretation=None if plain else self._prepared.sounding(take.rate))

    @property
    def rest_s(self) -> int:
        """The seconds to rest after it was played, 0 for what is looped."""
        return self.work.drill.recipe.rest_s if self.work.drill is not None else 0

    @property
    def air(self) -> Breaths | None:
        """The air in a drill of the breath at the tempo in hand, None for all else and for settings of the air
        that are nobody's."""
        asked = (self.work, self.per_minute, self.desk.settings.air)
        if self._prepared is None or self.work.drill is None:
            return None
        if self._air is None or any(one is not other for one, other in zip(self._air[0], asked, strict=True)):
            plan = None
            with suppress(RequestError):
                played, air = self._prepared.interpretation, air_of(self.desk.settings.air)
                plan = drill_air(self.work, self.opened.piece, self.spot, played, air, self.per_minute)
            self._air = asked, plan
        return self._air[1]

    def air_words(self, now: Now) -> str:
        """The air along the drill as a strip, with the present place marked and the share that is left there; at rest
        what is left at the end, or how much is missing; "" where no air is shown."""
        plan, drill = self.air, self.work.drill
        if plan is None or drill is None:
            return ""
        here = (0.0 if now.counting_in else now.share) if now.playing else None
        return air_line(plan, drill.piece.part, here, self.glyphs)

    def _standing(self) -> str:
        names = rung_names(self.ladder)
        return standing_words(self.climb, self.ladder.rule, self.ladder.target, names)

    @property
    def copy(self) -> Copy | None:
        """What is engraved of a drill, None for a spot as printed; it is written out when first asked for."""
        if self._copy is None and self.work.drill is not None:
            self._copy = drill_copy(self.desk, self.work.drill)
        return self._copy

    def step_words(self, now: Now) -> str:
        """What to do in a drill: all of it at rest, the step at hand while it sounds; "" for a spot as printed."""
        drill = self.work.drill
        if drill is None:
            return ""
        if not now.playing:
            return drill.recipe.says
        at_q = 0 if now.counting_in else now.share * float(drill.piece.part.end_q)
        return drill.step_at(at_q).says

    def log(self, outcome: str) -> None:
        """Log a rep at the tempo in hand; then the ladder decides the next tempo."""
        before, tempo = self.climb, self.per_minute
        self._last = log_rep(self.desk, self.opened.set_piece, self.opened.piece, self.spot, tempo, outcome)
        self.look_again()
        self.outcome = outcome
        self.unnamed = outcome == "slip"
        names = rung_names(self.ladder)
        self.said = outcome_words(before, self.climb, outcome == "clean", tempo, self.ladder.rule, self.glyphs, names)

    def name_slip(self, what: str = "", where: str = "") -> None:
        """Say what slipped in the rep just logged, or in which measure (an id). Raises RequestError if none has."""
        if self._last is None or self._last.outcome != "slip":
            raise RequestError("First press the key for a slip, then the one that says what or where.")
        told = self._last.slips[0] if self._last.slips else Slip()
        what, where = what or told.what, where or told.at
        self._last = name_slip(self.desk, self._last, what, where)
        place = f"measure {where}" if where else ""
        self.said = f"{self.said.split(' (')[0]} ({', '.join(word for word in (what, place) if word)})"
        self.unnamed = False

    def undo(self) -> None:
        """Take back the latest rep of the piece."""
        gone = undo(self.desk, self.opened.set_piece.id)
        self._last = None
        self.outcome, self.unnamed = "", False
        if gone is None:
            raise RequestError("There is no rep to take back.")
        self.look_again()
        place = "" if gone.spot == self.spot.uuid else " (of another spot or a run)"
        standing = self._standing()
        self.said = f"taken back: {gone.outcome} at {number(round(gone.per_minute, 1))}{place}. {standing}"

    def notch(self, by: int) -> None:
        """Play the next reps at another tempo than the rung's."""
        moved = notch_up(self.per_minute) if by > 0 else notch_down(self.per_minute)
        if (moved - self.per_minute) * by > 0:
            self.set_per_minute(moved)

    def set_per_minute(self, per_minute: float) -> None:
        """Play the next reps at this tempo."""
        self.per_minute = per_minute
        self.outcome = ""
        rung = number(round(self.climb.per_minute, 1))
        self.said = f"the next rep at {number(round(per_minute, 1))}; the ladder stands at {rung}"

    def choose_ladder(self, rule: str, scale: Scale, start: str) -> None:
        """Go on on another ladder: its rule, the size of its rungs, and the tempo to start at as it was written.

        Raises RequestError for a tempo that it cannot start at.
        """
        try:
            per_minute = float(start.replace(",", "."))
        except ValueError:
            raise RequestError(f"{start!r} is no tempo; write a number such as 40.") from None
        arguments = (self.desk, self.opened.set_piece, self.opened.piece, self.spot)
        choose_ladder(*arguments, rule, scale=scale, start=per_minute)
        self.look_again()
        self.outcome = ""
        start = number(round(self.climb.per_minute, 1))
        way = "down" if self.ladder.falls else "up"
        self.said = f"rungs of {self.ladder.scale.words}, from {start} {way} to {number(round(self.ladder.target, 1))}"


def recipe_text(drill: Drill) -> str:
    """What a drill is for, what to do in it step by step, and what to beware of."""
    recipe = drill.recipe
    steps = dict.fromkeys(step.says for step in drill.steps)
    source = f"{recipe.source[:1].upper()}{recipe.source[1:]}."
    lines = [recipe.purpose, recipe.says, "", *(f"  {step}" for step in steps), "", recipe.caution, source]
    return "\n".join(line for k, line in enumerate(lines) if line or k in (2, len(lines) - 3))
