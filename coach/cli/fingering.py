"""coach fingering: how a few notes typed by hand are fingered, and why."""

import argparse
import sys
from typing import TYPE_CHECKING, Any

from coach.cli.document import fraction, json_option, print_json
from coach.cli.options import hands_options
from coach.cli.values import quarters_per_minute

if TYPE_CHECKING:
    from collections.abc import Iterator

    from coach.instruments.chart import Chart
    from coach.lesson.fingering import FewNotes
    from coach.prepare.fingering import Fingered
    from coach.screen.view.glyphs import Glyphs

_TEMPO = 60.0


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("fingering", help="finger a few notes typed by hand, and tell why")
    parser.add_argument(
        "notes", metavar="NOTES", help='such as "G#3 F#3:2 E#3": a length in quarters after a colon, r for a rest'
    )
    parser.add_argument(
        "--tempo",
        type=quarters_per_minute,
        default=_TEMPO,
        metavar="N",
        help=f"quarters a minute; {_TEMPO:g} if not given",
    )
    parser.add_argument("--tongued", action="store_true", help="each note tongued; otherwise all are slurred")
    hands_options(parser)
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.lesson.desk import Desk
    from coach.lesson.fingering import Wanted, few_hands, problems_told

    wanted = Wanted(options.instrument, True if options.left_eflat_lever else None)
    done = few_hands(Desk.open(), options.notes, per_minute=options.tempo, joined=not options.tongued, wanted=wanted)
    for fault in (*(f"{one.fault}." for one in done.typed if one.fault), *problems_told(done.hands)):
        print(f"coach: {fault}", file=sys.stderr)
    if options.json:
        plan = done.hands.plan
        rows = [_row(note, done) for note in done.hands.notes]
        told = {
            "cost": round(plan.cost, 3),
            "slides": len(plan.slides),
            "remedies": [one.says for one in done.remedies],
        }
        print_json("coach.fingering/1", {"notes": rows, **told})
        return 0
    print("\n".join(_lines(done, options)))
    return 0


def _row(note: "Fingered", done: "FewNotes") -> dict[str, Any]:
    step, ways = note.chosen.step, note_document(note, done.chart)
    because = done.hands.because(note)
    return {"written": step.name, "midi": int(step.midi), **ways, "because": because}


def note_document(note: "Fingered", chart: "Chart") -> dict[str, Any]:
    """A note's fingering in a document; `then` and `when` (quarters from its onset) are those of a change while it is
    held."""
    way, when_q = note.chosen.way, note.chosen.when_q
    return {
        "choice": note.chosen.choice,
        "controls": in_order(chart, way.start.controls) if way else [],
        "then": in_order(chart, way.end.controls) if way and way.swaps else None,
        "when": fraction(when_q) if when_q is not None else None,
    }


def in_order(chart: "Chart", controls: frozenset[str]) -> list[str]:
    """Controls in the order of the chart."""
    return [one.id for one in chart.controls if one.id in controls]


def _lines(done: "FewNotes", options: argparse.Namespace) -> "Iterator[str]":
    import shutil
    from textwrap import wrap

    from coach.lesson.fingering import slide_words
    from coach.screen.view.glyphs import glyphs_for

    glyphs = glyphs_for(sys.stdout.encoding)
    width = max(shutil.get_terminal_size().columns - 1, 40)
    joined = "tongued" if options.tongued else "slurred"
    yield f"{done.chart.name}, quarter = {options.tempo:g}, {joined}"
    for note in done.hands.notes:
        yield f"{note.chosen.step.name:<5} {note.chosen.choice:<8} {_hands(note, done.chart, glyphs)}".rstrip()
        if note.alternatives or note.chosen.way is None:
            yield from wrap(_reason(note, done), width, initial_indent=" " * 15, subsequent_indent=" " * 15)
    yield from slide_words(done.hands, done.remedies) or ("No finger slides from key to key under a slur.",)


def _reason(note: "Fingered", done: "FewNotes") -> str:
    from coach.prepare.fingering import change_words

    return " ".join(filter(None, (done.hands.because(note), change_words(note, done.chart))))


def _hands(note: "Fingered", chart: "Chart", glyphs: "Glyphs") -> str:
    from coach.screen.view.hand import hand_line, keys_told

    way = note.chosen.way
    if way is None:
        return ""
    then = f", then {keys_told(chart, way.end.controls)}" if way.swaps else ""
    return f"{hand_line(chart, way.start.controls, glyphs)}{then}"
