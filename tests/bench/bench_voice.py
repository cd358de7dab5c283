"""What the built-in voice costs: milliseconds of processor time for a second of music, in blocks as a device asks.

A slurred scale of sixteenths at 120 over three octaves, every note made anew. The reference is the bare tone: the same
notes without breath, drift and room. The last column says how much faster than real time the full voice is.

    python -m tests.bench.bench_voice [--seconds 20]
"""

import argparse
from time import thread_time

import numpy as np

from coach.sound.action import Action
from coach.sound.timeline import Event
from coach.sound.voice import Mixer

RATE_HZ = 48_000
NOTE_FRAMES = RATE_HZ // 8
BLOCKS = (240, 480, 4800)


def actions(frames: int) -> list[Action]:
    """The scale up and down, at absolute frames."""
    keys = [*range(50, 87), *range(85, 50, -1)]
    made = []
    for k in range(frames // NOTE_FRAMES):
        event = Event(k / 8, 1 / 8, "note", midi=keys[k % len(keys)], level_db=-8.0, tongued=k == 0, slurred=True)
        at = k * NOTE_FRAMES
        made += [Action(at, "off", k - 1), Action(at, "on", k, event)]
    return made


def spent(mixer: Mixer, block: int, frames: int) -> list[float]:
    """Seconds for each block."""
    todo = actions(frames)
    taken = []
    for start in range(0, frames, block):
        now = []
        while todo and todo[0].offset < start + block:
            action = todo.pop(0)
            now.append(Action(action.offset - start, action.what, action.key, action.event))
        began_s = thread_time()
        mixer.render(block, now)
        taken.append(thread_time() - began_s)
    return taken


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=20.0)
    frames = round(parser.parse_args().seconds * RATE_HZ)
    print(
        "Processor time of the voice for a second of music (reference: the bare tone, without breath, drift and room)"
    )
    print(f"{'block':>7}  {'ours':>10}  {'reference':>10}  {'ratio':>6}  {'worst block':>12}  {'real time':>10}")
    for block in BLOCKS:
        ours = spent(Mixer(RATE_HZ), block, frames)
        bare = spent(Mixer(RATE_HZ, chance=None, dry=True), block, frames)
        seconds = len(ours) * block / RATE_HZ
        a_ms, b_ms = 1000 * sum(ours) / seconds, 1000 * sum(bare) / seconds
        worst = f"{1000 * float(np.max(ours)):.2f} of {1000 * block / RATE_HZ:g}"
        print(
            f"{1000 * block / RATE_HZ:4.0f} ms  {a_ms:7.1f} ms  {b_ms:7.1f} ms  {a_ms / b_ms:6.2f}  {worst:>12}"
            f"  {1000 / a_ms:8.0f} x"
        )


if __name__ == "__main__":
    main()
