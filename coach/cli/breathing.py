"""The plan of the breaths as documents give it, and as it is told."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from coach.cli.marks import mark_document
from coach.lesson.breathing import Breaths, breath_places
from coach.music.part import Part
from coach.prepare.breath.breathing import Planned
from coach.prepare.mark import Breath, Mark
from coach.prepare.over import measure_of
from coach.prepare.words import mark_words


def breath_documents(plan: Breaths, marks: Sequence[Mark], part: Part, here: Collection[str]) -> list[dict[str, Any]]:
    """A row for every breath of the plan for the tempo in hand in some measures, with the id and state of its mark
    where it has one; then the marked breaths that are not in the plan (struck ones), which take no time."""
    standing = _standing(marks, part)
    planned = [one for one in plan.here.breaths if measure_of(one.at) in here]
    rows = [_planned(one, standing.get(one.at)) for one in planned]
    told = {row["id"] for row in rows}
    left = [mark for mark in marks if mark.kind == "breath" and mark.id not in told and measure_of(mark.at) in here]
    return [*rows, *({**mark_document(mark), **_TAKES_NONE} for mark in left)]


_TAKES_NONE = {"steals_s": None, "air_before": None, "air_after": None, "practice": False}


def _planned(one: Planned, mark: Mark | None) -> dict[str, Any]:
    decided = "kept" if one.decided else "suggested"
    return {
        "id": mark.id if mark else "",
        "kind": "breath",
        "at": one.at,
        "because": mark.because if mark and (mark.because or mark.origin != "computed") else one.because,
        "origin": mark.origin if mark else "computed",
        "state": mark.state if mark else decided if not one.practice else "suggested",
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


def unmarked_told(plan: Breaths, marks: Sequence[Mark], part: Part) -> list[tuple[str, str]]:
    """The breaths of the plan that are no marks, each as its measure and a line: the practice breaths of a slower
    tempo, and those printed."""
    standing = _standing(marks, part)
    return [
        (measure_of(one.at), _line(one, part))
        for one in plan.here.breaths
        if one.at not in standing and (one.practice or one.decided)
    ]


def _line(one: Planned, part: Part) -> str:
    words = mark_words(Mark("", one.at, Breath(one.size)), part)
    return f"{'practice: ' if one.practice else 'printed: '}{words}{f': {one.because}' if one.because else ''}"


def _standing(marks: Sequence[Mark], part: Part) -> Mapping[str, Mark]:
    """The breaths that are marked, by the note after which they are taken; those that somebody decided first."""
    places = breath_places(part)
    breaths = [mark for mark in marks if mark.kind == "breath" and not mark.struck]
    found: dict[str, Mark] = {}
    for mark in sorted(breaths, key=lambda mark: mark.state == "suggested"):
        found.setdefault(places.get(mark.at, mark.at), mark)
    return found
