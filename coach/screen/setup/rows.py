"""The lines of Setup: each setting's name, its value in words, what may be written, and how the writing is taken."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from coach.config import LIMITS, ClickSettings, Settings
from coach.errors import RequestError
from coach.lesson.fingering import chart_words, charted_instruments
from coach.practice.ladder import PRESETS
from coach.screen.dialogs import Choice
from coach.screen.themes import THEMES


@dataclass(frozen=True, slots=True)
class Row:
    """A setting: `value` tells it in words, `change` takes what was written, or chosen where there are `choices`; `now`
    is what stands there to begin with."""

    name: str
    hint: str
    value: Callable[[Settings], str]
    change: Callable[[Settings, str], Settings]
    choices: Sequence[Choice] = ()
    now: Callable[[Settings], str] = lambda settings: ""


def number_in(text: str, limit: str, per_cent: bool = False) -> float:
    """A typed number within its limits (of config.LIMITS); a share where it is typed `per_cent`. Raises
    RequestError."""
    low, high = LIMITS[limit]
    scale = 100 if per_cent else 1
    shown = f"{low * scale:g} to {high * scale:g}"
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        raise RequestError(f"{text!r} is no number; write one from {shown}.") from None
    if not low * scale <= value <= high * scale:
        raise RequestError(f"{value:g} is outside what is possible; write a number from {shown}.")
    return value / scale


def _click(settings: Settings, **changes: object) -> Settings:
    return replace(settings, click=replace(settings.click, **changes))  # type: ignore[arg-type]  # by field name


def _beats(settings: Settings, text: str) -> Settings:
    words = text.replace(",", " ").split()
    if not words or words == ["all"]:
        return _click(settings, beats=())
    if not all(word.isdigit() and 1 <= int(word) <= 32 for word in words):
        raise RequestError(f"{text!r} are no beats; write all, or beats such as 1 3.")
    return _click(settings, beats=tuple(int(word) for word in words))


def _heard(settings: Settings, text: str) -> Settings:
    words = text.replace(",", " ").split()
    if len(words) == 1 and words[0] in ("never", "0"):
        return _click(settings, silent_measures=0)
    if len(words) != 2:
        raise RequestError(f"{text!r} is not understood; write never, or two numbers such as 2 2.")
    heard, silent = (int(number_in(w, f"click.{n}_measures")) for w, n in zip(words, ("heard", "silent"), strict=True))
    return _click(settings, heard_measures=heard, silent_measures=silent)


def _heard_words(click: ClickSettings) -> str:
    if not click.silent_measures:
        return "never"
    measures = "measure" if click.heard_measures == 1 else "measures"
    return f"after {click.heard_measures} {measures}, for {click.silent_measures}"


_PARTS = {1: "beats only", 2: "halves", 3: "thirds", 4: "quarters"}
_RESTS = {0: "none", 1: "one measure", 2: "two measures", 4: "four measures"}
_COUNT_IN = {0: "none", 1: "one measure", 2: "two measures"}
_MUSIC = {
    "dots": ("dots of braille", "engraved, in any terminal that has braille characters"),
    "characters": ("characters", "not engraved: heads, names and rhythm in rows"),
    "picture": ("a picture", "in terminals with kitty graphics or sixel, from the next start on"),
}

ROWS: tuple[Row, ...] = (
    Row(
        "Instrument",
        "for pieces whose file does not name one",
        lambda s: s.instrument,
        lambda s, text: replace(s, instrument=text.strip() or s.instrument),
        now=lambda s: s.instrument,
    ),
    Row(
        "Fingering chart",
        "",
        lambda s: chart_words(s.instrument),
        lambda s, text: replace(s, instrument=text),
        tuple(Choice(name, f"the chart of the {chart}", name) for name, chart in charted_instruments()),
        lambda s: s.instrument,
    ),
    Row(
        "Left E-flat lever",
        "",
        lambda s: "yes" if s.fingering.left_eflat_lever else "no",
        lambda s, text: replace(s, fingering=replace(s.fingering, left_eflat_lever=text == "yes")),
        (
            Choice("no", "the left little finger has four keys, as on most clarinets", "no"),
            Choice("yes", "the left little finger has the A-flat/E-flat key too", "yes"),
        ),
        lambda s: "yes" if s.fingering.left_eflat_lever else "no",
    ),
    Row("Sound", "", lambda s: s.output, lambda s, text: replace(s, output=text), now=lambda s: s.output),
    Row(
        "Level",
        "decibels, 0 is the loudest, -20 moderate; keep it low in headphones",
        lambda s: f"{s.level_db:g} dB (keep it low in headphones)",
        lambda s, text: replace(s, level_db=number_in(text, "level_db")),
        now=lambda s: f"{s.level_db:g}",
    ),
    Row(
        "Other parts",
        "decibels against your own part",
        lambda s: f"{s.others_db:g} dB",
        lambda s, text: replace(s, others_db=number_in(text, "others_db")),
        now=lambda s: f"{s.others_db:g}",
    ),
    Row(
        "Tuning",
        "hertz of the A above middle C, 392 to 466",
        lambda s: f"A = {s.tuning_hz:g} Hz",
        lambda s, text: replace(s, tuning_hz=number_in(text, "tuning_hz")),
        now=lambda s: f"{s.tuning_hz:g}",
    ),
    Row(
        "Click",
        "",
        lambda s: "on" if s.click.on else "off",
        lambda s, text: _click(s, on=text == "on"),
        (Choice("on", "", "on"), Choice("off", "", "off")),
        lambda s: "on" if s.click.on else "off",
    ),
    Row(
        "Click divides the beat",
        "",
        lambda s: _PARTS.get(s.click.subdivision, f"{s.click.subdivision} parts"),
        lambda s, text: _click(s, subdivision=int(text)),
        tuple(Choice(words, "", str(parts)) for parts, words in _PARTS.items()),
        lambda s: str(s.click.subdivision),
    ),
    Row(
        "Click on beats",
        "all, or some: 2 4",
        lambda s: " ".join(map(str, s.click.beats)) or "all",
        _beats,
        now=lambda s: " ".join(map(str, s.click.beats)) or "all",
    ),
    Row(
        "Click falls silent",
        "never, or measures heard and then silent: 2 2. You keep the time until it comes back",
        lambda s: _heard_words(s.click),
        _heard,
        now=lambda s: f"{s.click.heard_measures} {s.click.silent_measures}" if s.click.silent_measures else "never",
    ),
    Row(
        "Click level",
        "decibels against the voice",
        lambda s: f"{s.click.level_db:g} dB",
        lambda s, text: _click(s, level_db=number_in(text, "click.level_db")),
        now=lambda s: f"{s.click.level_db:g}",
    ),
    Row(
        "Count-in",
        "",
        lambda s: _COUNT_IN[s.click.count_in],
        lambda s, text: _click(s, count_in=int(text)),
        tuple(Choice(words, "", str(count)) for count, words in _COUNT_IN.items()),
        lambda s: str(s.click.count_in),
    ),
    Row(
        "Rest in a loop, Stand",
        "",
        lambda s: _RESTS.get(s.loop_rest, f"{s.loop_rest} measures"),
        lambda s, text: replace(s, loop_rest=int(text)),
        tuple(Choice(words, "between the laps", str(count)) for count, words in _RESTS.items()),
        lambda s: str(s.loop_rest),
    ),
    Row(
        "Rest in a loop, Drill",
        "",
        lambda s: _RESTS.get(s.drill_rest, f"{s.drill_rest} measures"),
        lambda s, text: replace(s, drill_rest=int(text)),
        tuple(Choice(words, "time to breathe, and to press a key", str(count)) for count, words in _RESTS.items()),
        lambda s: str(s.drill_rest),
    ),
    Row(
        "Repeats on the Stand",
        "",
        lambda s: "followed" if s.follow_repeats else "each measure once",
        lambda s, text: replace(s, follow_repeats=text == "yes"),
        (
            Choice("each measure once", "as the measures stand on the page", "no"),
            Choice("followed", "repeats, endings and jumps, as a run-through plays them", "yes"),
        ),
        lambda s: "yes" if s.follow_repeats else "no",
    ),
    Row(
        "Ladder for new spots",
        "",
        lambda s: s.ladder,
        lambda s, text: replace(s, ladder=text),
        tuple(Choice(rule.name, rule.words, rule.name) for rule in PRESETS),
        lambda s: s.ladder,
    ),
    Row(
        "Music",
        "",
        lambda s: _MUSIC[s.music][0],
        lambda s, text: replace(s, music=text),
        tuple(Choice(words, more, name) for name, (words, more) in _MUSIC.items()),
        lambda s: s.music,
    ),
    Row(
        "Colours",
        "",
        lambda s: s.theme or THEMES[0].name,
        lambda s, text: replace(s, theme=text),
        tuple(Choice(theme.name, "", theme.name) for theme in THEMES),
        lambda s: s.theme or THEMES[0].name,
    ),
)
