"""The player's settings: read from one TOML file, written back without losing the player's own comments."""

from dataclasses import MISSING, dataclass, field, fields, replace
from pathlib import Path
from typing import Any

from coach.errors import SettingsError, StoreError
from coach.whole_file import write_whole


@dataclass(frozen=True, slots=True)
class ClickSettings:
    """The click: parts per beat (1 none, 2 halves, 3 thirds, 4 quarters), the beats it sounds on (empty: all), measures
    heard and then silent in turn (0 silent: always heard), count-in measures, and its level against the voice in dB."""

    on: bool = True
    subdivision: int = 1
    beats: tuple[int, ...] = ()
    heard_measures: int = 2
    silent_measures: int = 0
    count_in: int = 1
    level_db: float = 0.0


@dataclass(frozen=True, slots=True)
class FingeringSettings:
    """The player's instrument and hands: whether the clarinet has the left A-flat/E-flat lever, and fingerings of its
    chart to prefer or never to use ("F#5 fork"), and the player's own ("C#6 mine = LT REG L2 L3 R1 R2")."""

    left_eflat_lever: bool = False
    preferred: tuple[str, ...] = ()
    forbidden: tuple[str, ...] = ()
    added: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AirSettings:
    """The player's air. `litres` are usable in one breath; where it is 0, `share` of the vital capacity that an
    `equation` predicts from `sex` ("female" or "male", as the equations were made), `age` in years and `height_cm`;
    without those too, the default of `coach.instruments.air`. `flows` are litres a second at pp, p, mp, mf, f and ff
    (empty: the default table), from long tones with `measured_litres` in a breath where that is not 0; `registers`
    factors of them for the four registers. A full breath takes `full_s`
    seconds, a catch breath `catch_s`, which adds `catch_share` of the litres; a note keeps `keep_share` of its length
    and `keep_s` seconds; a loud note never falls below `reserve` of the litres."""

    litres: float = 0.0
    sex: str = ""
    age: float = 0.0
    height_cm: float = 0.0
    equation: str = "GLI 2022"
    share: float = 0.6
    flows: tuple[float, ...] = ()
    measured_litres: float = 0.0
    registers: tuple[float, ...] = ()
    full_s: float = 0.6
    catch_s: float = 0.3
    catch_share: float = 0.4
    keep_share: float = 0.5
    keep_s: float = 0.25
    reserve: float = 0.0


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings. `output` is "audio", "none" or "midi:<part of the port's name>"; `level_db` is relative to full
    scale; `loop_rest` and `drill_rest` are measures between the laps of a loop on the Stand and in the Drill;
    `follow_repeats` plays repeats, endings and jumps as a run-through does; `keys` maps a binding's id to the keys that
    trigger it ("play_stop" = "space,f1");
    `music` is how the screens draw it: "dots" (braille), "characters" or "picture"."""

    instrument: str = "clarinet in B-flat"
    output: str = "audio"
    level_db: float = -20.0
    others_db: float = -12.0
    tuning_hz: float = 440.0
    ladder: str = "steady"
    loop_rest: int = 0
    drill_rest: int = 1
    follow_repeats: bool = False
    theme: str = ""
    music: str = "dots"
    click: ClickSettings = field(default_factory=ClickSettings)
    fingering: FingeringSettings = field(default_factory=FingeringSettings)
    air: AirSettings = field(default_factory=AirSettings)
    keys: tuple[tuple[str, str], ...] = ()


# name -> (lowest, highest); a value outside is a mistake that the player should hear of.
LIMITS: dict[str, tuple[float, float]] = {
    "level_db": (-60.0, 0.0),
    "others_db": (-60.0, 6.0),
    "tuning_hz": (392.0, 466.0),
    "loop_rest": (0, 8),
    "drill_rest": (0, 8),
    "click.subdivision": (1, 8),
    "click.heard_measures": (1, 64),
    "click.silent_measures": (0, 64),
    "click.count_in": (0, 2),
    "click.level_db": (-40.0, 12.0),
    "air.litres": (0.0, 8.0),
    "air.measured_litres": (0.0, 8.0),
    "air.age": (0.0, 95.0),
    "air.height_cm": (0.0, 230.0),
    "air.share": (0.1, 0.73),
    "air.full_s": (0.1, 3.0),
    "air.catch_s": (0.05, 2.0),
    "air.catch_share": (0.05, 1.0),
    "air.keep_share": (0.1, 0.95),
    "air.keep_s": (0.05, 2.0),
    "air.reserve": (0.0, 0.9),
    "air.flows": (0.05, 1.6),
    "air.registers": (0.2, 5.0),
}

# name -> what it may be, for settings that are one of a few words.
CHOICES: dict[str, tuple[str, ...]] = {
    "music": ("dots", "characters", "picture"),
    "air.sex": ("", "female", "male"),
    "air.equation": ("GLI 2022", "GLI 2012", "NHANES III", "ECSC 1993"),
}
# name -> how many numbers a list has that is not empty.
COUNTS: dict[str, int] = {"air.flows": 6, "air.registers": 4}
_TABLES: dict[str, type] = {"click": ClickSettings, "fingering": FingeringSettings, "air": AirSettings}


def load(path: Path) -> Settings:
    """Settings from a file; the defaults if there is none. Raises SettingsError naming the file, place and remedy."""
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsError(f"{path} cannot be read ({error}); mend its permissions or move it away.") from error
    import tomllib  # deferred: the first start has no settings yet

    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{path} is not valid TOML: {error}. Mend that line or move the file away.") from error
    return _settings(table, path)


def _settings(table: dict[str, Any], path: Path) -> Settings:
    table = dict(table)
    keys = table.pop("keys", {})
    tables = {name: table.pop(name, {}) for name in _TABLES}
    if not isinstance(keys, dict) or not all(isinstance(value, str) for value in keys.values()):
        raise SettingsError(f'{path}: [keys] pairs a name with keys, such as play_stop = "space,f1".')
    for name, inner in tables.items():
        if not isinstance(inner, dict):
            raise SettingsError(f"{path}: [{name}] is a table; write its settings under a line [{name}].")
    parts = {name: kind(**_checked(kind, tables[name], path, f"{name}.")) for name, kind in _TABLES.items()}
    values = _checked(Settings, table, path, "")
    return Settings(
        **values,
        **parts,
        keys=tuple(sorted(keys.items())),
    )


def _checked(kind: type, table: dict[str, Any], path: Path, prefix: str) -> dict[str, Any]:
    known = {f.name: f.default for f in fields(kind) if f.default is not MISSING and f.name != "keys"}
    result: dict[str, Any] = {}
    for name, value in table.items():
        if name not in known:
            raise SettingsError(f"{path}: there is no setting {prefix}{name}; the settings are {', '.join(known)}.")
        result[name] = _value(path, prefix + name, value, known[name])
    return result


def _value(path: Path, name: str, value: Any, default: Any) -> Any:
    if name.startswith("fingering.") and isinstance(default, tuple):
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise SettingsError(f'{path}: {name} is a list of texts, such as ["F#5 fork"].')
        return tuple(value)
    if name in COUNTS:
        return _numbers(path, name, value)
    if isinstance(default, tuple):
        if not isinstance(value, list) or not all(type(item) is int and 1 <= item <= 32 for item in value):
            raise SettingsError(f"{path}: {name} is a list of beats, such as [1, 3].")
        return tuple(value)
    number = isinstance(default, (int, float)) and not isinstance(default, bool)
    if number and isinstance(value, (int, float)) and not isinstance(value, bool):
        if isinstance(default, int) and not isinstance(value, int):
            raise SettingsError(f"{path}: {name} is {value}, which is not a whole number.")
        low, high = LIMITS[name]
        if not low <= value <= high:
            raise SettingsError(f"{path}: {name} is {value}; it may be {low:g} to {high:g}.")
        return type(default)(value)
    if type(value) is not type(default):
        kind = {bool: "true or false", str: "a text in quotes"}.get(type(default), "a number")
        raise SettingsError(f"{path}: {name} is {value!r}; it must be {kind}.")
    if name in CHOICES and value not in CHOICES[name]:
        raise SettingsError(f"{path}: {name} is {value!r}; it may be {' or '.join(CHOICES[name])}.")
    return value


def _numbers(path: Path, name: str, value: Any) -> tuple[float, ...]:
    low, high = LIMITS[name]
    whole = isinstance(value, list) and len(value) in (0, COUNTS[name])
    if not whole or not all(type(item) in (int, float) and low <= item <= high for item in value):
        raise SettingsError(f"{path}: {name} is a list of {COUNTS[name]} numbers from {low:g} to {high:g}, or empty.")
    return tuple(float(item) for item in value)


def save(settings: Settings, path: Path) -> None:
    """Write the settings that differ from the file's, keeping its comments and order. Raises SettingsError."""
    import tomlkit  # deferred: only Setup writes
    from tomlkit.exceptions import ParseError

    try:
        document = tomlkit.parse(path.read_text("utf-8")) if path.exists() else tomlkit.document()
        _put(document, settings, Settings())
        for name, kind in _TABLES.items():
            if getattr(settings, name) != kind() or name in document:
                _put(document.setdefault(name, tomlkit.table()), getattr(settings, name), kind())
        if settings.keys or "keys" in document:
            table = document.setdefault("keys", tomlkit.table())
            for gone in set(table) - {name for name, _ in settings.keys}:
                del table[gone]
            table.update(dict(settings.keys))
        write_whole(path, tomlkit.dumps(document).encode("utf-8"), folders=True)
    except (OSError, UnicodeDecodeError, ParseError, StoreError) as error:
        raise SettingsError(f"The settings hold for this session only: {path} cannot be written ({error}).") from error


def _put(table: Any, value: object, default: object) -> None:
    for f in fields(value):  # type: ignore[arg-type]  # both are dataclass instances
        if f.name in (*_TABLES, "keys"):
            continue
        now = getattr(value, f.name)
        if now != getattr(default, f.name) or f.name in table:
            table[f.name] = list(now) if isinstance(now, tuple) else now


def with_key(settings: Settings, binding: str, keys: str) -> Settings:
    """The settings with one binding's keys changed."""
    return replace(settings, keys=tuple(sorted({**dict(settings.keys), binding: keys}.items())))
