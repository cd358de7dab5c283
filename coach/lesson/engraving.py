"""The music as it is engraved, for the screens: what is drawn, and the door to the engraving process."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from coach.lesson.desk import Desk

if TYPE_CHECKING:
    from coach.files.engraving.client import Laid
    from coach.music.engraved import EngravedSystem, Paint, Picture
    from coach.practice.set_piece import SetPiece


class EngravingLike(Protocol):
    """Lays out parts and gives their systems; every call may take a while, and raises ScoreError."""

    def lay(self, source: str, part: str | None, prep: str, width: float) -> "Laid":
        """Break a part into systems `width` staff spaces wide."""

    def system(self, laid: "Laid", number: int) -> "EngravedSystem | None":
        """A system of a layout, None if the layout is forgotten."""

    def picture(self, laid: "Laid", number: int, paint: "Paint") -> "Picture | None":
        """A system of a layout as a picture, None if it cannot be painted or the layout is forgotten."""

    def close(self) -> None:
        """End."""


@dataclass(frozen=True, slots=True)
class Copy:
    """What is to be engraved: the score's file, the part of it, and its marks as the text of a prep ("" for none)."""

    source: str
    part: str | None
    prep: str = ""


def engraving(desk: Desk) -> EngravingLike:
    """The engraving process, which begins at the first question and keeps what it made in the cache."""
    from coach.files.engraving.client import Engraving

    return Engraving(desk.paths.readings, desk.paths.engraving)


def copy_of(desk: Desk, set_piece: "SetPiece", prep: str = "") -> Copy:
    """What is to be engraved of a piece on the stand."""
    return Copy(str(desk.paths.scores / set_piece.score), set_piece.part or None, prep)
