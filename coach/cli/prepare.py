"""coach prepare: the part note by note, what is suggested for it and why, its marks and what was not understood."""

import argparse
import sys
from typing import TYPE_CHECKING, Any

from coach.cli.document import fraction, json_option, print_json
from coach.cli.options import STYLES, hands_options, source_options
from coach.cli.values import per_cent

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from coach.cli.breathing import Shown
    from coach.cli.source import Chosen
    from coach.instruments.air import Air
    from coach.lesson.breathing import Breaths
    from coach.lesson.desk import Desk
    from coach.lesson.prepared import Asked, Prepared
    from coach.music.measure import Measure
    from coach.music.note import Note
    from coach.music.part import Part
    from coach.music.piece import Piece
    from coach.music.pitch import Pitch
    from coach.prepare.fingering import Hands

MOST_HARD = 5  # changes told at the end; the Stand has more
# Those of coach.prepare.reminders, which a help page must not wait for.
DENSITIES = ("sparing", "usual", "full")
# The options that narrow, with the kinds of marks that they keep and what these are called.
NARROWING = {
    "fingering": (("fingering", "swap"), "fingerings"),
    "ornaments": (("ornament",), "ornaments"),
    "dynamics": (("dynamic",), "dynamics"),
    "reminders": (("reminder",), "reminders"),
    "breath": (("breath",), "breaths"),
}


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "prepare",
        help="decide on fingerings, ornaments, dynamics, reminders and breaths, and show the part with its marks",
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
    parser.add_argument("--air-litres", metavar="L", help="litres in one breath; otherwise as set up")
    parser.add_argument(
        "--air-flow", metavar="D=L,...", help="litres a second by dynamic, such as pp=0.10,p=0.13; otherwise as set up"
    )
    parser.add_argument(
        "--air-reserve", metavar="SHARE", help="the share of the litres that a loud note leaves; otherwise as set up"
    )
    hands_options(parser)
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.breathing import shown_with
    from coach.cli.marks import tell_faults
    from coach.cli.source import choose
    from coach.lesson.desk import Desk
    from coach.lesson.prepared import prepared
    from coach.prepare.over import measure_of

    desk = Desk.open()
    chosen = choose(desk, options)
    asked = _asked(desk, options)
    done = prepared(desk, chosen.piece, asked, tempo=chosen.tempo, set_piece=chosen.set_piece)
    tell_faults(done.faults)
    narrow = _narrowed(options)
    measures = chosen.piece.measures(chosen.span)
    here = {measure.id for measure in measures}
    marks = [mark for mark in done.prep.marks if measure_of(mark.at) in here]
    if narrow:
        marks = [mark for mark in marks if mark.kind in asked.kinds]
    shown = [
        one for one in shown_with(done.breaths, marks, done.prep, chosen.piece.part) if measure_of(one.mark.at) in here
    ]
    if options.json:
        lungs = _lungs(desk, options, done)
        print_json("coach.prep/1", {**_document(chosen, measures, shown, done), "lungs": lungs})
        return 0
    _tell_waiting(chosen, options, done)
    print(f"{chosen.piece.title}: {chosen.piece.part.name}, {_span(measures)}, {chosen.tempo.name}")
    marked = {measure_of(one.mark.at) for one in shown}
    _print(chosen, [measure for measure in measures if measure.id in marked] if narrow else measures, shown, done)
    if narrow and done.hands is not None:
        _print_hardest(chosen, done.hands)
    if done.breaths is not None:
        _print_breathing(done.breaths)
    return 0


def _narrowed(options: argparse.Namespace) -> list[str]:
    """The options given that narrow."""
    return [name for name in NARROWING if getattr(options, name)]


def _asked(desk: "Desk", options: argparse.Namespace) -> "Asked":
    from coach.lesson.fingering import Wanted
    from coach.lesson.prepared import Asked

    kinds = tuple(kind for name in _narrowed(options) or NARROWING for kind in NARROWING[name][0])
    wanted = Wanted(options.instrument, True if options.left_eflat_lever else None, options.percent / 100)
    return Asked(kinds, wanted, options.style, options.density, options.plain, _air(desk, options))


def _air(desk: "Desk", options: argparse.Namespace) -> "Air | None":
    """The air that the options give, None where it is that of the settings. Raises RequestError."""
    from coach.lesson.breathing import air_of

    if not _asks_air(options):
        return None
    return air_of(
        desk.settings.air,
        litres=_number(options.air_litres, "litres in one breath"),
        flows=options.air_flow or "",
        reserve=_number(options.air_reserve, "reserve"),
    )


def _asks_air(options: argparse.Namespace) -> bool:
    return any(one is not None for one in (options.air_litres, options.air_flow, options.air_reserve))


def _number(text: str | None, what: str) -> float | None:
    from coach.errors import RequestError

    try:
        return None if text is None else float(text)
    except ValueError:
        raise RequestError(f"{(text or '')[:40]!r} is no number for the {what}; give one such as 0.5.") from None


def _lungs(desk: "Desk", options: argparse.Namespace, done: "Prepared") -> dict[str, Any] | None:
    """The litres of one breath and where the figure is from; None where no breath was asked for."""
    from coach.lesson.breathing import usable_litres

    if done.breaths is None:
        return None
    source = "as asked" if options.air_litres is not None else usable_litres(desk.settings.air)[1]
    return {"litres": round(done.breaths.air.litres, 4), "from": source}


def _tell_waiting(chosen: "Chosen", options: argparse.Namespace, done: "Prepared") -> None:
    """Tell what is suggested among the marks of a piece on the stand."""
    if chosen.set_piece is None:
        return
    names = [*(_narrowed(options) or NARROWING)]
    if done.breaths is not None and (options.plain or _asks_air(options)):
        names.remove("breath")
        print(
            "coach: the breaths on the stand stay as they are, by your own air and the music as it is.", file=sys.stderr
        )
    counts = [(done.waiting(NARROWING[name][0]), NARROWING[name][1]) for name in names]
    said = [f"{count} {called.removesuffix('s') if count == 1 else called}" for count, called in counts if count]
    if said:
        listed = " and ".join(filter(None, (", ".join(said[:-1]), said[-1])))
        verb = "is" if len(said) == 1 and said[0].startswith("1 ") else "are"
        print(f"coach: {listed} {verb} suggested among the marks of {chosen.set_piece.title}.", file=sys.stderr)


def _mark(shown: "Shown", part: "Part", done: "Prepared") -> dict[str, Any]:
    from coach.cli.breathing import breath_fields
    from coach.cli.marks import mark_document

    found = mark_document(shown.mark, part, done.ways.get(shown.mark.at, ()))
    return {**found, **breath_fields(shown)} if shown.mark.kind == "breath" else found


def _document(
    chosen: "Chosen", measures: "Sequence[Measure]", shown: "Sequence[Shown]", done: "Prepared"
) -> dict[str, Any]:
    from coach.cli.breathing import air_documents
    from coach.cli.marks import level_documents, mark_document

    piece, plan = chosen.piece, done.breaths
    here = {measure.id for measure in measures}
    return {
        "piece": _piece(piece),
        "notes": [row for measure in measures for note in measure.notes for row in _rows(note, piece.part)],
        "marks": [
            *(_mark(one, piece.part, done) for one in shown),
            *level_documents(done.line, here),
        ],
        "fingerings": _fingerings(here, done.hands),
        "air": air_documents(plan, here) if plan else [],
        "troubles": list(plan.here.troubles) if plan else [],
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


def _print(chosen: "Chosen", measures: "Sequence[Measure]", shown: "Sequence[Shown]", done: "Prepared") -> None:
    from dataclasses import replace

    from coach.cli.breathing import told
    from coach.prepare.over import measure_of
    from coach.prepare.words import mark_words

    piece = chosen.piece
    for measure in measures:
        print(f"{measure.id:>5}  {', '.join(_word(note) for note in measure.notes)}")
        for one in shown:
            if measure_of(one.mark.at) == measure.id:
                print(f"{'':7}{told(one, piece.part)}")
    for slide in done.slides:
        print(slide)
    gone = replace(piece.part, measures=())  # their ids count in an older score; here they name other notes
    for mark in done.prep.unplaced:
        print(f"Without a place in this score: {mark_words(mark, gone)}")
    for notice in piece.notices:
        times = f" ({notice.count} times)" if notice.count > 1 else ""
        print(f"Not understood: {notice.text}{f', {notice.where}' if notice.where else ''}{times}")


def _print_breathing(plan: "Breaths") -> None:
    """What cannot work, and the caution."""
    from coach.prepare.breath.caution import CAUTION

    for trouble in plan.here.troubles:
        print(trouble)
    print(CAUTION)


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
