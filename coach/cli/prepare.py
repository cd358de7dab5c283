"""coach prepare: the part note by note, the fingerings planned for it, its marks and what was not understood."""

import argparse
import sys
from typing import TYPE_CHECKING, Any, NamedTuple

from coach.cli.document import fraction, json_option, print_json
from coach.cli.options import hands_options, source_options
from coach.cli.values import per_cent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from coach.cli.source import Chosen
    from coach.lesson.desk import Desk
    from coach.music.measure import Measure
    from coach.music.note import Note
    from coach.music.part import Part
    from coach.music.piece import Piece
    from coach.music.pitch import Pitch
    from coach.prepare.fingering import Hands
    from coach.prepare.mark import Mark
    from coach.prepare.prep import Prep


class Prepared(NamedTuple):  # a dataclass would make `coach --help` half as slow again
    """What was computed and read: the marks, and the fingering of each note (None where there is no chart)."""

    prep: "Prep"
    hands: "Hands | None"
    slides: tuple[str, ...] = ()


MOST_HARD = 5  # changes told at the end; the Stand has more


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "prepare", help="plan the fingerings of a part, and show it with its marks and what was not understood"
    )
    source_options(parser)
    parser.add_argument("--measures", metavar="A-B", help="only these measures; otherwise the cut")
    parser.add_argument("--fingering", action="store_true", help="only the fingerings")
    parser.add_argument(
        "--percent", type=per_cent, default=100.0, metavar="P", help="per cent of the performance tempo to plan for"
    )
    hands_options(parser)
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.source import choose
    from coach.lesson.desk import Desk
    from coach.lesson.fingering import KINDS
    from coach.prepare.over import measure_of

    desk = Desk.open()
    chosen = choose(desk, options)
    done = _prepared(desk, chosen, options)
    measures = chosen.piece.measures(chosen.span)
    here = {measure.id for measure in measures}
    marks = [mark for mark in done.prep.marks if measure_of(mark.at) in here]
    if options.fingering:
        marks = [mark for mark in marks if mark.kind in KINDS]
    if options.json:
        print_json("coach.prep/1", _document(chosen, measures, marks, done))
    else:
        span = f"measures {measures[0].id}-{measures[-1].id}"
        print(f"{chosen.piece.title}: {chosen.piece.part.name}, {span}, {chosen.tempo.name}")
        marked = {measure_of(mark.at) for mark in marks}
        shown = [measure for measure in measures if measure.id in marked] if options.fingering else measures
        _print(chosen, shown, marks, done)
        if options.fingering and done.hands is not None:
            _print_hardest(chosen, done.hands)
    return 0


def _prepared(desk: "Desk", chosen: "Chosen", options: argparse.Namespace) -> Prepared:
    """The marks with the fingerings planned anew; those of a piece on the stand are saved. Raises StoreError, and
    RequestError where fingerings were asked for and there is no chart."""
    from coach.cli.marks import tell_faults
    from coach.errors import RequestError
    from coach.lesson.fingering import Wanted, piece_hands, problems_told, slides_told, suggest, with_suggestions
    from coach.lesson.marking import Marks, marks_of, open_pencil
    from coach.prepare.prep import Prep

    known, piece = chosen.set_piece, chosen.piece
    read = marks_of(desk, known, piece) if known else Marks(Prep())
    tell_faults(read.faults)
    wanted = Wanted(options.instrument, True if options.left_eflat_lever else None, options.percent / 100)
    try:
        hands = piece_hands(desk, piece, read.prep, tempo=chosen.tempo, set_piece=known, wanted=wanted)
    except RequestError as error:
        if options.fingering:
            raise
        print(f"coach: {error}", file=sys.stderr)
        return Prepared(read.prep, None)
    tell_faults(problems_told(hands))
    slides = slides_told(desk, piece, hands, wanted, known)
    if known is None:
        return Prepared(with_suggestions(read.prep, hands, wanted), hands, slides)
    pencil = open_pencil(desk, known, piece)
    count = suggest(pencil, hands, wanted)
    if count and not options.json:
        print(f"coach: {count} fingerings are suggested among the marks of {known.title}.", file=sys.stderr)
    return Prepared(pencil.prep, hands, slides)


def _document(
    chosen: "Chosen", measures: "Sequence[Measure]", marks: "Sequence[Mark]", done: Prepared
) -> dict[str, Any]:
    from coach.cli.marks import mark_document

    piece = chosen.piece
    return {
        "piece": _piece(piece),
        "notes": [row for measure in measures for note in measure.notes for row in _rows(note, piece.part)],
        "marks": [mark_document(mark) for mark in marks],
        "fingerings": _fingerings(measures, done.hands),
        "unplaced": [mark_document(mark) for mark in done.prep.unplaced],
        "notices": [{"text": n.text, "where": n.where, "count": n.count} for n in piece.notices],
    }


def _fingerings(measures: "Sequence[Measure]", hands: "Hands | None") -> list[dict[str, Any]]:
    """The choice at each note that begins to sound, those not worth a mark among them."""
    from coach.cli.fingering import note_document
    from coach.prepare.over import measure_of

    here = {measure.id for measure in measures}
    found = [note for note in hands.notes if measure_of(note.at) in here] if hands else []
    chart = hands.search.planner.chart if hands else None
    return [
        {"at": note.at, **note_document(note, chart), "alternatives": list(note.alternatives), "forced": note.forced}
        for note in found
        if chart is not None
    ]


def _print(chosen: "Chosen", measures: "Sequence[Measure]", marks: "Sequence[Mark]", done: Prepared) -> None:
    from dataclasses import replace

    from coach.prepare.over import measure_of
    from coach.prepare.words import mark_words

    piece = chosen.piece
    for measure in measures:
        print(f"{measure.id:>5}  {', '.join(_word(note) for note in measure.notes)}")
        for mark in marks:
            if measure_of(mark.at) == measure.id:
                why = f": {mark.because}" if mark.origin == "computed" and mark.because else ""
                print(f"{'':7}{mark_words(mark, piece.part)}{why}")
    for slide in done.slides:
        print(slide)
    gone = replace(piece.part, measures=())  # their ids count in an older score; here they name other notes
    for mark in done.prep.unplaced:
        print(f"Without a place in this score: {mark_words(mark, gone)}")
    for notice in piece.notices:
        times = f" ({notice.count} times)" if notice.count > 1 else ""
        print(f"Not understood: {notice.text}{f', {notice.where}' if notice.where else ''}{times}")


def _print_hardest(chosen: "Chosen", hands: "Hands") -> None:
    from coach.lesson.hardest import change_told, hardest

    found = hardest(chosen.piece, hands, MOST_HARD, chosen.span)
    if found:
        print("The hardest changes:")
    for one in found:
        print(f"{'':7}{change_told(one)}")


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
