"""What a teacher weighs, as numbers.

The unit is one finger put down or lifted in a quarter of a second. The numbers are defaults: the order among them is
common practice of the trade (first no slide, then a swap, then fingers one way, then few fingers, then tone), their
size is ours, and none is measured but `flatten`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

# Extra cost of a fingering by what its chart says it is for; the least of its uses counts. First number: once, whenever
# it is taken. Second number: for each second that it is held.
_BY_USE = {
    "standard": (0.0, 0.0),
    "scale": (0.0, 0.0),
    "alternation": (0.0, 0.0),  # the other hand's key sounds the same
    "optional-key": (0.0, 0.0),
    "right-hand-down": (0.0, 0.0),  # a shade rounder; its use is in the break
    "companion-hold": (0.4, 0.0),  # a key held down for nothing is a bad habit; its cents are counted apart
    "chromatic": (0.0, 0.0),  # beside a semitone; elsewhere a teacher asks why: `not_chromatic`
    "right-hand-busy": (0.3, 0.2),
    "fast-arpeggio": (0.9, 1.0),  # out of tune on many instruments
    "fast-passage": (1.5, 1.0),
    "soft": (1.5, 1.0),
    "long-note": (4.0, 0.0),  # to be chosen by ear, not by rule
    "clear-tone": (4.0, 0.0),
    "resonance": (4.0, 0.0),
    "break-crossing": (0.0, 0.0),
    "trill": (4.0, 2.0),
    "altissimo-alt": (2.0, 2.0),
    "swap-transient": (9.0, 9.0),
}

# Fingerings that are good for these alone are never taken for a note that stands by itself.
TRILLS_ONLY = frozenset({"trill", "throat-extension"})


@dataclass(frozen=True)
class Costs:
    """The table. A change costs (hands + what sounds between) / time; a slurred slide between two keys is outside it,
    above any sum: one slide more is never taken for anything else."""

    # A finger put down, a finger lifted: alike, until somebody measures a difference on a wind instrument.
    press: float = 1.0
    lift: float = 1.0
    # n fingers together cost n ** flatten. Measured trills: twice as long for 4 keys as for 1, 3 times for 9 (facts of
    # Libricky and Hajic 2025, medians by number of keys).
    flatten: float = 0.5
    # A finger whose move cannot be heard may go before or after the others, at leisure.
    quiet: float = 0.15
    # The same for each semitone by which it shades the note meanwhile.
    quiet_shade: float = 0.5
    # A finger that rolls from its hole to a key beside it without leaving the instrument.
    roll: float = 0.5
    # One finger down while another goes up, for each such pair: the two have to meet in time.
    contrary: float = 1.0
    # For each finger that moves while another resonance takes over (the break): all of them have to be there in time,
    # so those that may go ahead should have gone on the note before.
    crossing: float = 0.35
    # A finger from key to key, by the chart's ease (1 to 3). It counts within plans of equally many slides.
    slide: float = 6.0
    # A finger that comes to another key after one note of rest, one of the two being forced. Some bear it; most
    # write the other hand.
    returning: float = 0.8
    # Over a longer note than this the finger has rested, and nobody asks where it was before.
    idle_s: float = 1.0
    # A finger from its hole to a key or back, where the chart's ease is 3: slow and uncertain under a slur, a smaller
    # matter when the note is tongued.
    hole_slide: float = 6.0
    hole_slide_tongued: float = 3.0
    # A swap: cheaper than any slide, dearer than any detour by way of the other hand.
    swap: float = 6.0
    # The same on a note that is only just long enough; shrinks with the note's length, so that the longest is taken.
    swap_haste: float = 3.0
    # The shortest note that can be swapped (a working limit of the trade), and what must remain on either side.
    swap_least_s: float = 0.25
    swap_margin_s: float = 0.12

    # What may sound between: the weight of a foreign note, and how likely each order of the fingers is. Lifting acts
    # early and placing late, so a gap is more usual than an overlap.
    between: float = 2.0
    gap_share: float = 0.3
    overlap_share: float = 0.2
    late_share: float = 0.1
    early_share: float = 0.05
    # How foreign: any third note, more for each semitone up to the limit, more again out of another register.
    foreign_any: float = 0.4
    foreign_semitone: float = 0.15
    foreign_most: float = 1.0
    foreign_register: float = 0.3

    # The time there is: the shorter neighbour's, this many seconds being the unit, within limits.
    unit_s: float = 0.25
    shortest_s: float = 0.05
    longest_s: float = 2.0
    # The tongue hides part of what sounds between, and lets the fingers go a moment early.
    tongued_between: float = 0.4
    tongued_hands: float = 0.8
    # From this much silence nothing is heard of a change; from the second on, the hands start afresh.
    silence_s: float = 0.1
    apart_s: float = 0.5
    rested_hands: float = 0.5

    # Tone: by what a fingering is for (see above), by how far it is out of tune (each 10 cents, each second held), and
    # by how sure the chart is. Beyond the limit a longer note weighs no more.
    by_use: Mapping[str, tuple[float, float]] = field(default_factory=lambda: MappingProxyType(_BY_USE))
    not_chromatic: tuple[float, float] = (4.0, 1.0)
    unknown_use: tuple[float, float] = (1.0, 1.0)
    out_of_tune: float = 0.3
    # Likewise, each 10 cents, however short.
    out_of_tune_once: float = 0.2
    # How far the chart is from sure of a fingering, by its word for it.
    half_sure: float = 2.2
    unsure: float = 3.0
    tone_most_s: float = 2.0
    # What the player prefers outweighs a finger or two.
    preferred: float = -2.0
    # Notes not longer than this that go to and fro are fingered as in a trill.
    alternating_s: float = 0.25
    # Trills: a second choice of the chart; a pair of fingerings that the chart does not list; each finger tapped more.
    trill_second: float = 1.0
    trill_unlisted: float = 0.3
    trill_finger: float = 2.0

    def hurry(self, time_s: float) -> float:
        """By how much a change weighs more in `time_s` seconds than in the unit of time."""
        return self.unit_s / min(max(time_s, self.shortest_s), self.longest_s)


DEFAULT = Costs()
