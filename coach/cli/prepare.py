"""coach prepare: the part as it was read, note by note, with its marks and what was not understood."""

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from coach.cli.document import fraction, json_option, print_json
from coach.cli.options import source_options

if TYPE_CHECKING:
    from coach.music.note import Note
    from coach.music.part import Part
    from coach.music.piece import Piece
    from coach.music.pitch import Pitch


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("prepare", help="show how the part was read, its marks, and what was not understood")
    source_options(parser)
    parser.add_argument("--measures", metavar="A-B", help="only these measures; otherwise the cut")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.marks import mark_document, tell_faults
    from coach.cli.source import choose
    from coach.lesson.desk import Desk
    from coach.lesson.marking import Marks, marks_of
    from coach.prepare.over import measure_of
    from coach.prepare.prep import Prep
    from coach.prepare.words import mark_words

    desk = Desk.open()
    chosen = choose(desk, options)
    piece, measures = chosen.piece, chosen.piece.measures(chosen.span)
    read = marks_of(desk, chosen.set_piece, piece) if chosen.set_piece else Marks(Prep())
    tell_faults(read.faults)
    prep = read.prep
    here = {measure.id for measure in measures}
    marks = [mark for mark in prep.marks if measure_of(mark.at) in here]
    if options.json:
        print_json(
            "coach.prep/1",
            {
                "piece": _piece(chosen.piece),
                "notes": [row for measure in measures for note in measure.notes for row in _rows(note, piece.part)],
                "marks": [mark_document(mark) for mark in marks],
                "unplaced": [mark_document(mark) for mark in prep.unplaced],
                "notices": [{"text": n.text, "where": n.where, "count": n.count} for n in piece.notices],
            },
        )
        return 0
    print(f"{piece.title}: {piece.part.name}, measures {measures[0].id}-{measures[-1].id}, {chosen.tempo.name}")
    for measure in measures:
        print(f"{measure.id:>5}  {', '.join(_word(note) for note in measure.notes)}")
        for mark in marks:
            if measure_of(mark.at) == measure.id:
                print(f"{'':7}{mark_words(mark, piece.part)}")
    gone = replace(piece.part, measures=())  # their ids count in an older score; here they name other notes
    for mark in prep.unplaced:
        print(f"Without a place in this score: {mark_words(mark, gone)}")
    for notice in piece.notices:
        times = f" ({notice.count} times)" if notice.count > 1 else ""
        print(f"Not understood: {notice.text}{f', {notice.where}' if notice.where else ''}{times}")
    return 0


def _piece(piece: "Piece") -> dict[str, Any]:
    part = piece.part
    return {
        "title": piece.title,
        "composer": piece.composer,
        "part": part.name,
        "others": [other.name for other in piece.others],
        "transposition": part.transposition.semitones,
        "score_hash": piece.score_hash,
    }


def _rows(note: "Note", part: "Part") -> list[dict[str, Any]]:
    if note.pitch is None:
        return []
    before = [_row(grace.id, grace.pitch, note, part, "before") for grace in note.graces]
    after = [_row(grace.id, grace.pitch, note, part, "after") for grace in note.after_graces]
    return [*before, _row(note.id, note.pitch, note, part, None), *after]


def _row(id_: str, pitch: "Pitch", note: "Note", part: "Part", grace: str | None) -> dict[str, Any]:
    """A note of the document; a grace takes no time on the page and stands at its main note, or at its end."""
    return {
        "id": id_,
        "measure": note.measure,
        "beat": fraction(note.beat),
        "written": pitch.name,
        "midi": pitch.midi,
        "sounding": pitch.midi + part.transposition_at(note.onset_q).semitones,
        "plain": pitch.plain.name,
        "onset": fraction(note.end_q if grace == "after" else note.onset_q),
        "duration": "0" if grace else fraction(note.length_q),
        "grace": grace,
        "tie": None if grace else note.tie,
    }


def _word(note: "Note") -> str:
    length = note.value.name if note.value else f"{note.length_q} quarters"
    return f"{note.pitch.name if note.pitch else 'rest'} {length}"
