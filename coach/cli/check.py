"""coach check: what works here, and what to do about what does not."""

import argparse

from coach.cli.document import json_option, print_json, printable


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("check", help="look at sound, MIDI ports, terminal and files")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.lesson.check import check
    from coach.lesson.desk import Desk

    findings = check(Desk.open())
    if options.json:
        rows = [{"what": f.what, "works": f.works, "found": f.found, "remedy": f.remedy} for f in findings]
        print_json("coach.check/1", {"findings": rows})
        return 0
    for finding in findings:
        print(f"{printable('✓', '+') if finding.works else printable('✗', 'x')} {finding.what}: {finding.found}")
        if finding.remedy:
            print(f"    {finding.remedy}")
    return 0
