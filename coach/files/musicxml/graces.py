"""Which note a grace belongs to.

MusicXML says only what follows what. Graces belong to the next pitched note of their voice, except where they can only
be meant as an ending of the note before them in the same measure. They are after-graces if
- a rest or the end of the measure follows them, or
- that note carries a trill or a wavy line and there are two or more of them, none slashed (a termination), or
- a slur ends on the last of them and none leads on to the next note, and all say `steal-time-previous`.
`steal-time-previous` alone says when they sound, not what they belong to, and is kept on each. Trade practice; the
standard is silent.
"""

from fractions import Fraction

from coach.files.musicxml.numbers import Exact
from coach.files.musicxml.raw import Head

_TRILLS = ("trill-mark", "wavy-line")


class Graces:
    """Graces that wait for the note they belong to, by voice."""

    def __init__(self) -> None:
        self._waiting: dict[str, list[Head]] = {}

    @property
    def left(self) -> int:
        """How many still wait."""
        return sum(map(len, self._waiting.values()))

    def copy(self) -> dict[str, list[Head]]:
        """What waits now, to go back to."""
        return {voice: list(heads) for voice, heads in self._waiting.items()}

    def restore(self, waiting: dict[str, list[Head]]) -> None:
        """Go back to what waited before."""
        self._waiting = {voice: list(heads) for voice, heads in waiting.items()}

    def wait(self, head: Head, divisions: Exact) -> None:
        """Let a grace wait; one under another stem joins that one's chord."""
        if "make-time" in head.grace:
            head.make_time = Fraction(head.grace["make-time"].strip()) / divisions
        waiting = self._waiting.setdefault(head.voice, [])
        if head.in_chord and waiting:
            waiting[-1].chord.append(head)
        else:
            waiting.append(head)

    def settle(self, head: Head, last: Head | None) -> None:
        """Give what waits in the voice to `head`, or to the pitched note before it in the measure."""
        waiting = self._waiting.get(head.voice)
        if not waiting:
            return
        if last is not None and (head.is_rest or _end_of(last, waiting, head)):
            last.after.extend(waiting)
        elif not head.is_rest:
            head.before.extend(waiting)
        else:
            return
        self._waiting[head.voice] = []

    def end_measure(self, last: dict[str, Head]) -> None:
        """Give what waits at the end of a measure to the last pitched note of its voice; without one it waits on."""
        for voice, waiting in self._waiting.items():
            if waiting and voice in last:
                last[voice].after.extend(waiting)
                self._waiting[voice] = []


def _end_of(last: Head, graces: list[Head], head: Head) -> bool:
    if last.end != head.at:
        return False
    if any(ornament.kind in _TRILLS for ornament in last.ornaments):
        return len(graces) > 1 and all(grace.grace.get("slash") != "yes" for grace in graces)
    stolen = all("steal-time-previous" in grace.grace for grace in graces)
    ends = any(slur.kind == "stop" for slur in graces[-1].slurs)
    leads_on = any(slur.kind == "start" for grace in graces for slur in grace.slurs)
    return stolen and ends and not leads_on
