"""The keys of a place in words, from the one table."""

from collections.abc import Mapping

from coach.screen.actions import commands_of, key_words

CAUTIONS = (
    "Pain means stop. Rest five minutes in each half hour. Dizzy means stop and sit down. Keep headphones low. "
    "A teacher or a clinician outranks this program."
)


def help_text(place: str, keys: Mapping[str, str]) -> str:
    """One line a key, those of this place first; then how they can be changed, and the cautions."""
    commands = commands_of(place)
    width = max(len(key_words(keys[command.id])) for command in commands)
    here = [c for c in commands if c.places]
    everywhere = [c for c in commands if not c.places]
    lines = [f"  {key_words(keys[c.id]):<{width}}  {c.words}" for c in here]
    lines += ["", "Everywhere"]
    lines += [f"  {key_words(keys[c.id]):<{width}}  {c.words}" for c in everywhere]
    lines += [f"  {'ctrl+p':<{width}}  everything by name (the palette)"]
    lines += [f"  {'ctrl+c':<{width}}  stop the sound; twice: leave", ""]
    lines += ["Every key can be changed in Setup; a pedal counts as a key.", "", CAUTIONS]
    return "\n".join(lines)
