"""Notes written out, as a line of text: "@3/2 Db5:1/2 Eb5:1/4 r:1/4"."""

from collections.abc import Iterable
from fractions import Fraction

from coach.music.pitch import Pitch, parse_pitch
from coach.music.rhythm import beat_unit
from coach.prepare.mark import OssiaNote

MOST_NOTES = 500
LARGEST = 10_000  # quarters, and the greatest lower number of a fraction
_LONGEST_NUMBER = 24


def ossia_text(notes: Iterable[OssiaNote], at_q: Fraction = Fraction(0)) -> str:
    """Notes as "pitch:length" in quarters, "r" for a rest. Each begins where the one before ended, the first at `at_q`
    from the start of the measure; "@3/2" before a note sets another place."""
    words = []
    for note in notes:
        if note.onset_q != at_q:
            words.append(f"@{note.onset_q}")
        words.append(f"{note.pitch.name if note.pitch else 'r'}:{note.length_q}")
        at_q = note.onset_q + note.length_q
    return " ".join(words)


def parse_ossia(text: str, at_q: Fraction = Fraction(0), origin_q: Fraction = Fraction(0)) -> tuple[OssiaNote, ...]:
    """Read what `ossia_text` writes; "@" counts from `origin_q`. Raises ValueError, naming the word."""
    notes: list[OssiaNote] = []
    for word in text.split():
        if len(notes) == MOST_NOTES:
            raise ValueError(f"it has more than {MOST_NOTES} notes")
        if word.startswith("@"):
            at_q = origin_q + parse_quarters(word[1:])
            continue
        name, colon, length = word.partition(":")
        if not colon:
            raise ValueError(f"{word!r} has no length; write it like Db5:eighth")
        pitch = None if name == "r" else parse_written(name)
        notes.append(OssiaNote(pitch, at_q, parse_length(length)))
        at_q += notes[-1].length_q
    if not notes:
        raise ValueError("it has no notes; write them like Db5:1/2 Eb5:1/4 r:1/4")
    return tuple(notes)


def parse_written(name: str) -> Pitch:
    """A pitch that can be written on a staff: at most a double accidental, octaves from 0 to 9. Raises ValueError."""
    pitch = parse_pitch(name[:8])
    if len(name) > 8 or abs(pitch.alter) > 2 or not 0 <= pitch.octave <= 9:
        raise ValueError(f"{name[:8]!r} is no pitch of a staff; write it like C#5, Bb4 or F##4")
    return pitch


def parse_length(text: str) -> Fraction:
    """A length in quarters, more than 0. Raises ValueError."""
    length = parse_quarters(text)
    if length <= 0:
        raise ValueError(f"{text!r} is no length; it must be more than 0 quarters")
    return length


def parse_quarters(text: str) -> Fraction:
    """A number of quarters, such as "2", "1/2" or "0.25", or the name of a note value, "eighth", "dotted-eighth".
    Raises ValueError."""
    text = text.strip()
    named_q = _named_q(text)
    if named_q is not None:
        return named_q
    try:
        value = Fraction(text) if text.isascii() and len(text) <= _LONGEST_NUMBER and "e" not in text.lower() else None
    except (ValueError, ZeroDivisionError):
        value = None
    if value is None or abs(value) > LARGEST or value.denominator > LARGEST:
        raise ValueError(f"{text[:_LONGEST_NUMBER]!r} is no number of quarters; write it like 2 or 1/2")
    return value


def _named_q(text: str) -> Fraction | None:
    try:
        return beat_unit(text[:_LONGEST_NUMBER]).length_q
    except ValueError:
        return None
