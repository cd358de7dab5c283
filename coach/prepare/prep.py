"""The prep: all marks of a piece, with what they were written over."""

from dataclasses import dataclass

from coach.prepare.mark import Mark


@dataclass(frozen=True, slots=True)
class Prep:
    """All marks of one part. `piece` is the id it has on the stand ("" for a part that was never added), `score_hash`
    the score that the note ids count in, `over` one text a measure of that score, `(measure id, its notes)`, by which
    marks find their notes again in a corrected one. `unplaced` are marks whose notes were not found there, with their
    old ids; `unplaced_over` keeps what those were written over, as (mark id, measure id, its notes). `settings` are
    those that computed marks were computed from, as (name, value)."""

    piece: str = ""
    title: str = ""
    score_hash: str = ""
    marks: tuple[Mark, ...] = ()
    unplaced: tuple[Mark, ...] = ()
    over: tuple[tuple[str, str], ...] = ()
    settings: tuple[tuple[str, str], ...] = ()
    unplaced_over: tuple[tuple[str, str, str], ...] = ()

    def at(self, note_id: str) -> tuple[Mark, ...]:
        """The marks at a note, struck ones too, in the order of the prep."""
        return tuple(mark for mark in self.marks if mark.at == note_id)

    @property
    def shown(self) -> tuple[Mark, ...]:
        """The marks that are not struck."""
        return tuple(mark for mark in self.marks if not mark.struck)
