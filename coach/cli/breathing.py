"""The plan of the breaths as documents give it, and as it is told."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from coach.lesson.breathing import Breaths, breath_places
from coach.music.part import Part
from coach.prepare.breath.breathing import Planned
from coach.prepare.mark import Breath, Mark
from coach.prepare.over import measure_of
from coach.prepare.pencil import in_order
from coach.prepare.prep import Prep
from coach.prepare.words import mark_words


@dataclass(frozen=True, slots=True)
class Shown:
    """A mark, and what is planned of it where it is a breath that is taken. A breath of the plan that is no mark (for
    practice, or printed) has the id ""."""

    mark: Mark
    planned: Planned | None = None

    @property
    def practice(self) -> bool:
        """Whether it is a breath of slow practice alone."""
        return self.planned is not None and self.planned.practice

    @property
    def words(self) -> str:
        """What is said before the words of a breath that is no mark."""
        return "" if self.mark.id else "practice: " if self.practice else "printed: "


def shown_with(plan: Breaths | None, marks: Iterable[Mark], prep: Prep, part: Part) -> list[Shown]:
    """Marks in the order of the part, with the breaths of the plan for the tempo in hand in their places; a suggestion
    that this tempo does without is left out."""
    marks = tuple(marks)
    if plan is None:
        return [Shown(mark) for mark in marks]
    standing = _standing(marks, part)
    taken = {mark.id: one for one in plan.here.breaths if (mark := standing.get(one.at)) is not None}
    bare = {one.at: one for one in plan.here.breaths if one.at not in standing}
    every = in_order((*marks, *(_mark(one) for one in bare.values())), prep.over)
    found = [Shown(mark, taken.get(mark.id) if mark.id else bare[mark.at]) for mark in every]
    return [one for one in found if one.planned is not None or not _is_open(one.mark)]


def _is_open(mark: Mark) -> bool:
    return mark.kind == "breath" and mark.origin == "computed" and mark.state == "suggested"


def _mark(one: Planned) -> Mark:
    state = "kept" if one.decided and not one.practice else "suggested"
    return Mark("", one.at, Breath(one.size), "computed", state, one.because)


def _standing(marks: Iterable[Mark], part: Part) -> Mapping[str, Mark]:
    """The breaths that are marked, by the note after which they are taken; those that somebody decided first."""
    places = breath_places(part)
    breaths = [mark for mark in marks if mark.kind == "breath" and not mark.struck]
    found: dict[str, Mark] = {}
    for mark in sorted(breaths, key=lambda mark: mark.state == "suggested"):
        found.setdefault(places.get(mark.at, mark.at), mark)
    return found


def breath_fields(shown: Shown) -> dict[str, Any]:
    """What the plan says of a breath; of one that is not taken (a struck one) it says nothing."""
    one = shown.planned
    if one is None:
        return {"steals_s": None, "air_before": None, "air_after": None, "practice": False}
    return {
        "at": one.at,
        "size": one.size,
        "steals_s": round(one.steals_s, 4),
        "air_before": round(one.air_before, 4),
        "air_after": round(one.air_after, 4),
        "practice": one.practice,
    }


def air_documents(plan: Breaths, here: Collection[str]) -> list[dict[str, Any]]:
    """The litres left at the beginning and the end of every note of some measures."""
    return [
        {"at": one.at, "start": round(one.start, 4), "end": round(one.end, 4)}
        for one in plan.here.air
        if measure_of(one.at) in here
    ]


def told(shown: Shown, part: Part) -> str:
    """A mark in words with its reason, where the program gave one."""
    mark = shown.mark
    why = f": {mark.because}" if mark.origin == "computed" and mark.because else ""
    said = mark if mark.id else replace(mark, state="kept")
    return f"{shown.words}{mark_words(said, part)}{why}"
