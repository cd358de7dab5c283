"""Undo and redo: the preps there were, and those that were taken back."""

from collections.abc import Callable
from dataclasses import dataclass

from coach.prepare.prep import Prep

KEPT_STEPS = 500


@dataclass(frozen=True, slots=True)
class History:
    """The prep as it is `now`, those before it (the latest last) and those undone (the next to redo last). The last
    KEPT_STEPS steps can be undone."""

    now: Prep
    past: tuple[Prep, ...] = ()
    undone: tuple[Prep, ...] = ()

    def did(self, prep: Prep) -> "History":
        """The history after a change; what was undone before it cannot be redone any more. No change, no step."""
        if prep == self.now:
            return self
        return History(prep, (*self.past, self.now)[-KEPT_STEPS:])

    def undo(self) -> "History":
        """One step back; the same history if there is none."""
        if not self.past:
            return self
        return History(self.past[-1], self.past[:-1], (*self.undone, self.now))

    def redo(self) -> "History":
        """One step forward again; the same history if there is none."""
        if not self.undone:
            return self
        return History(self.undone[-1], (*self.past, self.now), self.undone[:-1])

    def each(self, change: Callable[[Prep], Prep]) -> "History":
        """The same steps with a change made to every prep, for what must outlive an undo."""
        return History(change(self.now), tuple(map(change, self.past)), tuple(map(change, self.undone)))
