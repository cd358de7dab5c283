"""coach prepare: the part note by note, what is suggested for it and why, its marks and what was not understood."""

import argparse
import sys
from typing import TYPE_CHECKING, Any

from coach.cli.document import fraction, json_option, print_json
from coach.cli.options import STYLES, hands_options, source_options
from coach.cli.values import per_cent

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from coach.cli.source import Chosen
    from coach.lesson.prepared import Asked, Prepared
    from coach.music.measure import Measure
    from coach.music.note import Note
    from coach.music.part import Part
    from coach.music.piece import Piece
    from coach.music.pitch import Pitch
    from coach.prepare.fingering import Hands
    from coach.prepare.mark import Mark

MOST_HARD = 5  # changes told at the end; the Stand has more
# Those of coach.prepare.reminders, which a help page must not wait for.
DENSITIES = ("sparing", "usual", "full")
# The options that narrow, with the kinds of marks that they keep and what these are called.
NARROWING = {
    "fingering": (("fingering", "swap"), "fingerings"),
    "ornaments": (("ornament",), "ornaments"),
    "dynamics": (("dynamic",), "dynamics"),
    "reminders": (("reminder",), "reminders"),
}


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "prepare", help="decide on fingerings, ornaments, dynamics and reminders, and show the part with its marks"
    )
    source_options(parser)
    parser.add_argument("--measures", metavar="A-B", help="only these measures; otherwise the cut")
    for name, (_, called) in NARROWING.items():
        parser.add_argument(f"--{name}", action="store_true", help=f"only the {called}, and others named so")
    parser.add_argument("--style", choices=STYLES, default="", help="how ornaments are played; otherwise as before")
    parser.add_argument("--density", choices=DENSITIES, default="", help="how many reminders; otherwise as before")
    parser.add_argument("--plain", action="store_true", help="as printed: no shaping and no ornaments")
    parser.add_argument(
        "--percent", type=per_cent, default=100.0, metavar="P", help="per cent of the performance tempo to plan for"
    )
    hands_options(parser)
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.marks import tell_faults
    from coach.cli.source import choose
    from coach.lesson.desk import Desk
    from coach.lesson.prepared import prepared
    from coach.prepare.over import measure_of

    desk = Desk.open()
    chosen = choose(desk, options)
    asked = _asked(options)
    done = prepared(desk, chosen.piece, asked, tempo=chosen.tempo, set_piece=chosen.set_piece)
    tell_faults(done.faults)
    narrow = _narrowed(options)
    measures = chosen.piece.measures(chosen.span)
    here = {measure.id for measure in measures}
    marks = [mark for mark in done.prep.marks if measure_of(mark.at) in here]
    if narrow:
        marks = [mark for mark in marks if mark.kind in asked.kinds]
    if options.json:
        print_json("coach.prep/1", _document(chosen, measures, marks, done))
        return 0
    _tell_waiting(chosen, options, done)
    print(f"{chosen.piece.title}: {chosen.piece.part.name}, {_span(measures)}, {chosen.tempo.name}")
    marked = {measure_of(mark.at) for mark in marks}
    shown = [measure for measure in measures if measure.id in marked] if narrow else measures
    _print(chosen, shown, marks, done)
    if narrow and done.hands is not None:
        _print_hardest(chosen, done.hands)
    return 0


def _narrowed(options: argparse.Namespace) -> list[str]:
    """The options given that narrow."""
    return [name for name in NARROWING if getattr(options, name)]


def _asked(options: argparse.Namespace) -> "Asked":
    from coach.lesson.fingering import Wanted
    from coach.lesson.prepared import Asked

    kinds = tuple(kind for name in _narrowed(options) or NARROWING for kind in NARROWING[name][0])
    wanted = Wanted(options.instrument, True if options.left_eflat_lever else None, options.percent / 100)
    return Asked(kinds, wanted, options.style, options.density, options.plain)


def _tell_waiting(chosen: "Chosen", options: argparse.Namespace, done: "Prepared") -> None:
    """Tell what is suggested among the marks of a piece on the stand."""
    if chosen.set_piece is None:
        return
    counts = [(done.waiting(NARROWING[name][0]), NARROWING[name][1]) for name in _narrowed(options) or NARROWING]
    said = [f"{count} {called.removesuffix('s') if count == 1 else called}" for count, called in counts if count]
    if said:
        listed = " and ".join(filter(None, (", ".join(said[:-1]), said[-1])))
        verb = "is" if len(said) == 1 and said[0].startswith("1 ") else "are"
        print(f"coach: {listed} {verb} suggested among the marks of {chosen.set_piece.title}.", file=sys.stderr)


def _document(
    chosen: "Chosen", measures: "Sequence[Measure]", marks: "Sequence[Mark]", done: "Prepared"
) -> dict[str, Any]:
    from coach.cli.marks import level_documents, mark_document

    piece = chosen.piece
    here = {measure.id for measure in measures}
    return {
        "piece": _piece(piece),
        "notes": [row for measure in measures for note in measure.notes for row in _rows(note, piece.part)],
        "marks": [
            *(mark_document(mark, piece.part, done.ways.get(mark.at, ())) for mark in marks),
            *level_documents(done.line, here),
        ],
        "fingerings": _fingerings(here, done.hands),
        "unplaced": [mark_document(mark) for mark in done.prep.unplaced],
        "notices": [{"text": n.text, "where": n.where, "count": n.count} for n in piece.notices],
    }


def _fingerings(here: "Collection[str]", hands: "Hands | None") -> list[dict[str, Any]]:
    """The choice at each note of some measures that begins to sound, those not worth a mark among them."""
    from coach.cli.fingering import note_document
    from coach.prepare.over import measure_of

    found = [note for note in hands.notes if measure_of(note.at) in here] if hands else []
    chart = hands.search.planner.chart if hands else None
    return [
        {"at": note.at, **note_document(note, chart), "alternatives": list(note.alternatives), "forced": note.forced}
        for note in found
        if chart is not None
    ]


def _span(measures: "Sequence[Measure]") -> str:
    return f"measures {measures[0].id}-{measures[-1].id}"


def _print(chosen: "Chosen", measures: "Sequence[Measure]", marks: "Sequence[Mark]", done: "Prepared") -> None:
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
