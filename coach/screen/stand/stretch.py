"""A mark that is being drawn over several notes: begun at one, ended where the cursor then is."""

from dataclasses import dataclass, replace

from coach.errors import RequestError
from coach.prepare.mark import Content, Dynamic, Mark, Pace, Phrase

_LASTING = ("crescendo", "diminuendo", "rit.", "accel.")


@dataclass(frozen=True, slots=True)
class Stretch:
    """What is drawn, from which note, where it leads (a phrase's goal), and the mark it changes, if any."""

    content: Dynamic | Pace | Phrase
    at: str
    goal: str = ""
    mark: str = ""

    @property
    def name(self) -> str:
        """What it is called."""
        match self.content:
            case Dynamic(sign):
                return sign
            case Pace(shape):
                return shape
        return "phrase"

    def finished(self, first: str, last: str, order: dict[str, int]) -> Content:
        """The content from `first` to `last`. Raises RequestError for a goal outside it."""
        if isinstance(self.content, Phrase):
            if self.goal and not order[first] <= order[self.goal] <= order[last]:
                raise RequestError("The goal lies outside the phrase: go further, or press h at another note.")
            return Phrase(last, self.goal)
        if isinstance(self.content, Pace) and first == last:
            return replace(self.content, to="")
        return replace(self.content, to=last)


def wants_end(content: Content) -> bool:
    """Whether a mark lasts and its end is still to be shown."""
    match content:
        case Dynamic(sign, ""):
            return sign in _LASTING
        case Pace(shape, ""):
            return shape in _LASTING
    return False


def stretch_of(mark: Mark) -> Stretch | None:
    """The stretch that a mark was drawn as, to be drawn anew; None for a mark of one note."""
    content = mark.content
    if isinstance(content, Phrase):
        return Stretch(content, mark.at, content.goal, mark.id)
    if isinstance(content, Dynamic | Pace) and (content.to or wants_end(content)):
        return Stretch(content, mark.at, "", mark.id)
    return None
