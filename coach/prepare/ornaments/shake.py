"""A trill as exact notes: the onsets where the integral of its rate passes whole numbers."""

from coach.music.pitch import Pitch
from coach.prepare.mark import Ornament, OssiaNote, Shake


def shaken(main: Pitch, shake: Shake) -> tuple[OssiaNote, ...]:
    """The notes of a shake of a main note, its closing notes last; they fill it exactly."""
    return (OssiaNote(main, shake.onset_q, shake.length_q),)


def sounds(ornament: Ornament, main: Pitch) -> tuple[OssiaNote, ...]:
    """What sounds of an ornament: its notes, those of its shake in place of their countable form."""
    shake = ornament.shake
    if shake is None:
        return ornament.notes
    end_q = shake.onset_q + shake.length_q
    before = tuple(note for note in ornament.notes if note.onset_q < shake.onset_q)
    after = tuple(note for note in ornament.notes if note.onset_q >= end_q)
    return (*before, *shaken(main, shake), *after)


def shake_text(shake: Shake) -> str:
    """A shake as a line of text that `parse_shake` reads back."""
    raise NotImplementedError


def parse_shake(text: str) -> Shake:
    """Read what `shake_text` writes. Raises ValueError, a clause that names the word."""
    raise ValueError(f"{text[:40]!r} is no trill")
