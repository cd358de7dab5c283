"""The changes of a part that are hardest for the fingers, by what the plan of its fingerings was charged for them."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from coach.instruments.fingering import Fingering
from coach.instruments.late import Late, lateness
from coach.instruments.planning import cost_of, slides_of
from coach.instruments.ways import REST, family
from coach.music.pitch import from_midi
from coach.prepare.fingering import HANDS, Fingered, Hands, change_words
from coach.prepare.hands import page_id

# A change charged less than this is no trouble: about four fingers together in a quarter of a second. A default.
EASY = 2.0
# So many fingers are named one by one; of more their number is told.
_MOST_NAMED = 4
_DOES = {"up": "up", "down": "down", "slides": "from key to key", "rolls": "rolling"}


@dataclass(frozen=True, slots=True)
class Charged:
    """What the plan was charged between note number `n` and the next, or, with `swap`, while note `n` is held: slurred
    slides, and the rest in the unit of the cost table."""

    n: int
    slides: int
    charge: float
    swap: bool = False


@dataclass(frozen=True, slots=True)
class HardChange:
    """A hard change at its hardest place: from the note `at` to the note `to`, or on the held note `at` (`to` is the
    same, and `keys` are the two fingerings). `times` is how often the part has it, there and back; `because` one
    sentence: which fingers move, and what sounds if one is late."""

    at: str
    to: str
    names: tuple[str, str]
    slides: int
    charge: float
    times: int
    because: str
    keys: tuple[str, str] = ("", "")

    @property
    def swap(self) -> bool:
        """Whether the hands change on a held note."""
        return self.at == self.to


Allowed = Callable[[str, str], bool]


def charged(hands: Hands) -> Iterator[Charged]:
    """What the plan was charged for each change between neighbours that no silence hides, and for each swap, in the
    order of the part. What one finger alone does is left out, but for a slide."""
    search, chosen = hands.search, hands.plan.chosen
    costs = search.planner.costs
    for n, one in enumerate(chosen):
        if one.way is None:
            continue
        if one.way.swaps:
            yield Charged(n, 0, one.way.cost(one.step.length_s, costs), swap=True)
        after = chosen[n + 1].way if n + 1 < len(chosen) else None
        if after is None or one.step.gap_s >= costs.silence_s:
            continue
        edge = search.tables[n][search.ways[n].index(one.way)][search.ways[n + 1].index(after)]
        if slides_of(edge) or _several(hands, one.way.end, after.start):
            yield Charged(n, slides_of(edge), cost_of(edge))


def hard_changes(hands: Hands, most: int = 10, allowed: Allowed = lambda at, to: True) -> tuple[HardChange, ...]:
    """The hardest changes of a planned part and its swaps, at most `most`: slides first, then by what they were
    charged. The same change, there or back, by either little finger, counts once, at the hardest place that is
    `allowed` (by the ids of its notes). Swaps are not crowded out by changes."""
    rows = sorted(charged(hands), key=lambda one: (-one.slides, -one.charge, one.n))
    times: dict[object, int] = {}
    for row in rows:
        key = _alike(hands, row)
        times[key] = times.get(key, 0) + 1
    swaps = list(islice(_once(hands, (one for one in rows if one.swap), allowed), most))
    hard = (one for one in rows if not one.swap and (one.slides or one.charge >= EASY) and _apart(hands, one))
    taken = [*swaps, *islice(_once(hands, hard, allowed), most - len(swaps))]
    taken.sort(key=rows.index)
    return tuple(_told(hands, row, times[_alike(hands, row)]) for row in taken)


def _several(hands: Hands, old: Fingering, new: Fingering) -> bool:
    """Whether more than one finger moves."""
    return len(hands.search.planner.chart.by_finger(old.controls ^ new.controls)) > 1


def _once(hands: Hands, rows: Iterable[Charged], allowed: Allowed) -> Iterator[Charged]:
    """The first row of each kind that is allowed."""
    seen = set()
    for row in rows:
        kind = _alike(hands, row)
        if kind not in seen and allowed(*_ids(hands, row)):
            seen.add(kind)
            yield row


def _alike(hands: Hands, row: Charged) -> object:
    """What like changes share: their two fingerings, in any order but for a swap."""
    ends = _ends(hands, row)
    if row.swap:
        return tuple((one.midi, family(one.choice)) for one in ends)
    return frozenset((one.midi, _form(one)) for one in ends)


def _form(one: Fingering) -> str:
    """A fingering by its form: which little finger takes a key, which keys are held along and whether the right hand
    rests make no other one of it."""
    sign = family(one.choice)
    return "" if sign in (*HANDS, "std") or REST in one.uses else sign


def _ends(hands: Hands, row: Charged) -> tuple[Fingering, Fingering]:
    way, after = (hands.plan.chosen[n].way for n in _pair(row))
    if way is None or after is None:
        raise ValueError(f"note {row.n} has no fingering")
    return (way.start, way.end) if row.swap else (way.end, after.start)


def _pair(row: Charged) -> tuple[int, int]:
    return row.n, row.n if row.swap else row.n + 1


def _ids(hands: Hands, row: Charged) -> tuple[str, str]:
    at, to = (page_id(hands.plan.chosen[n].step.id) for n in _pair(row))
    return at, to


def _apart(hands: Hands, row: Charged) -> bool:
    """Whether a change lies between two notes of the page, and not inside what is played in the place of one."""
    at, to = _ids(hands, row)
    return at != to


def _told(hands: Hands, row: Charged, times: int) -> HardChange:
    at, to = (hands.notes[n] for n in _pair(row))
    old, new = _ends(hands, row)
    names = at.chosen.step.name, to.chosen.step.name
    because = _swapped(hands, at) if row.swap else _moved(hands, old, new)
    keys = (family(old.choice), family(new.choice)) if row.swap else ("", "")
    return HardChange(*_ids(hands, row), names, row.slides, row.charge, times, because, keys)


def _swapped(hands: Hands, note: Fingered) -> str:
    return change_words(note, hands.search.planner.chart)


def _moved(hands: Hands, old: Fingering, new: Fingering) -> str:
    """Which fingers move, whether another register answers, and what sounds if the worst of them is late."""
    hand = hands.search.planner.hands
    late = lateness(hand.model, old, new)
    over = ", into another register" if hand.change(old, new).asked.crosses else ""
    worst = late[0]
    if not worst.heard:
        return f"{_fingers(late)}{over}; nothing else sounds if one is late."
    heard = " or ".join(from_midi(midi).name for midi in worst.heard[:2])
    return f"{_fingers(late)}{over}; if the {_name(worst)} is late, {heard} sounds."


def _fingers(late: tuple[Late, ...]) -> str:
    """The fingers by what they do: "Left index and left ring down, right index up"."""
    if len(late) > _MOST_NAMED:
        return f"{len(late)} fingers move"
    by_deed: dict[str, list[str]] = {}
    for one in late:
        by_deed.setdefault(_DOES[one.does], []).append(_name(one))
    told = ", ".join(f"{_listed(names)} {deed}" for deed, names in by_deed.items())
    return f"{told[:1].upper()}{told[1:]}"


def _listed(names: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _name(late: Late) -> str:
    return f"{late.finger.hand} {late.finger.name}"
