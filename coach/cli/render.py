"""coach render: write what would sound to MIDI and WAV files, or print it."""

import argparse
import sys

from coach.cli.document import json_option
from coach.cli.options import source_options, stretch_options


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("render", help="write a stretch to MIDI and WAV files")
    source_options(parser)
    stretch_options(parser)
    parser.add_argument("--midi", metavar="FILE", help="write a Standard MIDI File")
    parser.add_argument("--wav", metavar="FILE", help="write a sound file")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.source import take_of
    from coach.errors import RequestError
    from coach.lesson.desk import Desk
    from coach.lesson.rendering import document, write_midi, write_wav

    if not (options.midi or options.wav or options.json):
        raise RequestError("There is nothing to write; give --midi FILE, --wav FILE or --json.")
    desk = Desk.open()
    take = take_of(desk, options)
    count_in = options.count_in or 0
    if options.midi:
        write_midi(desk, take, options.midi, click=options.click, count_in=count_in)
        print(f"Written: {options.midi}", file=sys.stderr)
    if options.wav:
        write_wav(desk, take, options.wav, click=options.click, count_in=count_in)
        print(f"Written: {options.wav}", file=sys.stderr)
    if options.json:
        import json

        print(json.dumps(document(take, click=options.click, count_in=count_in), ensure_ascii=False, indent=1))
    return 0
