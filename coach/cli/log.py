"""coach log: the whole practice log out as JSON lines, and back in."""

import argparse
import sys

from coach.cli.document import json_option, print_json
from coach.errors import StoreError


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("log", help="export the practice log as JSON lines, or import one")
    actions = parser.add_subparsers(title="actions", metavar="ACTION", required=True)
    export = actions.add_parser("export", help="write the whole log as JSON lines")
    export.add_argument("file", nargs="?", default="-", help="where to; standard output if not given")
    export.set_defaults(run=_export)
    take = actions.add_parser("import", help="merge an exported log into this one; nothing is ever doubled")
    take.add_argument("file", nargs="?", default="-", help="where from; standard input if not given")
    json_option(take)
    take.set_defaults(run=_import)


def _export(options: argparse.Namespace) -> int:
    import io
    from pathlib import Path

    from coach.lesson.desk import Desk
    from coach.whole_file import write_whole

    log = Desk.open().log
    if options.file == "-":
        log.export(sys.stdout)
        return 0
    text = io.StringIO()
    count = log.export(text)
    write_whole(Path(options.file), text.getvalue().encode("utf-8"))
    print(f"{count} entries written to {options.file}.", file=sys.stderr)
    return 0


def _import(options: argparse.Namespace) -> int:
    from coach.lesson.desk import Desk

    log = Desk.open().log
    if options.file == "-":
        merged = log.merge(sys.stdin, "standard input")
    else:
        try:
            with open(options.file, encoding="utf-8") as stream:
                merged = log.merge(stream, options.file)
        except OSError as error:
            raise StoreError(f"{options.file} cannot be read ({error.strerror}); check its name and place.") from error
        except UnicodeDecodeError as error:
            raise StoreError(
                f"{options.file} is no exported log (it is not UTF-8 text); choose another file."
            ) from error
    if options.json:
        print_json("coach.merged/1", {"added": merged.added, "known": merged.known})
    else:
        print(f"{merged.added} entries added, {merged.known} were there already.")
    return 0
