"""A trill as a player types it: "2 to 9 steady", "8", "1 to 8 late, from upper, close Db5 Eb5 1/4".

What is left out is taken from the page: the other note from the sign's accidental, the measure or the key, the length
from the note with its ties, the closing notes from the graces that close it, as sixteenths or smaller.
"""

import re
from dataclasses import replace
from fractions import Fraction

from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import CURVES, Ornament, Shake
from coach.prepare.ornaments.countable import countable
from coach.prepare.ornaments.neighbour import neighbour
from coach.prepare.ornaments.shake import parse_shake
from coach.prepare.place import Place

_RATE = re.compile(rf"(\d[\d./]*(?:\s+to\s+\d[\d./]*)?)(?:\s+a\s+quarter)?(?:\s+({'|'.join(CURVES)}))?\s*(?:,(.*))?")


def is_typed_trill(text: str) -> bool:
    """Whether a text begins as a trill's rates do, and not as notes."""
    return _RATE.fullmatch(text.strip()) is not None


def typed_trill(text: str, style: str, part: Part, place: Place) -> Ornament:
    """The trill of a note. Raises ValueError, a clause that names what is wrong."""
    said = _RATE.fullmatch(text.strip())
    if said is None:
        raise ValueError(f"{text[:40]!r} is no trill")
    main, chain = place.note.pitch, _chain(part, place.note)
    if main is None or place.grace:
        raise ValueError("a trill needs a note with a length")
    length_q = chain[-1].end_q - place.note.onset_q
    rates, curve, more = " ".join(said[1].split()), said[2], said[3]
    given = [" ".join(one.split()) for one in more.split(",")] if more else []
    if not any(one.startswith("with ") for one in given):
        other = neighbour(place.measure, place.note, upper=True, ornaments=place.note.ornaments)
        given.append(f"with {other.name if other else main.name}")
    parts = [f"{rates} a quarter", *([curve] if curve else []), *given, f"at {place.onset_q} for {length_q}"]
    shake = parse_shake(", ".join(parts))
    if not shake.close:
        shake = _closed(shake, _closing(part, chain))
    beats = place.measure.metre.beat_onsets_q(place.onset_q + length_q) if place.measure.metre else ()
    return Ornament(countable(main, shake, beats), "trill", style, shake)


def _closed(shake: Shake, close: tuple[Pitch, ...]) -> Shake:
    """With the closing notes of the page, in sixteenths or smaller, within half of the trill."""
    if not close:
        return shake
    close_q = Fraction(1, 4)
    while close_q * len(close) > shake.length_q / 2:
        close_q /= 2
    return replace(shake, close=close, close_q=close_q)


def _closing(part: Part, chain: tuple[Note, ...]) -> tuple[Pitch, ...]:
    """The graces that close a trill: those printed after it, or two or more of the next note, from the lower
    neighbour."""
    last = chain[-1]
    if last.after_graces:
        return tuple(grace.pitch for grace in last.after_graces)
    after = next((note for note in part.notes() if note.onset_q >= last.end_q), None)
    graces = after.graces if after is not None else ()
    main = last.pitch
    if main is None or len(graces) < 2 or graces[0].pitch.diatonic != main.diatonic - 1:
        return ()
    return tuple(grace.pitch for grace in graces)


def _chain(part: Part, note: Note) -> tuple[Note, ...]:
    """A note with those tied to it."""
    chain = [note]
    for later in part.pitched():
        if later.onset_q == chain[-1].end_q and later.tie in ("continue", "stop"):
            chain.append(later)
    return tuple(chain)
