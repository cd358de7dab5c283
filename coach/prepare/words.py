"""Marks in words: one plain phrase each, for a screen, a list, and those who listen to the page."""

from fractions import Fraction
from functools import lru_cache

from coach.music.part import Part
from coach.music.rhythm import simplest_value
from coach.music.text import one_line
from coach.prepare.dynamics.level import Levels, levels
from coach.prepare.dynamics.naming import level_sign
from coach.prepare.dynamics.signs import HAIRPINS
from coach.prepare.dynamics.steps import STEP_DB
from coach.prepare.mark import (
    ACCIDENTALS,
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.ornaments.counted import counted
from coach.prepare.place import beat_words, find_place

_NEARLY_DB = 0.5  # short of a step


def mark_words(mark: Mark, part: Part) -> str:
    """A mark in words, such as "full breath after Db5, beat 3" or "fingering L on Db5, beat 3, struck". The measure is
    named only where a stretch ends in another one."""
    return one_line(f"{_deed(mark, part)}{_standing(mark)}")


def note_mark_words(mark: Mark, part: Part) -> str:
    """A mark in words where its note has just been named: "fingering L", "full breath after it, struck"."""
    match mark.content:
        case Dynamic(to=to) | Pace(to=to) | Phrase(to=to) if to:
            return mark_words(mark, part)
        case Breath():
            says = f"{content_words(mark.content)} after it"
        case Alteration():
            says = f"{content_words(mark.content)} in its place"
        case _:
            says = _says(mark, part)
    return one_line(says + _standing(mark))


def content_words(content: Content, beat_q: Fraction = Fraction(1), near: str = "") -> str:
    """What a mark says, without where: "full breath", "fingering L", "fermata of 4 quarters". A trill is counted by
    beats of `beat_q` quarters; `near` are the words for a level, where its nearest sign is known."""
    match content:
        case Breath(size):
            return f"{size} breath"
        case Fingering(choice):
            return f"fingering {choice}"
        case Swap(start, end, when_q):
            return f"change from {start} to {end} after {quarters_words(when_q)}"
        case Reminder(text, of):
            return f"reminder {text.replace('-', ' ')}" + (f" for the {of} neighbour" if of else "")
        case Ornament(shake=shake) if shake is not None:
            return counted(content, beat_q)
        case Ornament(what=what):
            return f"{'' if what == 'ossia' else f'{what} '}written out as {counted(content, beat_q)}"
        case Dynamic(sign, _, level_db, colour):
            level = "" if level_db is None else near or f"{level_db:+g} dB"
            shade = "" if colour is None else f"colour {colour:g}"
            return " ".join(filter(None, (sign, "to" if sign in HAIRPINS and level and not near else "", level, shade)))
        case Alteration(to):
            return " ".join(pitch.name for pitch in to)
        case Phrase():
            return "phrase"
        case Pace(shape, _, length_q):
            return shape if length_q is None else f"{shape} of {quarters_words(length_q)}"
        case Comment(text):
            return f'"{text}"'


def _deed(mark: Mark, part: Part) -> str:
    says, here = _says(mark, part), _note(part, mark.at)
    match mark.content:
        case Breath():
            return f"{says} after {here}"
        case Reminder(of=of) if of:
            return f"{says} of {here}"
        case Reminder(text):
            return f"{says} {'before' if text in ACCIDENTALS else 'over'} {here}"
        case Alteration():
            return f"{says} in place of {here}"
        case Ornament():
            return f"{here}: {says}"
        case Phrase(to, goal):
            return f"{says} from {here} to {_end(part, mark.at, to)}" + (
                f", leading to {_end(part, mark.at, goal)}" if goal else ""
            )
        case Dynamic(to=to) | Pace(to=to) if to == mark.at:
            return f"{says} on {here}"
        case Dynamic(to=to) | Pace(to=to) if to:
            return f"{says} from {here} to {_end(part, mark.at, to)}"
        case Comment() | Dynamic() | Pace(shape="rit." | "accel." | "a tempo"):
            return f"{says} at {here}"
    return f"{says} on {here}"


def _says(mark: Mark, part: Part) -> str:
    near = _near_words(mark.at, mark.content, part) if isinstance(mark.content, Dynamic) else ""
    return content_words(mark.content, _beat_q(part, mark.at), near)


def _near_words(at: str, content: Dynamic, part: Part) -> str:
    """A level with the nearest sign, as players think of it: "about mp (-18 dB)"; of a hairpin "a little, to about mp
    (-18 dB)" or, where it stays with the sign that holds, "a little, within mp (to -18 dB)". Levels are against the
    loudest that the part prints."""
    place = find_place(part, at)
    if content.level_db is None or place is None:
        return ""
    printed = _printed(part)
    goal_db = printed.loudest_db + content.level_db
    sign, says = level_sign(goal_db), f"about {level_sign(goal_db)} ({content.level_db:+g} dB)"
    if content.sign not in HAIRPINS:
        return says
    now_db = printed.at(place.note.onset_q)
    if sign == level_sign(now_db):
        return f"a little, within {sign} (to {content.level_db:+g} dB)"
    return f"{'a little, ' if abs(goal_db - now_db) < STEP_DB - _NEARLY_DB else ''}to {says}"


@lru_cache(maxsize=2)
def _printed(part: Part) -> Levels:
    return levels(part)


def _beat_q(part: Part, note_id: str) -> Fraction:
    place = find_place(part, note_id)
    metre = place.measure.metre if place else None
    return metre.beat_q if metre else Fraction(1)


def _standing(mark: Mark) -> str:
    words = {"struck": ", struck", "suggested": ", suggested"}.get(mark.state, "")
    return (", your teacher's" if mark.origin == "teacher" else "") + words


def _note(part: Part, note_id: str) -> str:
    place = find_place(part, note_id)
    if place is None:
        return f"note {note_id}"
    grace = "grace note " if place.grace else ""
    return f"{grace}{'the rest' if place.pitch is None else place.name}, beat {beat_words(place.note.beat)}"


def _end(part: Part, start: str, end: str) -> str:
    """A note further on, with its measure where that is another one."""
    first, last = find_place(part, start), find_place(part, end)
    if first is None or last is None or first.measure.id == last.measure.id:
        return _note(part, end)
    return f"{_note(part, end)} of measure {last.measure.id}"


def quarters_words(length_q: Fraction) -> str:
    """A length as a player says it: "2 quarters", "a dotted quarter", "2 and 1/2 quarters"."""
    whole, part = divmod(length_q, 1)
    if not part:
        return f"{whole} quarter{'' if whole == 1 else 's'}"
    if (value := simplest_value(length_q)) is not None:
        return f"{'an' if value.kind == 'eighth' and not value.dots else 'a'} {value.name}"
    return f"{whole} and {part} quarters" if whole else f"{part} of a quarter"
