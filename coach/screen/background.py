"""Work in the background: what a thread posts when it is done."""

from collections.abc import Callable
from typing import Any

from textual.message import Message

from coach.errors import CoachError


class Finished(Message):
    """A piece of work is done: `then` takes its result, unless `error` says why there is none."""

    def __init__(self, then: Callable[[Any], None], result: Any, error: CoachError | None) -> None:
        self.then, self.result, self.error = then, result, error
        super().__init__()

    @classmethod
    def of(cls, job: Callable[[], Any], then: Callable[[Any], None]) -> "Finished":
        """Do the job now and tell how it went."""
        try:
            return cls(then, job(), None)
        except CoachError as error:
            return cls(then, None, error)


class Arrived(Message):
    """Something quiet is done; `then` shows it."""

    def __init__(self, then: Callable[[], None]) -> None:
        self.then = then
        super().__init__()


class SheetArrived(Message):
    """Something that was to be engraved is there, or cannot be."""
