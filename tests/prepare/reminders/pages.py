"""Small parts in a key, for the tests of reminders."""

from dataclasses import replace

from coach.music.metre import Key
from coach.music.note import Note, Ornament
from coach.music.part import Part
from tests.prepare.factory import part


def keyed(fifths: int, *measures: str) -> Part:
    """A part of `factory.part` with a key signature throughout."""
    return in_keys((fifths,) * len(measures), *measures)


def in_keys(fifths: tuple[int, ...], *measures: str) -> Part:
    """A part of `factory.part` with a key signature for each measure."""
    made = part(*measures)
    keys = [replace(one, key=Key(count)) for one, count in zip(made.measures, fifths, strict=True)]
    return replace(made, measures=tuple(keys))


def changed(page: Part, note_id: str, **fields: object) -> Part:
    """The part with other fields of one note."""

    def new(note: Note) -> Note:
        return replace(note, **fields) if note.id == note_id else note  # type: ignore[arg-type]

    measures = (replace(one, notes=tuple(map(new, one.notes))) for one in page.measures)
    return replace(page, measures=tuple(measures))


def trilled(page: Part, note_id: str, kind: str, *accidentals: tuple[str, str]) -> Part:
    """The part with an ornament printed at a note."""
    return changed(page, note_id, ornaments=(Ornament(kind, accidentals),))
