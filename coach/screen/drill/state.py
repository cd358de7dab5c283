"""The state of drilling one spot: its ladder, the tempo of the next rep, what just happened. No widget in it."""

from dataclasses import replace
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.lesson.drilling import choose_ladder, climb, ladder_of, log_rep, name_slip, undo
from coach.lesson.drills import Work, decided_of, drill_copy, work_of
from coach.lesson.engraving import Copy
from coach.lesson.playing import Now, Take
from coach.music.tempo import notch_down, notch_up
from coach.practice.drills.decided import NOTHING
from coach.practice.drills.drill import Drill
from coach.practice.ladder import Climb, Ladder, Scale
from coach.practice.rep import Rep, Slip
from coach.practice.spot import Spot
from coach.screen.session import Opened
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.track import outcome_words, standing_words
from coach.screen.view.words import number

if TYPE_CHECKING:
    from coach.screen.prepared import Prepared


class Drilling:
    """One spot under work, played as the piece is `prepared`. Every rep is on the disk before `said` tells of it."""

    def __init__(self, desk: Desk, opened: Opened, spot: Spot, glyphs: Glyphs, prepared: "Prepared") -> None:
        self.desk, self.opened, self.spot, self.glyphs = desk, opened, spot, glyphs
        self._prepared: Prepared | None = None
        self._copy: Copy | None = None
        self.work: Work
        self.decide(prepared)
        self.ladder: Ladder
        self.climb: Climb
        self.per_minute = 0.0
        self.outcome = ""
        self.unnamed = False  # whether the latest rep slipped and what slipped was not yet said
        self._last: Rep | None = None
        self.look_again()
        self.said = standing_words(self.climb, self.ladder.rule, self.ladder.target)

    def decide(self, prepared: "Prepared") -> None:
        """Take what is now decided on the piece. Raises RequestError if the score no longer has the spot."""
        if self._prepared is not prepared:
            piece, played = self.opened.piece, prepared.interpretation
            decided = decided_of(piece, played, prepared.ways) if self.spot.drill else NOTHING
            self.work = work_of(self.opened.set_piece, piece, self.spot, decided, played)
            self._prepared, self._copy = prepared, None

    def look_again(self) -> None:
        """Take the ladder and the rung from the log."""
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
            loop=True,
            rest_measures=self.desk.settings.drill_rest,
            others=others,
            interpretation=self.work.interpretation,
        )
        if self.work.drill is not None or self._prepared is None:
            return take
        return replace(take, interpretation=None if plain else self._prepared.sounding(take.rate))

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
        self.said = outcome_words(before, self.climb, outcome == "clean", tempo, self.ladder.rule, self.glyphs)

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
        standing = standing_words(self.climb, self.ladder.rule, self.ladder.target)
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
        self.said = f"rungs of {self.ladder.scale.words}, from {start} up to {number(round(self.ladder.target, 1))}"


def recipe_text(drill: Drill) -> str:
    """What a drill is for, what to do in it step by step, and what to beware of."""
    recipe = drill.recipe
    steps = dict.fromkeys(step.says for step in drill.steps)
    source = f"{recipe.source[:1].upper()}{recipe.source[1:]}."
    lines = [recipe.purpose, recipe.says, "", *(f"  {step}" for step in steps), "", recipe.caution, source]
    return "\n".join(line for k, line in enumerate(lines) if line or k in (2, len(lines) - 3))
