"""Why a fingering was chosen, in one sentence: from what the best plan with another one would have cost.

Nothing is said by rule: each sentence names what the other plan has and this one has not (a slide, a swap, a sound
between, fingers against each other, a worse tone), found by planning again with the other fingering there.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from coach.instruments.between import Change
from coach.instruments.effort import Effort, weight
from coach.instruments.fingering import Fingering
from coach.instruments.hands import HARDEST, from_key_to_key
from coach.instruments.planning import Detour, Plan, Planner, Search
from coach.instruments.ways import REST, Way, family
from coach.music.pitch import from_midi, parse_pitch

# How many notes away a reason is looked for.
_REACH = 60
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def _both_ways(way: Way) -> tuple[tuple[Fingering, Fingering], tuple[Fingering, Fingering]]:
    return (way.start, way.end), (way.end, way.start)


def named(name: str, midi: float) -> str:
    """A pitch for a sentence, without its octave: "A flat"; from its spelled name if there is one."""
    try:
        return parse_pitch(name).spoken
    except ValueError:
        return from_midi(round(midi)).spoken


def reasons(search: Search, plan: Plan) -> tuple[str, ...]:
    """For each step the sentence, "" where there is nothing to choose. `plan` is the search's best."""
    told = Reasons(search, plan)
    return tuple(told.reason(n) for n in range(len(plan.chosen)))


@dataclass(frozen=True, slots=True)
class _Difference:
    """By how much the other plan is worse in one respect, and the words for it."""

    by: float
    words: Callable[[], str]


class Reasons:
    """The reasons of a search's best plan, told note by note, since a long part asks for few of them."""

    def __init__(self, search: Search, plan: Plan) -> None:
        self.search, self.plan = search, plan
        self.chart = search.planner.chart
        self.little = {one.id for one in self.chart.fingers if one.name == "little"}
        # The same passage with no swap but those of the plan, so that a hand's reasons reach the note that forces it.
        self.strict = self._without_swaps()

    def _without_swaps(self, free: int | None = None) -> Search:
        """The passage with no swap but those of the plan, and none on the note `free`."""
        planner = self.search.planner
        kept = [
            replace(one.step, fixed=one.choice) if self._swaps(n) and n != free else one.step
            for n, one in enumerate(self.plan.chosen)
        ]
        return Planner(planner.chart, planner.costs, planner.hands, swaps=False).search(kept)

    def reason(self, n: int) -> str:
        """The sentence for a step, "" where there is nothing to choose."""
        chosen = self.plan.chosen[n].way
        step = self.search.steps[n]
        if chosen is None or chosen.trill is not None:
            return ""
        if step.fixed is not None and self.search.planner.ways.named(step):
            return "as you marked it"
        if chosen.swaps:
            return self._swapped(n, chosen)
        rival = self._against(n, chosen)
        if rival is None:
            return ""
        slide = next((at for at in (n, n - 1) if at in self.plan.slides), None)
        if slide is not None:
            where = f"from the {self._name(slide)} to the {self._name(slide + 1)}"
            return f"{self._label(n, chosen.start)}: nothing is without a slide here, and {where} it is the least bad"
        return self._label(n, chosen.start) + self._because(n, rival)

    def _against(self, n: int, chosen: Way) -> int | None:
        """The way to compare with: the other hand where there is one, else the ordinary fingering if another was taken;
        None where there is nothing to tell."""
        ways = self.strict.ways[n]
        hands = self._hands(chosen.start)
        other = self._rival(
            n, lambda way: len(self._hands(way.start) - hands) > 0 and family(way.choice) != family(chosen.choice)
        )
        if hands and other is not None:
            return other
        ordinary = min(range(len(ways)), key=lambda k: ways[k].start.rank)
        return None if family(ways[ordinary].choice) == family(chosen.choice) else ordinary

    def _rival(self, n: int, allowed: Callable[[Way], bool]) -> int | None:
        """The number of the best other way of a note, swaps left out."""
        numbers = [k for k, way in enumerate(self.strict.ways[n]) if allowed(way) and not way.swaps]
        return min(numbers, key=lambda k: self.strict.total(n, k), default=None)

    def _because(self, n: int, rival: int) -> str:
        other = self.strict.through(n, rival, _REACH)
        if other.more_slides > 0 and set(other.slides) - set(self.plan.slides):
            return self._slide(n, other)
        return self._worse(n, other)

    def _slide(self, n: int, other: Detour) -> str:
        """The slide that the other plan has near this note: who forces it, or where it would be."""
        mine = set(self.plan.slides)
        at = min((k for k in other.slides if k not in mine), key=lambda k: abs(k - n), default=other.slides[0])
        far = self._forcing(n, at + 1 if at >= n else at)
        hand = self._only(far)
        if hand is None or far == n:
            return f", because a finger would otherwise slide from the {self._name(at)} to the {self._name(at + 1)}"
        steps = abs(far - n)
        has = "is marked for" if self.search.steps[far].fixed else "has only"
        key = f"the {hand} hand" if self.search.steps[far].fixed else f"a {hand}-hand key"
        if steps == 1:
            return f", because the {self._name(far)} {'after' if far > n else 'before'} it {has} {key}"
        count = _NUMBERS[steps] if steps < len(_NUMBERS) else str(steps)
        when = f"{count} notes {'later' if far > n else 'earlier'}"
        turns = f"the hands take turns {'to' if far > n else 'from'} the {self._name(far)} {when}"
        return f", so that {turns}, which {has} {key}"

    def _forcing(self, n: int, at: int) -> int:
        """From note `at` on, away from `n`, the first with one hand only, as far as the plan's hands take turns up to
        it; `at` if there is none."""
        way = 1 if at > n else -1
        k = at
        while 0 <= k < len(self.plan.chosen) and self._turned(k - way, k):
            if self._only(k) is not None:
                return k
            k += way
        return at

    def _turned(self, one: int, other: int) -> bool:
        """Whether the plan takes two neighbours with different hands."""
        first, second = (self.plan.chosen[k].way for k in sorted((one, other)))
        if first is None or second is None:
            return False
        hands = [self._hands(first.end), self._hands(second.start)]
        return all(len(each) == 1 for each in hands) and hands[0] != hands[1]

    def _swapped(self, n: int, chosen: Way) -> str:
        """Why the hands change on a held note: what happens if the first of them stays, and if the other begins."""
        free = self._without_swaps(n)
        parts = [self._label(n, one) + self._if_kept(n, free, two) for one, two in _both_ways(chosen)]
        return f"{parts[0]}; then {parts[1]}; change while the note is held"

    def _if_kept(self, n: int, free: Search, one: Fingering) -> str:
        kept = next((k for k, way in enumerate(free.ways[n]) if way.start is one and not way.swaps), None)
        other = free.through(n, kept, _REACH) if kept is not None else None
        return self._slide(n, other) if other and set(other.slides) - set(self.plan.slides) else ""

    def _worse(self, n: int, other: Detour) -> str:
        """In what the other plan is worse, if it has no more slides and swaps."""
        found = sorted(self._differences(n, other), key=lambda one: -one.by)
        if found and found[0].by > 0.01:
            return found[0].words()
        beside = self._neighbour(n)
        if beside:
            return f", in turn with the {beside}"
        way = self.plan.chosen[n].way
        if way and REST in way.start.uses:
            return " on the way over the break"
        if self._ordinary(n):
            return ", the ordinary hand: nothing near asks for the other"
        return self._together(n, other) or self._fresh(n)

    def _together(self, n: int, other: Detour) -> str:
        """The neighbour that the other plan takes in another form."""
        for k, where in ((n - 1, "before it"), (n + 1, "after it")):
            mine = self.plan.chosen[k].way if 0 <= k < len(self.plan.chosen) else None
            its = other.way(k)
            if mine and its and family(mine.choice) != family(its.choice):
                return f", which goes best with the {self._label(k, mine.start)} {self._name(k)} {where}"
        return ""

    def _ordinary(self, n: int) -> bool:
        """Whether no way of this note comes before the chosen one in the chart."""
        way = self.plan.chosen[n].way
        return way is not None and way.start.rank <= min(one.start.rank for one in self.search.ways[n])

    def _fresh(self, n: int) -> str:
        """The words for a hand taken over the ordinary one among equals: the other is busy two notes off."""
        way = self.plan.chosen[n].way
        for k, words in ((n - 2, "has only just left"), (n + 2, "will be needed at once for")):
            other = self.plan.chosen[k].way if 0 <= k < len(self.plan.chosen) else None
            if way and other and self._hands(other.start) and not self._hands(other.start) & self._hands(way.start):
                return f", because the {min(self._hands(other.start))} hand {words} the {self._name(k)}"
        return ", as good as the other hand here" if self._hands_matter(n) else ", as good as the ordinary one here"

    def _returning(self, n: int, other: Way) -> str:
        """Which note two off needs the finger that another way of note `n` would use."""
        hands = self._hands(other.start)
        for k, words in ((n + 2, "is needed for the {} two notes later"), (n - 2, "has only just left the {}")):
            if 0 <= k < len(self.plan.chosen) and self._only(k) in hands:
                return f", because the {self._only(k)} hand {words.format(self._name(k))}"
        return self._fresh(n)

    def _hands_matter(self, n: int) -> bool:
        return len({self._hands(way.start) for way in self.search.ways[n]}) > 1

    def _differences(self, n: int, other: Detour) -> list[_Difference]:
        found = []
        costs, length_s = self.search.planner.costs, self.search.steps[n].length_s
        mine, its = self.plan.chosen[n].way, other.way(n)
        if mine and its:
            found += [
                _Difference(its.held(length_s, costs) - mine.held(length_s, costs), lambda: ", for the surer tone"),
                _Difference(
                    its.returning(length_s, costs) - mine.returning(length_s, costs), lambda: self._returning(n, its)
                ),
            ]
        for k in (n - 1, n):
            if not 0 <= k < len(self.plan.chosen) - 1:
                continue
            old = self._change(self.plan.chosen[k].way, self.plan.chosen[k + 1].way)
            new = self._change(other.way(k), other.way(k + 1))
            if old is None or new is None:
                continue
            room = self.search.room(k)
            (_, ours), (theirs, worse) = old, new
            scale = weight(worse, room, costs) / max(worse.hands + worse.between + worse.sliding, 1e-9)
            to = f"{'to' if k == n else 'from'} the {self._name(k + 1 if k == n else k)}"
            a, b = ours.asked, worse.asked
            crossing = (
                costs.crossing * (b.quiet + b.together - a.quiet - a.together) if b.crosses and a.crosses else 0.0
            )
            found += [
                _Difference(
                    scale * costs.hole_slide * (b.hole_ease - a.hole_ease) / HARDEST,
                    lambda k=k, theirs=theirs: self._off_hole(n, k, theirs),  # type: ignore[misc]
                ),
                _Difference(scale * (worse.sliding - ours.sliding), lambda k=k, to=to: self._keyed(n, k, to)),  # type: ignore[misc]
                _Difference(scale * (worse.between - ours.between), self._sound(theirs, to)),
                _Difference(
                    scale * costs.contrary * (b.contrary - a.contrary),
                    lambda to=to: f", so that no finger goes down while another comes up {to}",  # type: ignore[misc]
                ),
                _Difference(scale * crossing, lambda k=k: self._break(n, k)),  # type: ignore[misc]
                _Difference(
                    scale * (b.together - a.together) / 2,
                    lambda to=to, a=a, b=b: self._fewer(to, a.together, b.together),  # type: ignore[misc]
                ),
            ]
        return found

    def _fewer(self, to: str, mine: int, its: int) -> str:
        return f", because fewer fingers have to meet {to} ({mine} instead of {its})"

    def _off_hole(self, n: int, k: int, theirs: Change) -> str:
        """Which finger the other plan sends from its hole to a key, or back."""
        move = next(one for one in theirs.moves if one.kind == "slide" and not from_key_to_key(self.chart, one))
        finger = self.chart.finger(move.finger)
        back = all(self.chart.control(one).kind == "key" for one in move.off)
        way = "from a key to its hole" if back else "from its hole to a key"
        where = f"for the {self._name(k + 1)}" if k == n else f"after the {self._name(k)}"
        return f", because the {finger.hand} {finger.name} finger would otherwise go {way} {where}"

    def _keyed(self, n: int, k: int, to: str) -> str:
        """Which neighbour needs the finger that would otherwise go from key to key, tongued or after a rest."""
        far = k + 1 if k == n else k
        hand = self._only(far)
        where = f"the {self._name(far)} {'after' if k == n else 'before'} it"
        if hand is not None:
            return f", because {where} has only a {hand}-hand key"
        way = self.plan.chosen[far].way
        busy = self._hands(way.start if k == n else way.end) if way else frozenset[str]()
        if len(busy) == 1:
            return f", because the {min(busy)} hand has {where}"
        return f", because a finger would otherwise go from key to key {to}"

    def _break(self, n: int, k: int) -> str:
        over = self._name(k + 1 if k == n else k)
        way = self.plan.chosen[n].way
        if way and REST in way.start.uses:
            return f", because the {over} {'after' if k == n else 'before'} it lies over the break"
        return f", because fewer fingers cross the break {'to' if k == n else 'from'} the {over}"

    def _sound(self, change: Change, to: str) -> Callable[[], str]:
        def words() -> str:
            worst = change.worst
            sound = f"no {named('', worst.sound.nearest)} sounds" if worst else "nothing foreign sounds"
            return f", so that {sound} on the way {to}"

        return words

    def _change(self, a: Way | None, b: Way | None) -> tuple[Change, Effort] | None:
        if a is None or b is None:
            return None
        planner = self.search.planner
        return planner.hands.change(a.end, b.start).heard, planner.efforts.of(a.end, b.start)

    def _only(self, n: int) -> str | None:
        """The hand whose little finger every way of a note needs, None if there is a choice."""
        hands = [self._hands(way.start) for way in self.search.ways[n] if not way.swaps]
        shared = frozenset.intersection(*hands) if hands else frozenset()
        return min(shared) if len(shared) == 1 else None

    def _hands(self, one: Fingering) -> frozenset[str]:
        """The hands whose little fingers press what the sound needs."""
        model = self.search.planner.hands.model
        sound = model.sound(one.controls)
        keys = [key for key in one.controls if self.chart.finger_of(key) in self.little]
        needed = [key for key in keys if model.sound(one.controls - {key}).midi != sound.midi]
        return frozenset(self.chart.hand_of(key) for key in needed)

    def _label(self, n: int, one: Fingering) -> str:
        """How a teacher would call it: the hand if the little fingers have a choice here, else the chart's tag."""
        hands = {self._hands(way.start) for way in self.search.ways[n] if not way.swaps}
        mine = self._hands(one)
        if len(hands) > 1 and len(mine) == 1:
            return min(mine)
        return "right hand down" if REST in one.uses else "plain" if one.choice == "std" else one.choice

    def _neighbour(self, n: int) -> str:
        """The little-finger note beside this one that the other hand takes, with its hand."""
        way = self.plan.chosen[n].way
        mine = self._hands(way.start) if way else frozenset()
        for k, where in ((n + 1, "after it"), (n - 1, "before it")):
            other = self.plan.chosen[k].way if 0 <= k < len(self.plan.chosen) else None
            hands = self._hands(other.start) if other else frozenset()
            if len(hands) == 1 and len(mine) == 1 and hands != mine:
                return f"{min(hands)}-hand {self._name(k)} {where}"
        return ""

    def _swaps(self, n: int) -> bool:
        way = self.plan.chosen[n].way
        return way is not None and way.swaps

    def _name(self, n: int) -> str:
        return named(self.search.steps[n].name, self.search.steps[n].midi)
