"""How long it takes to plan fingerings, for 1000, 10 000 and 100 000 notes and for a whole part.

The notes are a random walk over the clarinet's whole range with many lengths, seeded; a cold planner knows nothing, a
warm one has planned the same before. The part is the clarinet's in Weber's Concertino, which ships with music21.

    python -m tests.bench.bench_fingering
"""

import time
from collections.abc import Sequence
from random import Random

from coach.files.charts import chart_for
from coach.files.score import read_score
from coach.instruments.chart import Player
from coach.instruments.passage import Step
from coach.instruments.planning import Planner
from coach.prepare.hands import steps_of

SIZES = (1_000, 10_000, 100_000)


def walk(count: int, seed: int = 4) -> tuple[Step, ...]:
    """A seeded random walk of `count` notes from E3 to C7."""
    chance = Random(seed)
    midi, steps = 72, []
    for n in range(count):
        midi = min(max(midi + chance.choice((-4, -3, -2, -2, -1, -1, 1, 1, 2, 2, 3, 4)), 52), 96)
        length_s = chance.choice((0.11, 0.17, 0.22, 0.33, 0.45, 0.67, 0.9, 1.8)) * chance.choice((1, 1.01, 0.98))
        steps.append(Step(str(n), midi, length_s, chance.random() < 0.7, chance.choice((0, 0, 0, 0, 0, 0.3, 1.0))))
    return tuple(steps)


def timed(planner: Planner, steps: Sequence[Step]) -> float:
    """Seconds for one plan."""
    began = time.perf_counter()
    planner.plan(steps)
    return time.perf_counter() - began


def main() -> None:
    """Prints the table."""
    chart = chart_for("clarinet in B-flat").for_player(Player())
    weber = read_score("corpus:weber/concertino_clarinet").part
    rows = [(f"{size} notes", walk(size)) for size in SIZES] + [("Weber, whole part", steps_of(weber, 60 / 110))]
    print(f"{'':>20} {'cold s':>8} {'warm s':>8} {'warm us/note':>13}")
    for name, steps in rows:
        planner = Planner(chart)
        cold, warm = timed(planner, steps), min(timed(planner, steps) for _ in range(3))
        print(f"{name:>20} {cold:8.3f} {warm:8.3f} {warm / len(steps) * 1e6:13.1f}")


if __name__ == "__main__":
    main()
