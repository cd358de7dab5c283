"""The share of clean reps, and when something was last worked.

Duke R.A., Simmons A.L., Cash C.D. 2009 (JRME 56:310-321): the share of complete trials that were correct went with
retention the next day (r = -.71 with the rank); minutes and numbers of trials did not. So the share is shown, and
nothing else is counted out loud.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from coach.practice.rep import Rep


@dataclass(frozen=True, slots=True)
class Share:
    """Clean reps among the complete ones; `attempts` counts those broken off as well."""

    clean: int
    complete: int
    attempts: int

    @property
    def of_complete(self) -> float | None:
        """The share of complete reps that were clean, 0 to 1; None without complete ones."""
        return self.clean / self.complete if self.complete else None

    @property
    def words(self) -> str:
        """In words: "clean in 4 of 10 complete reps"."""
        if not self.complete:
            return "no complete rep yet"
        return f"clean in {self.clean} of {self.complete} complete {'rep' if self.complete == 1 else 'reps'}"


def share_of(reps: Iterable[Rep]) -> Share:
    """The share of clean reps among some reps."""
    listed = tuple(reps)
    return Share(sum(rep.clean for rep in listed), sum(rep.complete for rep in listed), len(listed))


def last_worked(reps: Sequence[Rep]) -> datetime | None:
    """When the latest of some reps was played (UTC), None without reps."""
    return max((rep.at for rep in reps), default=None)


def ago(then: datetime | None, now: datetime) -> str:
    """How long ago in the player's days (the zone of `now`): "today", "yesterday", "5 days ago", "never"."""
    if then is None:
        return "never"
    days = (now.date() - then.astimezone(now.tzinfo).date()).days
    return "today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"
