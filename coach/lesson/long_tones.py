"""The guided measurement of a player's air: one note held to the end of a breath at three dynamics, by a stopwatch.

What it tells is how long a breath lasts. Litres a second are the usable litres over those seconds, so they are as good
as the litres are; how the flow goes between and beyond the three dynamics is taken from the default table. Between two
tones a minute's rest is suggested: common sense of the trade, no measurement.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from coach.config import AirSettings
from coach.errors import RequestError
from coach.instruments.air import DYNAMICS, flow_from_long_tones
from coach.lesson.breathing import usable_litres

HELD_AT = ("p", "mf", "f")
REST_S = 60.0


@dataclass(frozen=True, slots=True)
class LongTones:
    """A measurement under way: the seconds of the tones held so far, at the dynamics of HELD_AT in turn; when the
    present tone `began`, and when the rest after the last one ends, by the clock that is given; None for neither."""

    held_s: tuple[float, ...] = ()
    began_s: float | None = None
    rests_until_s: float | None = None

    @property
    def dynamic(self) -> str:
        """The dynamic of the present tone, "" when all are held."""
        return HELD_AT[len(self.held_s)] if len(self.held_s) < len(HELD_AT) else ""

    def running_s(self, now_s: float) -> float:
        """How long the present tone has been held; 0 while none is."""
        return max(now_s - self.began_s, 0.0) if self.began_s is not None else 0.0

    def rest_s(self, now_s: float) -> float:
        """How much of the rest is left; 0 where there is none."""
        return max(self.rests_until_s - now_s, 0.0) if self.rests_until_s is not None else 0.0

    def pressed(self, now_s: float) -> "LongTones":
        """The stopwatch's one key: it ends the rest, begins a tone, ends it."""
        if not self.dynamic:
            return self
        if self.began_s is not None:
            held = (*self.held_s, self.running_s(now_s))
            return LongTones(held, None, now_s + REST_S if len(held) < len(HELD_AT) else None)
        if self.rest_s(now_s):
            return replace(self, rests_until_s=None)
        return replace(self, began_s=now_s, rests_until_s=None)

    def again(self) -> "LongTones":
        """The present tone given up, else the last one forgotten, to be held again."""
        return LongTones(self.held_s if self.began_s is not None else self.held_s[:-1])

    @property
    def by_dynamic(self) -> Mapping[str, float]:
        """The seconds held, by dynamic."""
        return dict(zip(HELD_AT, self.held_s, strict=False))


def litres_known(settings: AirSettings) -> bool:
    """Whether the litres of a breath are set or reckoned, and no default."""
    return bool(settings.litres or (settings.sex and settings.age and settings.height_cm))


def measured(settings: AirSettings, tones: LongTones) -> AirSettings:
    """The air with the flows that long tones tell. Raises RequestError for seconds that no wind player needs."""
    litres = usable_litres(settings)[0]
    try:
        flows = flow_from_long_tones(litres, tones.by_dynamic)
    except ValueError as error:
        raise RequestError(f"These tones cannot be taken: {error}.") from None
    return replace(settings, flows=tuple(round(flow, 4) for flow in flows), measured_litres=round(litres, 4))


def table_words(settings: AirSettings, tones: LongTones) -> str:
    """What was measured, a line for each dynamic: seconds, and litres a second by the litres in force."""
    litres, known = usable_litres(settings)[0], litres_known(settings)
    kind = "litres a second" if known else f"litres a second if you have {litres:g}"
    held = [(name, seconds) for name, seconds in tones.by_dynamic.items() if seconds > 0]
    lines = [f"{name:<3} {seconds:6.1f} seconds   {litres / seconds:.3f} {kind}" for name, seconds in held]
    if not known:
        lines.append(
            "How many litres your breath has is not known: the times give only the proportions of the dynamics, and "
            "how long you last, not the litres."
        )
    return "\n".join(lines)


def flows_by_name(settings: AirSettings) -> Mapping[str, float]:
    """The flows that are set, by dynamic; empty where the default table holds."""
    return dict(zip(DYNAMICS, settings.flows, strict=True)) if settings.flows else {}
