"""coach today: the plan for the minutes there are."""

import argparse

from coach.cli.document import json_option
from coach.cli.values import day, minutes


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("today", help="the plan for the minutes there are")
    parser.add_argument("--minutes", type=minutes, default=30, metavar="N", help="how long there is (30)")
    parser.add_argument("--on", type=day, metavar="DATE", help="another day, such as 2026-03-14")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    import json

    from coach.lesson.desk import Desk
    from coach.lesson.today import today

    plan = today(Desk.open(), options.minutes, options.on)
    if options.json:
        print(json.dumps(plan.document(), ensure_ascii=False, indent=1))
        return 0
    if not plan.items:
        print("The stand is empty; `coach demo` puts the demo piece on it, `coach add FILE` one of yours.")
    for item in plan.items:
        tempo = f" from {item.beat} = {item.tempo:g}" if item.tempo else ""
        print(f"{item.minutes:>3} min  {item.name or item.kind}{tempo}\n         {item.because}")
    return 0
