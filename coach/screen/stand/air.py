"""The air and the breaths at the tempo in hand, told in words on the Stand and with the pencil."""

from coach.lesson.breathing import Breaths, breath_places
from coach.music.measure import Measure
from coach.music.part import Part
from coach.prepare.breath.breathing import Planned
from coach.prepare.breath.chains import chains
from coach.prepare.breath.planner import THIN
from coach.prepare.mark import Mark
from coach.prepare.place import beat_words, find_place
from coach.screen.airing import air_band
from coach.screen.session import Session

_LEAST_S = 0.005  # of a breath's time that is missing


def planned_at(plan: Breaths, part: Part, note_id: str) -> Planned | None:
    """The breath that a plan takes after a note (a rest: after the note before it)."""
    at = breath_places(part).get(note_id, note_id)
    return next((one for one in plan.here.breaths if one.at == at), None)


def air_words(plan: Breaths, part: Part, note_id: str) -> str:
    """The air at the end of a note as a share of the usable litres: "air 28 % before, 100 % after" where a breath
    follows; "" for a grace."""
    breath = planned_at(plan, part, note_id)
    place = find_place(part, note_id)
    if place is not None and place.note.is_rest:
        return f"air {_per_cent(breath.air_after, plan)} after the breath" if breath is not None else ""
    held = air_band(part, plan).notes.get(note_id)
    if held is None:
        return ""
    low = "! " if held.end < THIN else ""
    if breath is not None and breath.at == note_id:
        return f"{low}air {_per_cent(breath.air_before, plan)} before, {_per_cent(breath.air_after, plan)} after"
    return f"{low}air {held.end:.0%}".replace("%", " %") + (", low" if low else "")


def breath_words(one: Planned) -> str:
    """A planned breath in words: "practice breath", "catch breath for practice", "full breath, suggested"."""
    if one.practice:
        return "practice breath" if one.size == "full" else "practice breath (catch)"
    return f"{one.size} breath" + ("" if one.decided else ", suggested")


def reason_words(plan: Breaths, part: Part, note_id: str, mark: Mark | None) -> str:
    """Why a plan breathes after a note, and what kind of breath it is where no mark says so; "" where it does not."""
    one = planned_at(plan, part, note_id)
    if one is None:
        return ""
    if mark is not None:
        return one.because
    says = breath_words(one)
    return f"{says[:1].upper()}{says[1:]}: {one.because[:1].lower()}{one.because[1:]}"


def air_of_measure(plan: Breaths, part: Part, measure: Measure) -> str:
    """The air through a measure and the breaths in it: "Air: 96 % to 40 %; practice breath after beat 3."; "" for a
    measure of rests."""
    band = air_band(part, plan).notes
    held = [found for note in measure.notes if (found := band.get(note.id)) is not None]
    told = [f"{held[0].start:.0%} at the start, {held[-1].end:.0%} at the end".replace("%", " %")] if held else []
    told += measure_breaths(plan, measure)
    return f"Air: {'; '.join(told)}." if told else ""


def measure_breaths(plan: Breaths, measure: Measure, practice: bool = False) -> list[str]:
    """The planned breaths of a measure in words, those of practice alone if asked."""
    beats = {note.id: beat_words(note.beat) for note in measure.notes}
    return [
        f"{breath_words(one)} after beat {beats[one.at]}"
        for one in plan.here.breaths
        if one.at in beats and (one.practice or not practice)
    ]


def trouble_words(session: Session, key: str) -> str:
    """The first thing that cannot work at the tempo in hand, unless it was told before, and the `key` that
    tells all."""
    plan = session.breaths
    if plan is None or not plan.here.troubles or plan.here.troubles == session.told_troubles:
        return ""
    return f"! {_first(plan.here.troubles[0])} {key} tells what would help."


def troubles_text(session: Session) -> str:
    """All that cannot work at the tempo in hand, a line each; "" if nothing."""
    plan = session.breaths
    return "\n".join(f"- {told}" for told in plan.here.troubles) if plan is not None else ""


def fault_of(plan: Breaths, part: Part, mark: Mark, before: tuple[str, ...]) -> str:
    """Why a breath that was written or struck just now cannot work, "" if it can: there is no time for it, or the air
    does not last, as it did `before`."""
    one = planned_at(plan, part, mark.at)
    chain = next((found for found in chains(part) if one is not None and found.at == one.at), None)
    if one is not None and chain is not None and not chain.rest_q and not mark.struck:
        needs_s = plan.air.full_s if one.size == "full" else plan.air.catch_s
        if one.steals_s < needs_s - _LEAST_S:
            return (
                f"The {chain.pitch.spoken} is too short: it gives {one.steals_s:.2f} of the {needs_s:g} seconds that a "
                f"{one.size} breath takes."
            )
    fresh = [told for told in plan.here.troubles if told not in before]
    return _first(fresh[0]) if fresh else ""


def _first(told: str) -> str:
    """The sentence that says what is wrong, without what would help."""
    return told.partition(" What would help")[0]


def _per_cent(litres: float, plan: Breaths) -> str:
    return f"{litres / plan.air.litres:.0%}".replace("%", " %")
