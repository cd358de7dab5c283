"""What a teacher's update brought, in words."""

from coach.prepare.mark import Content, Mark
from coach.prepare.prep import Prep


def news(before: Prep, after: Prep) -> str:
    """How many marks of the teacher's there are, and what came since, such as "12 marks of your teacher's, 3 new,
    1 changed, 1 taken back"; no more than the number where there were none before."""
    old, now = _teachers(before), _teachers(after)
    marks = f"{len(now) or 'no'} mark{'' if len(now) == 1 else 's'} of your teacher's"
    if not old:
        return marks
    counts = {
        "new": len(now.keys() - old.keys()),
        "changed": sum(_says(mark) != _says(old[name]) for name, mark in now.items() if name in old),
        "taken back": len(old.keys() - now.keys()),
    }
    said = [f"{count} {what}" for what, count in counts.items() if count]
    return ", ".join((marks, *(said or ("nothing new",))))


def _teachers(prep: Prep) -> dict[str, Mark]:
    return {mark.id: mark for mark in (*prep.marks, *prep.unplaced) if mark.origin == "teacher"}


def _says(mark: Mark) -> tuple[Content, str]:
    """What a mark says; where it stands may have moved with a corrected score."""
    return mark.content, mark.because
