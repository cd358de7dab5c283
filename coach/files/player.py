"""The player's own instrument and fingerings, from the settings."""

import re

from coach.config import FingeringSettings, Settings
from coach.errors import SettingsError
from coach.files.charts import chart_for, serves
from coach.instruments.chart import Chart, Player
from coach.instruments.fingering import Fingering
from coach.music.pitch import from_midi, parse_pitch
from coach.music.text import one_line

_OWN = re.compile(r"(\S+)\s+(\S+)\s*=\s*(.*)")
_NAMED = re.compile(r"(\S+)\s+(\S+)")
_LEVER = "left-eflat-lever"
_LONGEST = 200


def player_chart(settings: Settings, instrument: str) -> Chart:
    """The chart of an instrument as the player has it; fingerings in the settings are for the instrument named there.
    Raises RequestError for an instrument without a chart, and SettingsError as `fitted_chart` does."""
    chart = chart_for(instrument)
    own = settings.fingering if serves(chart, settings.instrument) else FingeringSettings()
    return fitted_chart(chart, own)


def fitted_chart(chart: Chart, settings: FingeringSettings) -> Chart:
    """A chart as the player has it. Raises SettingsError for a fingering that the chart lacks, for one that no hand can
    hold, and for a pitch that is left without any."""
    mine = chart.for_player(player_of(chart, settings))
    bare = set(mine.bare_pitches()) - set(chart.for_player(Player()).bare_pitches())
    if bare:
        name = from_midi(min(bare)).name
        raise SettingsError(f"[fingering] forbidden leaves {name} without a fingering; allow one or add your own.")
    return mine


def player_of(chart: Chart, settings: FingeringSettings) -> Player:
    """What the settings say about one chart; a lever that the instrument has no place for is passed over. Raises
    SettingsError naming the setting, what is wrong and the remedy."""
    known = frozenset(name for name, _ in chart.options)
    fitted = known & {_LEVER} if settings.left_eflat_lever else frozenset()
    added = tuple(_own(chart, text, fitted) for text in settings.added)
    all_there_are = chart.for_player(Player(known, added=added))
    return Player(
        fitted=fitted,
        preferred=_chosen(all_there_are, "preferred", settings.preferred),
        forbidden=_chosen(all_there_are, "forbidden", settings.forbidden),
        added=added,
    )


def _chosen(chart: Chart, setting: str, texts: tuple[str, ...]) -> frozenset[tuple[int, str]]:
    chosen = set()
    for text in texts:
        found = _NAMED.fullmatch(text.strip())
        if not found:
            raise _mistake(setting, text, 'write a note and a choice, such as "F#5 fork"')
        midi, choice = _midi(setting, text, found[1]), found[2]
        if chart.fingering(midi, choice) is None:
            there = ", ".join(one.choice for one in chart.fingerings(midi)) or "none"
            raise _mistake(setting, text, f"{chart.name} has no such fingering; for that note there are: {there}")
        chosen.add((midi, choice))
    return frozenset(chosen)


def _own(chart: Chart, text: str, fitted: frozenset[str]) -> Fingering:
    found = _OWN.fullmatch(text.strip())
    if not found:
        raise _mistake("added", text, 'write a note, a name and the keys, such as "C#6 mine = LT REG L2 L3 R1 R2"')
    midi, controls = _midi("added", text, found[1]), frozenset(found[3].split())
    strange = sorted(controls - {one.id for one in chart.controls})
    if strange:
        raise _mistake("added", text, f"{chart.name} has no {strange[0]}; its keys and holes are {_keys(chart)}")
    lacking = sorted(name for name in controls if chart.control(name).option not in ("", *fitted))
    if lacking:
        raise _mistake("added", text, f"your instrument is set up without {lacking[0]}; turn left_eflat_lever on")
    if not chart.held_together(controls):
        raise _mistake("added", text, "one finger would have to be in two places; leave a key out")
    if not chart.lowest <= midi <= chart.highest:
        raise _mistake("added", text, f"the note lies outside {chart.name}; its chart cannot hold it")
    like = chart.fingerings(midi)
    return Fingering(midi, found[2], controls, 1, like[0].register, note="your own", confidence="high")


def _midi(setting: str, text: str, name: str) -> int:
    try:
        return parse_pitch(name).midi
    except ValueError as error:
        raise _mistake(setting, text, "the note must be written like C#5 or Bb4") from error


def _keys(chart: Chart) -> str:
    return " ".join(one.id for one in chart.controls)


def _mistake(setting: str, text: str, remedy: str) -> SettingsError:
    return SettingsError(f'[fingering] {setting}, "{one_line(text, _LONGEST)}": {remedy}.')
