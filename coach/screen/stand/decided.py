"""What is decided at a note, in words even where nothing is written down: its level, how its ornament is played."""

from coach.music.measure import Measure
from coach.prepare.dynamics.line import NoteLevel
from coach.prepare.ornaments.counted import counted
from coach.prepare.place import beat_words
from coach.screen.prepared import Prepared
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.words import signed

_TURNS_DB = 0.5  # a change within a note that is less than this is not told
_DARK, _BRIGHT = 1 / 3, 2 / 3


def level_words(level: NoteLevel, because: bool = True) -> str:
    """A level in words: "-6 dB, growing, bright: the leap that comes is led into"."""
    change_db = level.end_level_db - level.level_db
    course = "growing" if change_db > _TURNS_DB else "fading" if change_db < -_TURNS_DB else ""
    course = "" if because and course and level.because.casefold().startswith(course) else course  # said there
    shade = "dark" if level.colour < _DARK else "bright" if level.colour >= _BRIGHT else ""
    says = ", ".join(filter(None, (f"{round(level.level_db)} dB", course, shade)))
    reason = level.because[:1].lower() + level.because[1:].removesuffix(".") if because else ""
    return f"{says}: {reason}" if reason else says


def ornament_words(decided: Prepared, note_id: str, glyphs: Glyphs) -> str:
    """How the ornament of a note, or of the note that a grace belongs to, is played: its name, then how it is counted;
    "" where there is none."""
    main = decided.main_note(note_id)
    content = decided.ornament(main) if main else None
    if content is None:
        return "the ornament is played as printed" if main else ""
    name = next((way.name for way in decided.ways.get(main, ()) if way.content == content), "")
    says = signed(counted(content, decided.beat_q(main)), glyphs)
    return f"{content.what} {name}: {says}" if name else f"{content.what}: {says}"


def decided_words(decided: Prepared, measure: Measure, glyphs: Glyphs) -> str:
    """What is decided in a measure: how its ornaments are played that no mark writes out, then the levels where they
    change; "" where nothing is known."""
    told = []
    for note in measure.notes:
        if decided.main_note(note.id) == note.id and not decided.written(note.id):
            told.append(f"beat {beat_words(note.beat)}: {ornament_words(decided, note.id, glyphs)}")
    levels, before_db = [], None
    for note in measure.notes:
        level = decided.levels.get(note.id)
        if level is not None and (before_db is None or abs(level.level_db - before_db) >= 1):
            levels.append(f"beat {beat_words(note.beat)}: {level_words(level, because=False)}")
        before_db = level.end_level_db if level is not None else before_db
    played = f"Played: {'; '.join(told)}." if told else ""
    return "\n".join(filter(None, (played, f"Level: {'; '.join(levels)}." if levels else "")))
