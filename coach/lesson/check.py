"""What works on this computer, and what to do about what does not."""

import locale
import os
import shutil
import sys
from dataclasses import dataclass

from coach.errors import CoachError
from coach.lesson.desk import Desk

LEAST_COLUMNS, LEAST_LINES = 60, 20


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: whether it works, what was found, and the remedy ("" if none is needed)."""

    what: str
    works: bool
    found: str
    remedy: str = ""


def check(desk: Desk) -> tuple[Finding, ...]:
    """Look at sound, MIDI ports, terminal and files. Nothing sounds and nothing of the player's is changed."""
    return (*_sound(), *_terminal(), _pictures(desk), *_files(desk))


def _sound() -> tuple[Finding, ...]:
    from coach.sound.player import check_sound

    heard = check_sound()
    audio = Finding("sound", bool(heard.audio), heard.audio or heard.audio_problem)
    if heard.ports:
        midi = Finding("MIDI ports", True, ", ".join(heard.ports))
    else:
        remedy = "" if heard.ports_problem else "Start a synthesizer or plug one in to hear the reference on it."
        midi = Finding("MIDI ports", False, heard.ports_problem or "none", remedy)
    return audio, midi


def _terminal() -> tuple[Finding, ...]:
    size = shutil.get_terminal_size()
    roomy = size.columns >= LEAST_COLUMNS and size.lines >= LEAST_LINES
    encoding = sys.stdout.encoding or locale.getpreferredencoding(False)
    utf8 = encoding.lower().replace("-", "") == "utf8"
    found = f"{encoding}, the music can be engraved in braille dots" if utf8 else encoding
    plain = "" if utf8 else "Set the terminal to UTF-8; until then plain letters are used, and nothing is engraved."
    least = f"Make the window at least {LEAST_COLUMNS} columns by {LEAST_LINES} lines; 80 by 24 is comfortable."
    return (
        Finding("terminal size", roomy, f"{size.columns} columns by {size.lines} lines", "" if roomy else least),
        Finding("characters", utf8, found, plain),
        Finding("colour", True, "none, as NO_COLOR asks" if os.environ.get("NO_COLOR") else "yes"),
    )


def _pictures(desk: Desk) -> Finding:
    """Whether the music can be a picture here; no fault unless the player wants it so."""
    from coach.lesson.pictures import terminal_pictures

    shows, wanted = terminal_pictures(), desk.settings.music == "picture"
    if shows.kind:
        found = f"{_PICTURES[shows.kind]}, cells of {shows.cell[0]} by {shows.cell[1]} pixels"
        return Finding("pictures", True, found, "" if wanted else "Music in Setup can be a picture, if you like.")
    remedy = "Use a terminal with kitty graphics or sixel, or choose dots of braille for Music in Setup."
    return Finding("pictures", not wanted, f"none: {shows.because}", remedy if wanted else "")


_PICTURES = {"kitty": "kitty graphics", "sixel": "sixel"}


def _log(desk: Desk) -> Finding:
    record = desk.record()
    found = f"{desk.paths.log}, {len(record.reps)} reps"
    if record.unknown:
        found += f", {record.unknown} entries of a newer coach left alone"
    if not record.unread:
        return Finding("practice log", True, found)
    first = record.unread[0]
    remedy = (
        f"{len(record.unread)} entries make no sense and count for nothing; import a good export of the log. "
        f"The first is {first.entry.uuid}: {first.because}."
    )
    return Finding("practice log", False, found, remedy)


def _files(desk: Desk) -> tuple[Finding, ...]:
    try:
        log = _log(desk)
    except CoachError as error:
        log = Finding("practice log", False, str(error), "See the sentence before.")
    return (log, Finding("settings", True, str(desk.paths.settings)))
