"""What each command does, and the status it leaves with: 0 done, 1 not met, 2 wrong usage (design.md section 6)."""

import json
from pathlib import Path

import pytest

from coach import __version__
from coach.cli.main import COMMANDS
from coach.paths import content
from tests.cli.conftest import WEBER, Coach, sentence


def test_help_names_every_command_and_the_cautions(coach: Coach) -> None:
    done = coach("--help")
    assert done.status == 0
    assert all(f"\n    {name} " in done.out for name in COMMANDS)
    assert "Pain means stop" in done.out


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help(name: str, coach: Coach) -> None:
    done = coach(name, "--help")
    assert done.status == 0 and done.out.startswith(f"usage: coach {name}")


def test_the_version_is_told(coach: Coach) -> None:
    assert coach("--version").out == f"coach {__version__}\n"


@pytest.mark.parametrize(
    "arguments",
    [
        ["sing"],
        ["add"],
        ["pieces", "--loud"],
        ["rep", "demo", "run", "--tempo", "60", "good"],
        ["rep", "demo", "run", "clean"],
        ["today", "--minutes", "4"],
        ["today", "--minutes", "481"],
        ["today", "--minutes", "ten"],
        ["today", "--on", "Tuesday"],
        ["add", "x.mxl", "--by", "2026-02-30"],
        ["play", "demo", "--percent", "0"],
        ["play", "demo", "--percent", "201"],
        ["play", "demo", "--count-in", "3"],
        ["play", "demo", "--tempo", "60", "--percent", "60"],
        ["log"],
        ["log", "burn"],
    ],
)
def test_wrong_usage_is_told_on_standard_error(arguments: list[str], coach: Coach) -> None:
    done = coach(*arguments)
    assert done.status == 2 and done.out == "" and done.err.startswith("usage: coach")


def test_an_empty_stand_says_what_to_do(coach: Coach) -> None:
    for command in ("pieces", "today"):
        done = coach(command)
        assert done.status == 0 and "`coach demo`" in done.out


def test_demo_is_put_there_once(coach: Coach) -> None:
    first = coach("demo", "--json").document["piece"]
    again = coach("demo", "--json").document["piece"]
    assert first == again
    assert [piece["id"] for piece in coach("pieces", "--json").document["pieces"]] == [first["id"]]


def test_demo_is_removable_and_comes_back_as_new(coach: Coach) -> None:
    first = coach("demo", "--json").document["piece"]["id"]
    assert coach("pieces", "--remove", first, "--json").document["pieces"] == []
    assert coach("demo", "--json").document["piece"]["id"] != first


def test_add_twice_changes_the_piece_that_is_there(coach: Coach) -> None:
    first = coach("add", WEBER, "--json").document["piece"]
    again = coach("add", WEBER, "--measures", "10-20", "--tempo", "66", "--by", "2027-01-02", "--json").document[
        "piece"
    ]
    assert again["id"] == first["id"]
    assert (again["measures"], again["tempo"]["per_minute"], again["by"]) == (["10", "20"], 66, "2027-01-02")
    assert len(coach("pieces", "--json").document["pieces"]) == 1


def test_the_cut_is_what_commands_concern(coach: Coach) -> None:
    coach("add", WEBER, "--measures", "10-20")
    rows = coach("prepare", "concertino", "--json").document["notes"]
    assert {row["measure"] for row in rows} <= {str(k) for k in range(10, 21)}
    assert len(coach("progress", "concertino", "--json").document["measures"]) == 11


def test_a_tempo_may_name_its_beat(coach: Coach) -> None:
    """Weber's page opens with quarter = 60; an eighth = 120 is the same speed (the beat units' lengths)."""
    in_quarters = coach("render", WEBER, "--measures", "1-8", "--tempo", "60", "--json").document["notes"]
    in_eighths = coach("render", WEBER, "--measures", "1-8", "--tempo", "eighth=120", "--json").document["notes"]
    assert in_quarters == in_eighths


def test_a_rep_moves_the_ladder(coach: Coach) -> None:
    """The default rule: three clean in a row go one mark up; marks step by 2 from 40 to 60 (facts.md section 6)."""
    coach("demo")
    tempi = [coach("rep", "demo", "octaves", "--tempo", "40", "clean", "--json").document["next_tempo"] for _ in "123"]
    assert tempi == [40, 40, 42]
    assert coach("rep", "demo", "octaves", "--tempo", "42", "slip", "--json").document["next_tempo"] == 40


def test_progress_tells_what_the_estimate_rests_on(coach: Coach) -> None:
    coach("demo")
    for outcome in ("clean", "clean", "slip"):
        coach("rep", "demo", "octaves", "--tempo", "40", outcome)
    for _ in "123":
        coach("rep", "demo", "1-2", "--tempo", "40", "slip")
    lines = {line.split()[0]: line for line in coach("progress", "demo").out.splitlines()[1:]}
    assert "hold tempo about" in lines["18"] and lines["18"].endswith("clean up to 40")
    assert lines["1"].endswith("never clean yet") and lines["5"].endswith("unknown")


def test_rep_makes_a_spot_of_a_range_once(coach: Coach) -> None:
    coach("demo")
    uuids = {coach("rep", "demo", "5-6", "--tempo", "40", "clean", "--json").document["rep"]["spot"] for _ in range(2)}
    assert len(uuids) == 1


def test_a_spot_goes_by_name_number_or_range(coach: Coach) -> None:
    coach("demo")
    uuids = {
        coach("rep", "demo", spot, "--tempo", "40", "clean", "--json").document["rep"]["spot"]
        for spot in ("the octaves", "3", "octaves", "18-19")
    }
    assert len(uuids) == 1


def test_a_run_is_cold_once_a_day(coach: Coach) -> None:
    coach("demo")
    kinds = [coach("rep", "demo", "run", "--tempo", "50", "slip", "--json").document["rep"]["kind"] for _ in "12"]
    assert kinds == ["cold", "run"]


def test_what_slipped_and_where_is_kept(coach: Coach) -> None:
    coach("demo")
    arguments = ("--tempo", "40", "slip", "--what", "fingers", "--where", "12", "--broken-off", "--json")
    rep = coach("rep", "demo", "the held low F", *arguments).document["rep"]
    assert rep["slips"] == [{"at": "12", "what": "fingers"}] and rep["complete"] is False


def test_today_says_why(coach: Coach) -> None:
    coach("demo")
    done = coach("today", "--minutes", "30")
    assert done.status == 0
    assert "min  warm-up" in done.out and "Not tried yet" in done.out and "Pain means stop" in done.out


def test_a_log_travels_to_another_home(coach: Coach, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    coach("demo")
    coach("rep", "demo", "octaves", "--tempo", "40", "clean")
    file = tmp_path / "log.jsonl"
    assert coach("log", "export", file).status == 0
    lines = file.read_text("utf-8").splitlines()
    assert all(isinstance(json.loads(line), dict) for line in lines)
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "other"))
    assert coach("log", "import", file).out == f"{len(lines) - 1} entries added, 0 were there already.\n"
    assert coach("log", "import", file).out == f"0 entries added, {len(lines) - 1} were there already.\n"
    assert coach("log", "export").out == file.read_text("utf-8")


def test_export_and_import_go_through_pipes(program: Coach) -> None:
    program("demo")
    text = program("log", "export").out
    assert program("log", "import", stdin=text).out.startswith("0 entries added")


def test_the_spots_of_a_piece_are_named_when_one_is_not_found(coach: Coach) -> None:
    coach("demo")
    said = sentence(coach("rep", "demo", "the fugue", "--tempo", "40", "clean"))
    assert "the held low F" in said and "the long trill" in said


def test_check_tells_what_works_and_what_to_do(coach: Coach) -> None:
    done = coach("check")
    assert done.status == 0
    for what in ("sound", "MIDI ports", "terminal size", "characters", "practice log", "settings"):
        assert any(line[0] in "✓✗" and line[2:].startswith(what) for line in done.out.splitlines())


def test_what_works_is_told_in_plain_letters_too(program: Coach, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    lines = [line for line in program("check").out.splitlines() if not line.startswith("  ")]
    assert "x characters: ascii" in lines and {line[:2] for line in lines} <= {"+ ", "x "}
    program("demo")
    assert "     1  . unknown" in program("progress", "demo").out.splitlines()


def test_prepare_reads_a_measure_out(coach: Coach) -> None:
    """The first measure of the demo piece, as its score prints it."""
    done = coach("prepare", content("pieces", "demo.musicxml"), "--measures", "1-1")
    lines = done.out.splitlines()[1:]
    assert lines[0] == "    1  Ab4 dotted quarter, F5 dotted quarter, F5 eighth, Eb5 eighth, Db5 eighth"
    assert (
        "       fingering L on Db5, beat 3 and 2/3, suggested: Left, because the E flat before it has only a "
        "right-hand key."
    ) in lines
    marks = [line for line in lines[1:] if line.startswith(" ")]
    assert all(line.endswith(".") for line in marks)  # each with its reason


def test_where_names_paths_below_the_home(coach: Coach, home: Path) -> None:
    paths = coach("where", "--json").document["paths"].values()
    assert all(Path(path).is_relative_to(home) for path in paths)
    assert "(not there yet)" in coach("where").out


def test_nothing_is_kept_of_a_source_that_was_never_added(coach: Coach, home: Path, tmp_path: Path) -> None:
    for arguments in (["prepare", WEBER, "--json"], ["render", WEBER, "--measures", "1-4", "--json"]):
        assert coach(*arguments).status == 0
    assert not (home / "data").exists()


def test_render_writes_what_was_asked_for(coach: Coach, tmp_path: Path) -> None:
    coach("demo")
    wav, midi = tmp_path / "a.wav", tmp_path / "a.mid"
    done = coach("render", "demo", "--measures", "1-2", "--wav", wav, "--midi", midi)
    assert (done.status, done.out) == (0, "")
    assert done.err.splitlines() == [f"Written: {midi}", f"Written: {wav}"]
    assert wav.read_bytes()[:4] == b"RIFF" and midi.read_bytes()[:4] == b"MThd"


def test_play_without_sound_tells_the_measures(program: Coach) -> None:
    program("demo")
    done = program("play", "demo", "--measures", "1-2", "--percent", "200")
    assert (done.status, done.out) == (0, "")
    assert done.err.splitlines() == ["measure 1", "measure 2"]


def test_a_mistake_in_the_settings_is_told(coach: Coach, home: Path) -> None:
    (home / "config" / "settings.toml").write_text("level_db = 12\n")
    said = sentence(coach("pieces"))
    assert "level_db" in said and "settings.toml" in said
