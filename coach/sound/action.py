"""What the transport tells an output to do, and when within the block being made."""

from dataclasses import dataclass

from coach.sound.timeline import Event


@dataclass(frozen=True, slots=True)
class Action:
    """At `offset` frames into the block: "on" starts `event` under `key`, "off" ends what `key` started, "click" sounds
    a click of `event`, "hush" ends everything at once. Keys are unique among what is sounding. `rate` is that of the
    transport when the event starts: nominal seconds passed per second, so that a swell lasts as long as its note."""

    offset: int
    what: str
    key: int = 0
    event: Event | None = None
    rate: float = 1.0
