"""What commands print: one JSON document, or plain lines."""

import argparse
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fractions import Fraction

    from coach.music.tempo import Tempo


def json_option(parser: argparse.ArgumentParser) -> None:
    """The option that asks for one JSON document on standard output."""
    parser.add_argument("--json", action="store_true", help="print one JSON document and nothing else")


def print_json(schema: str, body: Mapping[str, Any]) -> None:
    """Print a document with its schema's name and version."""
    import json  # deferred: a help page prints no document

    print(json.dumps({"schema": schema, **body}, ensure_ascii=False, indent=1))


def printable(sign: str, plain: str) -> str:
    """A sign, or its plain stand-in where standard output's encoding lacks it."""
    try:
        sign.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return plain
    return sign


def fraction(value: "Fraction") -> str:
    """A fraction as "p/q", or "p" for a whole number."""
    return str(value)


def tempo(value: "Tempo") -> dict[str, Any]:
    """A tempo as a document gives it."""
    return {"per_minute": float(value.per_minute), "beat": value.beat.name}


def table(rows: list[tuple[str, ...]]) -> str:
    """Rows as aligned columns."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))] if rows else []
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in rows)
