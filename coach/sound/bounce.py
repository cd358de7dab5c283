"""Playing a timeline into an array of samples instead of a device: the same transport and the same voice."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from coach.sound.timeline import Timeline
from coach.sound.transport import Transport
from coach.sound.voice import DEFAULT_DB, Mixer

_BLOCK_S = 0.1
_TAIL_S = 2.0


def bounce(
    timeline: Timeline,
    *,
    sample_rate: int = 48000,
    rate: float = 1.0,
    a_hz: float = 440.0,
    level_db: float = DEFAULT_DB,
    gains: Mapping[str, float] | None = None,
    silence: tuple[int, int] | None = None,
) -> NDArray[np.float32]:
    """The sound of one pass, count-in included, as mono samples of shape (frames,) between -1 and 1.

    `level_db` is relative to full scale and `gains` are in dB ("voice", "others", "click", "drone"). What rings on
    after the end is kept, two seconds at most. Raises RequestError for a rate or a silence that makes no sense.
    """
    transport = Transport(timeline, sample_rate=sample_rate, rate=rate, silence=silence)
    mixer = Mixer(sample_rate, a_hz)
    for what, db in {"all": level_db, **(gains or {})}.items():
        mixer.set_gain(what, db)
    mixer.render(sample_rate // 10)  # gains move to where they are wanted before anything sounds
    block = max(1, round(_BLOCK_S * sample_rate))
    blocks: list[NDArray[np.float32]] = []
    tail = round(_TAIL_S / _BLOCK_S)
    transport.play()
    while transport.playing or (mixer.sounding and tail > 0):
        tail -= not transport.playing
        blocks.append(mixer.render(block, transport.advance(block)))
    return np.concatenate([*blocks, np.zeros(0, np.float32)])
