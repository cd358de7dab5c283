"""coach play: sound a stretch from the command line."""

import argparse
import sys
from typing import TYPE_CHECKING

from coach.cli.options import source_options, stretch_options

if TYPE_CHECKING:
    from coach.lesson.playing import Playing


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("play", help="sound a stretch at any tempo")
    source_options(parser)
    stretch_options(parser)
    parser.add_argument("--loop", action="store_true", help="again and again, until Ctrl-C")
    parser.add_argument("--rest", type=int, choices=range(9), default=0, metavar="N", help="measures between the laps")
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from dataclasses import replace

    from coach.cli.source import take_of
    from coach.lesson.desk import Desk
    from coach.lesson.playing import Playing, open_player

    desk = Desk.open()
    take = take_of(desk, options)
    count_in = options.count_in if options.count_in is not None else take.click.count_in
    heard = options.click or bool(options.count_in)
    click = replace(take.click, on=heard, count_in=count_in)
    take = replace(take, click=click, loop=options.loop, rest_measures=options.rest)
    playing = Playing(open_player(desk))
    try:
        playing.start(take)
        _follow(playing)
    finally:
        playing.close()
    return 0


def _follow(playing: "Playing") -> None:
    """Tell on standard error which measure sounds and what goes wrong, until the end."""
    import time

    shown = ""
    while True:
        now = playing.now()
        for trouble in playing.troubles():
            print(f"coach: {trouble}", file=sys.stderr)
        if not now.playing:
            return
        if now.measure_id != shown and now.measure_id:
            shown = now.measure_id
            print(f"measure {shown}", file=sys.stderr)
        time.sleep(0.05)
