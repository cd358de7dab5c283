"""coach where: every path the program uses."""

import argparse

from coach.cli.document import json_option, print_json


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("where", help="print every path the program uses")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.paths import locate

    paths = locate()
    named = {
        "practice log": paths.log,
        "scores": paths.scores,
        "marks": paths.preps,
        "settings": paths.settings,
        "readings (a cache)": paths.readings,
        "engravings (a cache)": paths.engraving,
        "drills (a cache)": paths.drills,
        "sound messages": paths.engine_log,
    }
    if options.json:
        print_json("coach.where/1", {"paths": {name: str(path) for name, path in named.items()}})
    else:
        for name, path in named.items():
            print(f"{name:22}{path}{'' if path.exists() else '  (not there yet)'}")
    return 0
