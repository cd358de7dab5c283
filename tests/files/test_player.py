"""The player's own instrument and fingerings, from the settings file to the chart."""

from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import AirSettings, FingeringSettings, Settings, load, save
from coach.errors import RequestError, SettingsError
from coach.files.player import fitted_chart, player_chart
from tests.instruments.clarinet import clarinet, midi


def choices(note: str, fingering: FingeringSettings) -> list[str]:
    return [one.choice for one in fitted_chart(clarinet(), fingering).fingerings(midi(note))]


def test_the_lever() -> None:
    """Handbook: D#5 and G#3 have a left fingering only with the lever."""
    assert "L" not in choices("D#5", FingeringSettings())
    assert "L" in choices("D#5", FingeringSettings(left_eflat_lever=True))


def test_preferred_comes_first_and_forbidden_not_at_all() -> None:
    assert choices("F#5", FingeringSettings(preferred=("F#5 fork",))) == ["fork", "std"]
    assert choices("Gb5", FingeringSettings(preferred=("Gb5 fork",))) == ["fork", "std"], "either spelling"
    assert choices("F#5", FingeringSettings(forbidden=("F#5 fork",))) == ["std"]


def test_own_fingerings_may_be_preferred() -> None:
    own = FingeringSettings(preferred=("C#6 mine",), added=("C#6 mine = LT REG L2 L3 R1 R2 R3",))
    assert choices("C#6", own)[0] == "mine"
    chart = fitted_chart(clarinet(), own)
    found = chart.fingering(midi("C#6"), "mine")
    assert found is not None and found.controls == {"LT", "REG", "L2", "L3", "R1", "R2", "R3"}


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        (FingeringSettings(preferred=("F#5 knife",)), r'preferred, "F#5 knife": .* there are: std, fork\.'),
        (FingeringSettings(preferred=("F#5",)), 'write a note and a choice, such as "F#5 fork"'),
        (FingeringSettings(preferred=("H5 std",)), "the note must be written like C#5 or Bb4"),
        (FingeringSettings(forbidden=("C8 std",)), "there are: none"),
        (FingeringSettings(forbidden=("D5 std",)), "leaves D5 without a fingering; allow one or add your own"),
        (FingeringSettings(forbidden=("D#5 R", *(f"D#5 R+l{x}" for x in "csb"))), "leaves Eb5 without a fingering"),
        (FingeringSettings(added=("C6 mine",)), "write a note, a name and the keys"),
        (FingeringSettings(added=("C6 mine = LT R9",)), "has no R9; its keys and holes are LT REG"),
        (FingeringSettings(added=("C6 mine = R_FC R_EB",)), "one finger would have to be in two places"),
        (FingeringSettings(added=("D#5 mine = LT REG L_AB",)), "set up without L_AB; turn left_eflat_lever on"),
        (FingeringSettings(added=("C8 mine = LT",)), "the note lies outside Boehm clarinet"),
    ],
)  # fmt: skip
def test_a_mistake_is_told(settings: FingeringSettings, told: str) -> None:
    with pytest.raises(SettingsError, match=rf"^\[fingering\] .*{told}" if "leaves" not in told else told):
        fitted_chart(clarinet(), settings)


def test_the_settings_are_for_the_players_own_instrument() -> None:
    mine = Settings(instrument="clarinet in A", fingering=FingeringSettings(forbidden=("F#5 fork",)))
    assert player_chart(mine, "clarinet in B-flat").fingering(midi("F#5"), "fork") is None, "one chart for both"
    assert player_chart(mine, "alto saxophone").fingering(midi("F#5"), "fork") is not None
    with pytest.raises(RequestError, match="no fingering chart for kazoo"):
        player_chart(mine, "kazoo")


def test_the_settings_file_keeps_them(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text('# mine\n[fingering]\nleft_eflat_lever = true # since May\npreferred = ["F#5 fork"]\n', "utf-8")
    found = load(path)
    assert found.fingering == FingeringSettings(left_eflat_lever=True, preferred=("F#5 fork",))
    save(found, path)
    assert path.read_text("utf-8").count("# since May") == 1 and load(path) == found
    bare = tmp_path / "bare.toml"
    save(Settings(), bare)
    assert "fingering" not in bare.read_text("utf-8")
    save(found, bare)
    assert load(bare) == found


def test_the_settings_file_keeps_the_air(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    text = "# mine\n[air]\nlitres = 3 # measured in May\nflows = [0.1, 0.13, 0.16, 0.2, 0.25, 0.3]\n"
    path.write_text(text, "utf-8")
    found = load(path)
    assert found.air == AirSettings(litres=3.0, flows=(0.1, 0.13, 0.16, 0.2, 0.25, 0.3))
    save(found, path)
    assert path.read_text("utf-8").count("# measured in May") == 1 and load(path) == found
    save(replace(found, air=replace(found.air, sex="female", age=34, height_cm=168.5)), path)
    assert load(path).air == replace(found.air, sex="female", age=34.0, height_cm=168.5)
    bare = tmp_path / "bare.toml"
    save(Settings(), bare)
    assert "air" not in bare.read_text("utf-8")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("fingering = 3", r"\[fingering\] is a table"),
        ("[fingering]\npreferred = 3", "fingering.preferred is a list of texts"),
        ("[fingering]\nadded = [3]", "fingering.added is a list of texts"),
        ("[fingering]\nleft_eflat_lever = 1", "fingering.left_eflat_lever is 1; it must be true or false"),
        ("air = 3", r"\[air\] is a table"),
        ("[air]\nlitres = 100", "air.litres is 100; it may be 0 to 8"),
        ('[air]\nlitres = "much"', "air.litres is 'much'; it must be a number"),
        ("[air]\nsex = 3", "air.sex is 3; it must be a text in quotes"),
        ('[air]\nsex = "other"', "air.sex is 'other'; it may be .*female or male"),
        ('[air]\nequation = "mine"', "air.equation is 'mine'; it may be GLI 2022 or"),
        ("[air]\nflows = [0.1, 0.2]", "air.flows is a list of 6 numbers from 0.05 to 1.6, or empty"),
        ("[air]\nflows = [0.1, 0.1, 0.2, 0.2, 0.3, 9]", "air.flows is a list of 6 numbers"),
        ("[air]\nregisters = 1", "air.registers is a list of 4 numbers from 0.2 to 5, or empty"),
        ("[air]\nshare = 0.9", "air.share is 0.9; it may be 0.1 to 0.73"),
        ("[air]\nlungs = 3", "there is no setting air.lungs; the settings are litres"),
        ("[fingering]\nlever = true", "there is no setting fingering.lever; the settings are left_eflat_lever"),
    ],
)
def test_a_broken_settings_file_is_told(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(SettingsError, match=told):
        load(path)
