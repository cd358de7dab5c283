"""Marks told on the Stand: where the cursor is, what stands there, its state and origin as a sign and in words."""

from collections.abc import Sequence

from rich.text import Text

from coach.music.part import Part
from coach.prepare.mark import Comment, Mark, Ornament
from coach.prepare.place import Place, beat_words
from coach.prepare.words import content_words
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.words import signed

ORIGIN_WORDS = {"player": "yours", "teacher": "your teacher's", "computed": "computed"}


def place_text(place: Place, glyphs: Glyphs) -> str:
    """Where the cursor is: "D♭5, beat 2 of measure 12"."""
    grace = "grace note " if place.grace else ""
    where = f"beat {beat_words(place.note.beat)} of measure {place.measure.number or place.measure.id}"
    return signed(f"{grace}{place.name}, {where}", glyphs)


def state_sign(mark: Mark, glyphs: Glyphs) -> str:
    """The sign of a mark's state."""
    return {"kept": glyphs.clean, "suggested": glyphs.suggested, "struck": glyphs.slip}[mark.state]


def standing_words(mark: Mark) -> str:
    """A mark's state and origin: "kept, yours"."""
    return f"{mark.state}, {ORIGIN_WORDS[mark.origin]}"


def mark_text(mark: Mark, at: str, part: Part, glyphs: Glyphs, full: bool) -> str:
    """A mark at the cursor: the sign of its state, what it says, and in words its state and whose it is (unless `full`,
    only that it is not the player's own)."""
    whose = "" if mark.origin == "player" else f" ({ORIGIN_WORDS[mark.origin]})"
    standing = f" ({standing_words(mark)})" if full else whose
    return f"{state_sign(mark, glyphs)} {_says(mark, at, part, glyphs)}{standing}"


def mark_signed(mark: Mark, words: str, glyphs: Glyphs) -> str:
    """Words of a mark with its notes as the page writes them; a comment's words are its writer's own."""
    return words if isinstance(mark.content, Comment) else signed(words, glyphs)


def _says(mark: Mark, at: str, part: Part, glyphs: Glyphs) -> str:
    """What a mark says at a note; the end and the goal of a stretch name it too."""
    from coach.prepare.place import place_words

    says = mark_signed(mark, content_words(mark.content), glyphs)
    if at == mark.at or isinstance(mark.content, Ornament):
        return f"{says} to {signed(place_words(part, mark.to), glyphs)}" if mark.to else says
    return f"{says} {'ends' if at == mark.to else 'leads'} here"


def marks_line(marks: Sequence[Mark], chosen: int, at: str, part: Part, glyphs: Glyphs, width: int) -> Text:
    """The marks at the cursor on one line, the chosen one pointed out; where they do not fit it comes first."""
    if not marks:
        return Text("no mark at this note", style="italic")
    texts = [mark_text(mark, at, part, glyphs, k == chosen) for k, mark in enumerate(marks)]
    pointer = f"{glyphs.here} " if len(marks) > 1 else ""
    until = sum(len(text) + 3 for text in texts[: chosen + 1]) + len(pointer)
    first = chosen if until > width else 0
    line = Text()
    if first:
        line.append(f"{glyphs.ellipsis} ")
    for k in range(first, len(marks)):
        line.append("   " if k > first else "")
        line.append((pointer if k == chosen else "") + texts[k], style="bold" if k == chosen else "")
    return line
