"""A passage as the hands meet it: pitches, the time there is, and where silence gives freedom."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Step:
    """One sounding note; a chain of ties is one step.

    `midi` is the written pitch (a fraction of a semitone is a quarter-tone, which no chart holds). It sounds for
    `length_s` seconds, and `gap_s` seconds of silence (a rest or a breath) follow. `joined`: slurred to the next.
    `fixed` is the player's own choice, None where they left it open. `trill` is the written pitch of a trill's upper
    note. `name` is the pitch as spelled ("Ab4"), for words only. `length_q` in quarters and `to_beat_q`, the quarters
    from the onset to the next beat (0: on a beat) with beats of `beat_q` quarters tell where a swap may stand.
    """

    id: str
    midi: float
    length_s: float
    joined: bool = True
    gap_s: float = 0.0
    fixed: str | None = None
    trill: int | None = None
    name: str = ""
    length_q: Fraction = Fraction(1)
    to_beat_q: Fraction = Fraction(0)
    beat_q: Fraction = Fraction(1)


def swap_at_q(step: Step, margin_s: float) -> Fraction:
    """Where a held note is swapped, in quarters from its onset: on a beat if one leaves `margin_s` seconds on both
    sides, else on a half, third, quarter, ... of one, else half way. Of several the last in the first half, so that the
    hand rests well before it moves."""
    if step.length_s <= 0:
        return step.length_q / 2
    second_q = step.length_q / Fraction(step.length_s).limit_denominator(1_000_000)
    least, most = second_q * Fraction(margin_s), step.length_q - second_q * Fraction(margin_s)
    for parts in (1, 2, 3, 4, 6, 8, 12, 16):
        grid = step.beat_q / parts
        first = step.to_beat_q % grid
        found = [first + grid * n for n in range(int(step.length_q / grid) + 1)]
        inside = [at for at in found if least <= at <= most and 0 < at < step.length_q]
        if inside:
            early = [at for at in inside if at * 2 <= step.length_q]
            return early[-1] if early else inside[0]
    return step.length_q / 2
