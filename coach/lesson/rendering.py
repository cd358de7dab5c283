"""A stretch written down: as a Standard MIDI File, as a sound file, as a document."""

from dataclasses import replace
from pathlib import Path
from typing import Any

from coach.lesson.desk import Desk
from coach.lesson.playing import MUTE_DB, Take, perform_take
from coach.sound.compile import timeline
from coach.sound.performance import Performance


def performance_of(take: Take, *, click: bool, count_in: int) -> Performance:
    """What would sound; without `click` the count-in's clicks alone, and the beat may bend."""
    performance = perform_take(replace(take, click=replace(take.click, on=click)), count_in=count_in)
    if click:
        return performance
    return replace(performance, clicks=tuple(event for event in performance.clicks if event.at_s < 0))


def document(take: Take, *, click: bool, count_in: int) -> dict[str, Any]:
    """The document of `coach render --json`."""
    return performance_of(take, click=click, count_in=count_in).document(take.rate)


def write_midi(desk: Desk, take: Take, file: str, *, click: bool, count_in: int) -> None:
    """Write a Standard MIDI File. Raises StoreError."""
    from coach.sound.smf import write_smf  # deferred: mido is needed here alone

    performance = performance_of(take, click=click, count_in=count_in)
    write_smf(
        Path(file), take.piece, performance, rate=take.rate, a_hz=desk.settings.tuning_hz, click_db=take.click.level_db
    )


def write_wav(desk: Desk, take: Take, file: str, *, click: bool, count_in: int) -> None:
    """Write a sound file at the settings' level and tuning. Raises StoreError."""
    from coach.sound.bounce import bounce  # deferred: NumPy is needed here alone
    from coach.sound.wav import write_wav as write

    settings = desk.settings
    samples = bounce(
        timeline(performance_of(take, click=click, count_in=count_in)),
        rate=take.rate,
        a_hz=settings.tuning_hz,
        level_db=settings.level_db,
        gains={"others": settings.others_db, "click": take.click.level_db if click or count_in else MUTE_DB},
    )
    write(Path(file), samples, sample_rate=48000)
