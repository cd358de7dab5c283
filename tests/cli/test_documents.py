"""The documents of `--json` have the shapes that design.md section 6 promises to other programs.

The shapes are written out here by hand from that section. `today` carries two more keys than it names, `name` and
`beat`; `prep` carries `notices`, `air`, `troubles` and `lungs`, of each note `fingerings`, of an ornament `counted`,
`shake` and `alternatives`, of a reminder `of`; `fingering` carries `remedies` and, of a change on a held note, `then`
and `when`. An addition is allowed, a change is not.
"""

from fractions import Fraction
from typing import Any

import pytest

from tests.cli.conftest import WEBER, Coach

NUMBER = (int, float)
OPTIONAL_NUMBER = (int, float, type(None))
OPTIONAL_TEXT = (str, type(None))
TEMPO = {"per_minute": NUMBER, "beat": str}
PIECE = {
    "id": str,
    "title": str,
    "composer": str,
    "part": str,
    "instrument": str,
    "tempo": TEMPO,
    "measures": [str],
    "by": OPTIONAL_TEXT,
    "score_hash": str,
}
COMMON = {"id": str, "at": str, "because": str, "origin": str, "state": ("suggested", "kept", "struck")}
MARK = {
    "kind": ("fingering", "swap", "ornament", "dynamic", "reminder", "breath")
}  # a mark that is computed, with the fields of MARKS
SHAPES: dict[str, dict[str, Any]] = {
    "coach.piece/1": {"piece": PIECE},
    "coach.pieces/1": {"pieces": [PIECE]},
    "coach.prep/1": {
        "piece": {
            "title": str,
            "composer": str,
            "part": str,
            "others": [str],
            "transposition": int,
            "score_hash": str,
        },
        "notes": [
            {
                "id": str,
                "measure": str,
                "beat": Fraction,
                "written": str,
                "midi": int,
                "sounding": int,
                "plain": str,
                "onset": Fraction,
                "duration": Fraction,
                "grace": (None, "before", "after"),
                "tie": (None, "start", "continue", "stop"),
            }
        ],
        "marks": [MARK],
        "fingerings": [
            {
                "at": str,
                "choice": str,
                "controls": [str],
                "then": (list, type(None)),
                "when": OPTIONAL_TEXT,
                "alternatives": [str],
                "forced": bool,
            }
        ],
        "air": [{"at": str, "start": NUMBER, "end": NUMBER}],
        "troubles": [str],
        "lungs": {"litres": NUMBER, "from": str},
        "unplaced": [{}],
        "notices": [{"text": str, "where": str, "count": int}],
    },
    "coach.fingering/1": {
        "notes": [
            {
                "written": str,
                "midi": int,
                "choice": str,
                "controls": [str],
                "because": str,
                "then": (list, type(None)),
                "when": OPTIONAL_TEXT,
            }
        ],
        "cost": NUMBER,
        "slides": int,
        "remedies": [str],
    },
    "coach.performance/1": {
        "notes": [
            {
                "at": str,
                "written": str,
                "midi": int,
                "onset": Fraction,
                "duration": Fraction,
                "at_s": NUMBER,
                "length_s": NUMBER,
                "level_db": NUMBER,
            }
        ],
        "clicks": [{"at_s": NUMBER, "accent": bool}],
    },
    "coach.today/1": {
        "minutes": int,
        "items": [
            {
                "kind": ("warm-up", "spot", "run", "look", "rest"),
                "piece": str,
                "spot": str,
                "name": str,
                "minutes": int,
                "tempo": OPTIONAL_NUMBER,
                "beat": str,
                "because": str,
            }
        ],
    },
    "coach.progress/1": {
        "measures": [
            {
                "measure": str,
                "state": ("holds", "nearly holds", "needs work", "unknown"),
                "hold_tempo": OPTIONAL_NUMBER,
                "low": OPTIONAL_NUMBER,
                "high": OPTIONAL_NUMBER,
            }
        ],
        "whole_piece": dict.fromkeys(("now", "on_date", "low", "high"), OPTIONAL_NUMBER),
    },
    "coach.merged/1": {"added": int, "known": int},
    "coach.check/1": {"findings": [{"what": str, "works": bool, "found": str, "remedy": str}]},
    "coach.where/1": {
        "paths": dict.fromkeys(
            (
                "practice log",
                "scores",
                "marks",
                "settings",
                "readings (a cache)",
                "engravings (a cache)",
                "drills (a cache)",
                "sound messages",
            ),
            str,
        )
    },
}
COMMANDS = {
    "coach.piece/1": ["demo"],
    "coach.pieces/1": ["pieces"],
    "coach.prep/1": ["prepare", "demo"],
    "coach.fingering/1": ["fingering", "G#3 F#3:2 E#3 D#5:1/4"],
    "coach.performance/1": ["render", "demo", "--measures", "1-3", "--click", "--count-in", "1"],
    "coach.today/1": ["today", "--minutes", "60"],
    "coach.progress/1": ["progress", "demo"],
    "coach.check/1": ["check"],
    "coach.where/1": ["where"],
}


def fits(value: Any, shape: Any, place: str = "document") -> None:
    """Fail unless the value has the shape: the same keys, the right kinds."""
    if shape is MARK:
        assert value["kind"] in MARKS, place
        fits(value, {"kind": MARK["kind"], **COMMON, **MARKS[value["kind"]]}, place)
    elif isinstance(shape, dict):
        assert isinstance(value, dict) and set(value) == set(shape), (place, value)
        for key, inner in shape.items():
            fits(value[key], inner, f"{place}.{key}")
    elif isinstance(shape, list):
        assert isinstance(value, list), place
        for k, item in enumerate(value):
            fits(item, shape[0], f"{place}[{k}]")
    elif shape is Fraction:
        assert isinstance(value, str) and str(Fraction(value)) == value, (place, value)
    elif isinstance(shape, tuple) and not all(isinstance(kind, type) for kind in shape):
        assert value in shape, (place, value)
    else:
        kinds = shape if isinstance(shape, tuple) else (shape,)
        assert isinstance(value, kinds) and (bool in kinds or not isinstance(value, bool)), (place, value)


@pytest.mark.parametrize("schema", COMMANDS)
def test_a_document_has_the_shape_of_its_schema(schema: str, coach: Coach) -> None:
    assert coach("demo").status == 0
    done = coach(*COMMANDS[schema], "--json")
    assert (done.status, done.err) == (0, "")
    document = done.document
    assert document.pop("schema") == schema
    fits(document, SHAPES[schema])


WRITTEN_OUT: dict[str, Any] = {
    "what": str,
    "style": str,
    "notes": [{"written": OPTIONAL_TEXT, "midi": (int, type(None)), "onset": Fraction, "duration": Fraction}],
    "ossia": str,
    "counted": str,
    "shake": str,
}
# By kind, the fields beside those of every mark (design.md section 6; what only a computation knows comes with it).
MARKS: dict[str, dict[str, Any]] = {
    "breath": {
        "size": ("full", "catch"),
        **dict.fromkeys(("steals_s", "air_before", "air_after"), OPTIONAL_NUMBER),
        "practice": bool,
    },
    "fingering": {"choice": str, "alternatives": [str], "forced": bool},
    "swap": {"from": str, "to": str, "when": Fraction},
    "reminder": {"text": str, "of": ("", "upper", "lower")},
    "ornament": {
        **WRITTEN_OUT,
        "alternatives": [{"name": str, "because": str, **WRITTEN_OUT}],
    },
    "dynamic": {"sign": str, "to": str, "level_db": OPTIONAL_NUMBER, "colour": OPTIONAL_NUMBER},
    "alteration": {"to": [str]},
    "phrase": {"to": str, "goal": str},
    "pace": {"shape": str, "to": str, "length": OPTIONAL_TEXT},
    "comment": {"text": str},
}
MARKS_IN_ORDER = (
    "phrase", "pace", "breath", "fingering", "swap", "reminder", "ornament", "dynamic", "alteration", "comment"
)  # fmt: skip
TYPED = {
    "phrase": "4.2 3.2", "pace": "rit. 4.1", "breath": "catch", "fingering": "L", "swap": "L>R 1", "reminder": "b",
    "ornament": "@-1/2 Db5:1/2 Eb5:1/4 r:1/4", "dynamic": "mf", "alteration": "Db4 F4", "comment": "sing",
}  # fmt: skip


def test_the_marks_of_prepare(coach: Coach) -> None:
    from coach.lesson.desk import Desk
    from coach.lesson.marking import open_pencil
    from coach.lesson.stand import find, open_piece

    coach("demo")
    desk = Desk.open()
    piece = find(desk, "demo")
    pencil = open_pencil(desk, piece, open_piece(desk, piece))
    for kind, text in TYPED.items():
        pencil.put_typed(kind, text, "3.2")
    pencil.strike(pencil.prep.marks[0].id)
    desk.close()
    document = coach("prepare", "demo", "--json").document
    marks = [mark for mark in document["marks"] if mark["origin"] == "player"]  # beside them fingerings are suggested
    assert [mark["kind"] for mark in marks] == list(MARKS_IN_ORDER)
    common = {
        "id": str,
        "kind": str,
        "at": ("3.2",),
        "because": str,
        "origin": ("player",),
        "state": ("kept", "struck"),
    }
    for mark in marks:
        fits(mark, {**common, **MARKS[mark["kind"]]})
    assert [mark["state"] for mark in marks] == ["struck"] + ["kept"] * 9
    ornament = next(mark for mark in marks if mark["kind"] == "ornament")
    # 3.2 is the second beat of 9/8, 3/2 quarters in; the first note comes half a quarter before it
    assert [note["onset"] for note in ornament["notes"]] == ["1", "3/2", "7/4"]
    assert [note["midi"] for note in ornament["notes"]] == [73, 75, None]  # MIDI 1.0: middle C is 60
    narrow = coach("prepare", "demo", "--measures", "1-2", "--json").document["marks"]
    assert {mark["at"].split(".")[0] for mark in narrow} == {"1", "2"}
    assert "catch breath after Ab5, beat 2" in coach("prepare", "demo").out


def test_the_document_of_add(coach: Coach) -> None:
    document = coach("add", WEBER, "--measures", "5-20", "--by", "2026-12-24", "--json").document
    assert document.pop("schema") == "coach.piece/1"
    fits(document, SHAPES["coach.piece/1"])
    assert document["piece"]["measures"] == ["5", "20"] and document["piece"]["by"] == "2026-12-24"


@pytest.mark.parametrize(
    ("arguments", "spotless"), [(["the held low F", "--tempo", "40", "slip", "--what", "fingers"], False),
                                (["run", "--tempo", "40", "clean"], True)]
)  # fmt: skip
def test_the_document_of_rep(coach: Coach, arguments: list[str], spotless: bool) -> None:
    coach("demo")
    document = coach("rep", "demo", *arguments, "--json").document
    assert set(document) == {"schema", "rep", "next_tempo"} and document["schema"] == "coach.rep/1"
    assert (document["next_tempo"] is None) == spotless
    rep = document["rep"]
    assert {"uuid", "spot", "from", "to", "measures", "tempo", "outcome", "complete", "kind", "slips"} <= set(rep)
    assert (rep["spot"] == "") == spotless
    assert rep["tempo"] == {"per_minute": 40, "beat": "dotted quarter"}


def test_the_document_of_log_import(coach: Coach) -> None:
    coach("demo")
    file = coach("where", "--json").document["paths"]["practice log"] + ".jsonl"
    coach("log", "export", file)
    document = coach("log", "import", file, "--json").document
    assert document.pop("schema") == "coach.merged/1"
    fits(document, SHAPES["coach.merged/1"])
    assert document["added"] == 0 and document["known"] > 0


def test_the_measures_of_progress_are_those_of_the_cut(coach: Coach) -> None:
    coach("demo")
    coach("rep", "demo", "11-13", "--tempo", "30", "clean")
    demo = coach("progress", "demo", "--json").document["measures"]
    assert [row["measure"] for row in demo] == [str(k) for k in range(1, 31)]  # the score has 30 measures


def test_graces_are_rows_of_prepare(coach: Coach) -> None:
    """content/README.md: two graces after the long note of measure 8."""
    coach("demo")
    rows = [row for row in coach("prepare", "demo", "--json").document["notes"] if row["measure"] in ("8", "9")]
    graces = [row for row in rows if row["grace"]]
    assert len(graces) == 2 and all(row["duration"] == "0" for row in graces)


def test_sounding_pitch_follows_the_transposition(coach: Coach) -> None:
    """A B-flat clarinet sounds two semitones below what is written (MusicXML 4.0, element transpose)."""
    rows = coach("prepare", WEBER, "--measures", "1-40", "--json").document["notes"]
    assert rows and all(row["sounding"] == row["midi"] - 2 for row in rows)


def test_render_narrows_as_asked(coach: Coach) -> None:
    """At 80 per cent everything lasts a quarter longer; without `--click` there is none, with it one on each beat."""
    coach("demo")
    whole = coach("render", "demo", "--measures", "1-2", "--json").document
    slow = coach("render", "demo", "--measures", "1-2", "--percent", "80", "--click", "--json").document
    assert whole["clicks"] == []
    for one, other in zip(whole["notes"], slow["notes"], strict=True):
        assert other["at_s"] == pytest.approx(1.25 * one["at_s"], abs=2e-3)
        assert other["onset"] == one["onset"]
    # nine eighths at dotted quarter = 80 per cent of 50: three beats a measure, 60 / 40 s apart
    assert [click["at_s"] for click in slow["clicks"]] == pytest.approx([1.5 * k for k in range(6)], abs=2e-3)
    assert [click["accent"] for click in slow["clicks"]] == [True, False, False] * 2
