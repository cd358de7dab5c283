"""The fingerings of a part: the player's own kept, the rest planned around them, and what is worth a mark."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from coach.instruments.chart import Chart
from coach.instruments.passage import Step
from coach.instruments.picture import picture_words
from coach.instruments.planning import Chosen, Plan, Planner, Search, cost_of, slides_of
from coach.instruments.reasons import Reasons
from coach.instruments.ways import REST, Way, family
from coach.music.part import Part
from coach.prepare.hands import Pace, page_id, steps_of
from coach.prepare.interpretation import interpretation
from coach.prepare.mark import Breath, Content, Fingering, Mark, Swap
from coach.prepare.prep import Prep
from coach.prepare.words import quarters_words

HANDS = ("L", "R")


@dataclass(frozen=True, slots=True)
class Fingered:
    """How a note is fingered. `alternatives` are the other choices of the chart, the best first; `forced`:
    there is none, or each asks for a slide more. `own`: somebody decided it. `matters`: it is worth a mark."""

    chosen: Chosen
    alternatives: tuple[str, ...] = ()
    forced: bool = False
    own: bool = False
    matters: bool = False

    @property
    def at(self) -> str:
        """The id of the note, of the first one of a tied chain."""
        return self.chosen.step.id

    @property
    def sign(self) -> str:
        """The choice as it is pencilled: without the keys that are held along."""
        way = self.chosen.way
        if way is None or not way.swaps:
            return family(self.chosen.choice)
        return f"{family(way.start.choice)}>{family(way.end.choice)}"


@dataclass(frozen=True)
class Hands:
    """The fingering of a whole part: each note's, in order; the search and the plan that it comes from; the place of
    each id among the notes, of those tied to the one before too."""

    search: Search
    plan: Plan
    notes: tuple[Fingered, ...]
    places: Mapping[str, int]
    _told: dict[int, str] = field(default_factory=dict, compare=False)

    def at(self, note_id: str) -> Fingered | None:
        """How a note or grace is fingered; None for a rest."""
        place = self.places.get(note_id)
        return None if place is None else self.notes[place]

    def because(self, note: Fingered) -> str:
        """Why it is fingered so, in one sentence; "" for a note that the chart lacks. Reckoned when it is asked for."""
        place = self.places[note.at]
        if place not in self._told:
            self._told[place] = _sentence(note, self._reasons.reason(place))
        return self._told[place]

    @cached_property
    def _reasons(self) -> Reasons:
        return Reasons(self.search, self.plan)

    def after(self, note_id: str) -> Fingered | None:
        """The note after, None at the end."""
        place = self.places.get(note_id)
        return None if place is None or place + 1 >= len(self.notes) else self.notes[place + 1]


def hands_of(planner: Planner, part: Part, pace: float | Pace, prep: Prep) -> Hands:
    """The fingering of a part at a pace (`coach.prepare.hands.Pace`) around what was decided in its prep."""
    chains = _chains(part)
    altered = interpretation(prep.shown).alterations
    steps = steps_of(part, pace, decided(prep, chains), breaths(prep), altered)
    first = {step.id: n for n, step in enumerate(steps)}
    places = first | {note: first[head] for note, head in chains.items() if head in first}
    return replace(fingered(planner, steps), places=places)


def fingered(planner: Planner, steps: Sequence[Step]) -> Hands:
    """The fingering of a passage."""
    search = planner.search(steps)
    plan = search.best()
    notes = tuple(_fingered(search, n, chosen) for n, chosen in enumerate(plan.chosen))
    return Hands(search, plan, notes, {step.id: n for n, step in enumerate(steps)})


def marks_from(hands: Hands, old: Prep, new_id: Callable[[], str]) -> tuple[Mark, ...]:
    """The marks that are worth writing, as suggestions; what is suggested already keeps its id."""
    known = {(mark.at, mark.kind): mark for mark in old.marks if mark.origin == "computed" and not mark.struck}
    found = []
    for note in hands.notes:
        content = content_of(note)
        if note.matters and content is not None and page_id(note.at) == note.at:
            mark = Mark(new_id(), note.at, content, "computed", "suggested", hands.because(note))
            was = known.get((mark.at, mark.kind))
            found.append(replace(mark, id=was.id) if was is not None and was.content == content else mark)
    return tuple(found)


def content_of(note: Fingered) -> Content | None:
    """What a mark of a note's fingering says; None where the chart has no fingering."""
    way, when_q = note.chosen.way, note.chosen.when_q
    if way is None:
        return None
    if way.swaps and when_q is not None:
        return Swap(family(way.start.choice), family(way.end.choice), when_q)
    return Fingering(note.sign, note.alternatives, note.forced)


def change_words(note: Fingered, chart: Chart) -> str:
    """How a held note changes hands, in a sentence; "" where it does not."""
    way, when_q = note.chosen.way, note.chosen.when_q
    if way is None or when_q is None:
        return ""
    added, left = (chart.control(min(keys)).name for keys in _exchanged(way))
    return f"After {quarters_words(when_q)} add the {added}, then let the {left} go."


def words_of(hands: Hands, note: Fingered) -> str:
    """What is pressed and covered for a note, in words; "" where the chart has no fingering."""
    way = note.chosen.way
    return picture_words(hands.search.planner.chart, way.start.controls) if way else ""


def _exchanged(way: Way) -> tuple[frozenset[str], frozenset[str]]:
    return way.end.controls - way.start.controls, way.start.controls - way.end.controls


def decided(prep: Prep, chains: Mapping[str, str]) -> dict[str, str]:
    """What somebody decided for, by note id; `chains` holds the first note of each tied one. A change of fingering on a
    held note counts before a fingering there."""
    found: dict[str, str] = {}
    for mark in prep.shown:
        if mark.origin == "computed" and mark.state == "suggested":
            continue
        at = chains.get(mark.at, mark.at)
        match mark.content:
            case Fingering(choice):
                found.setdefault(at, choice)
            case Swap(start, end):
                found[at] = f"{start}>{end}"
    return found


def breaths(prep: Prep) -> frozenset[str]:
    """The notes after which a breath is marked."""
    return frozenset(mark.at for mark in prep.shown if isinstance(mark.content, Breath))


def _chains(part: Part) -> dict[str, str]:
    """The first note of the chain for every note that is tied to the one before."""
    heads: dict[str, str] = {}
    head = ""
    for note in part.notes():
        if note.tie in ("stop", "continue") and head:
            heads[note.id] = head
        elif note.pitch is not None:
            head = note.id
    return heads


def _fingered(search: Search, n: int, chosen: Chosen) -> Fingered:
    way, step = chosen.way, chosen.step
    if way is None:
        return Fingered(chosen)
    if step.fixed is not None and search.planner.ways.named(step):
        every = dict.fromkeys(family(one.choice) for one in search.planner.chart.fingerings(int(step.midi)))
        return Fingered(chosen, tuple(name for name in every if name != family(way.choice)), own=True)
    best = search.total(n, search.ways[n].index(way))
    others = _others(search, n, way)
    forced = all(slides_of(total) > slides_of(best) for total in others.values())
    return Fingered(chosen, tuple(others), forced, matters=_matters(search, way, best, others))


def _sentence(note: Fingered, reason: str) -> str:
    """A reason as a sentence; where nothing was told, what there is to say."""
    way = note.chosen.way
    if not reason and way is not None:
        first = not note.alternatives and "the only fingering"
        reason = (
            "as the table of trills has it" if way.trill else first or "the ordinary fingering, with nothing against it"
        )
    return f"{reason[:1].upper()}{reason[1:]}." if reason else ""


def _others(search: Search, n: int, way: Way) -> dict[str, int]:
    """What the best plan costs with each other choice of a note, the best first; companion keys count as the same."""
    found: dict[str, int] = {}
    for k, other in enumerate(search.ways[n]):
        name = family(other.choice)
        if not other.swaps and other.trill is way.trill and name != family(way.choice):
            found[name] = min(search.total(n, k), found.get(name, search.total(n, k)))
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


def _matters(search: Search, way: Way, best: int, others: Mapping[str, int]) -> bool:
    """Whether a teacher would write it: a change on a held note, a choice that is not the ordinary one, a little finger
    where the other would have to slide or to swap, or cost as much. What stands to reason stays bare."""
    if way.swaps:
        return True
    if way.trill is not None or REST in way.start.uses:
        return False
    sign = family(way.choice)
    if sign in HANDS:
        other = next((total for name, total in others.items() if name in HANDS), None)
        if other is None:
            return False
        dear = slides_of(other) > slides_of(best) or cost_of(other - best) >= search.planner.costs.swap
        return dear or not _ordinary(search, way, sign)
    return not _ordinary(search, way, sign)


def _ordinary(search: Search, way: Way, sign: str) -> bool:
    ones = search.planner.chart.fingerings(way.start.midi)
    return bool(ones) and family(ones[0].choice) == sign
