"""The lines of Setup that concern the player's air: every value with its unit, and whether it is a default, set, or
measured."""

from collections.abc import Callable
from dataclasses import replace

from coach.config import AirSettings, Settings
from coach.errors import RequestError
from coach.instruments.air import DYNAMICS, FLOWS, MOST_SHARE
from coach.instruments.lungs import AGES, EQUATIONS
from coach.lesson.breathing import air_of, usable_litres
from coach.lesson.long_tones import flows_by_name, litres_known
from coach.screen.dialogs import Choice
from coach.screen.setup.rows import Row, number_in

MEASURE = "Measure with long tones"
_USUAL = AirSettings()
_REGISTERS = ("low", "throat", "clarion", "high")


def _air(settings: Settings, **changes: object) -> Settings:
    return replace(settings, air=replace(settings.air, **changes))  # type: ignore[arg-type]  # by field name


def _standing(set_: bool, unknown: str = "") -> str:
    """Whether a value is set, else that it is a default, and what is not known of it."""
    return "set" if set_ else f"default{': ' if unknown else ''}{unknown}"


def _litres_words(settings: Settings) -> str:
    try:
        litres, source = usable_litres(settings.air)
    except RequestError as error:
        return f"! {error}"
    if not litres_known(settings.air):
        source = "default: how much you have is not known"
    return f"{litres:.2f} L ({'set' if settings.air.litres else source})"


def _take_litres(settings: Settings, text: str) -> Settings:
    wanted = _air(settings, litres=number_in(text, "air.litres") if text.strip() else 0.0)
    if wanted.air.litres:
        air_of(wanted.air)
    return wanted


def _unknown_or(value: float, unit: str) -> str:
    return f"{value:g} {unit} (set)" if value else "not said"


def _body(name: str, field: str, unit: str, hint: str, least: float) -> Row:
    def change(settings: Settings, text: str) -> Settings:
        value = number_in(text, f"air.{field}") if text.strip() else 0.0
        if value and value < least:
            raise RequestError(f"{value:g} {unit} is less than the equations were made for; write {least:g} or more.")
        return _checked(_air(settings, **{field: value}))

    return Row(
        name,
        hint,
        lambda s: _unknown_or(getattr(s.air, field), unit),
        change,
        now=lambda s: f"{getattr(s.air, field):g}" if getattr(s.air, field) else "",
    )


def _checked(settings: Settings) -> Settings:
    """The settings, if the lungs can be reckoned from them. Raises RequestError."""
    if not settings.air.litres:
        usable_litres(settings.air)
    return settings


def _flow(dynamic: str) -> Row:
    def value(settings: Settings) -> str:
        air = settings.air
        flows = flows_by_name(air)
        flow = flows.get(dynamic, FLOWS[dynamic])
        if air.flows and air.measured_litres:
            return f"{flow:.3f} L/s (measured{_stale(air)})"
        return f"{flow:.3f} L/s ({_standing(flow != FLOWS[dynamic], 'a model, nobody measured you')})"

    def change(settings: Settings, text: str) -> Settings:
        flows = {**FLOWS, **flows_by_name(settings.air), dynamic: number_in(text, "air.flows")}
        return _air(settings, flows=tuple(flows[name] for name in DYNAMICS), measured_litres=0.0)

    return Row(
        f"Air at {dynamic}",
        f"litres a second at {dynamic}, 0.05 to 1.6 (what all winds need); {FLOWS[dynamic]:.2f} by default",
        value,
        change,
        now=lambda s: f"{flows_by_name(s.air).get(dynamic, FLOWS[dynamic]):g}",
    )


def _stale(air: AirSettings) -> str:
    """What measured flows are worth when the litres are other ones now."""
    now = usable_litres(air)[0] if litres_known(air) else air.measured_litres
    return "" if abs(now - air.measured_litres) < 0.01 else f" with {air.measured_litres:g} L: measure again"


def _seconds(name: str, field: str, hint: str, unknown: str = "") -> Row:
    usual = getattr(_USUAL, field)
    return Row(
        name,
        hint,
        lambda s: f"{getattr(s.air, field):g} s ({_standing(getattr(s.air, field) != usual, unknown)})",
        lambda s, text: _air(s, **{field: number_in(text, f"air.{field}")}),
        now=lambda s: f"{getattr(s.air, field):g}",
    )


def _per_cent(name: str, field: str, hint: str, of: str, unknown: str = "") -> Row:
    usual = getattr(_USUAL, field)

    def words(settings: Settings) -> str:
        value = getattr(settings.air, field)
        return f"{100 * value:g} % of {of} ({_standing(value != usual, unknown)})"

    return Row(
        name,
        hint,
        words,
        lambda s, text: _checked(_air(s, **{field: _share(text, f"air.{field}")})),
        now=lambda s: f"{100 * getattr(s.air, field):g}",
    )


def _share(text: str, limit: str) -> float:
    return round(number_in(text.strip().removesuffix("%"), limit, per_cent=True), 6)


def _registers(settings: Settings) -> str:
    factors = settings.air.registers or (1.0,) * len(_REGISTERS)
    said = ", ".join(f"{factor:g}" for factor in factors)
    return f"times {said} ({_standing(bool(settings.air.registers), 'not known')})"


def _take_registers(settings: Settings, text: str) -> Settings:
    words = text.replace(",", " ").split()
    if len(words) != len(_REGISTERS):
        raise RequestError(f"{text!r} is not understood; write four factors such as 1 1 1.1 1.2.")
    factors = tuple(number_in(word, "air.registers") for word in words)
    return _air(settings, registers=() if set(factors) == {1.0} else factors)


def _chosen(field: str) -> Callable[[Settings, str], Settings]:
    return lambda settings, text: _checked(_air(settings, **{field: text}))


_GROUP = "given for the group that its paper calls Caucasian"
_EQUATION_WORDS = {
    "GLI 2022": "the same for everybody, whatever their origin",
    "GLI 2012": _GROUP,
    "NHANES III": _GROUP,
    "ECSC 1993": "older, linear",
}

AIR_ROWS: tuple[Row, ...] = (
    Row(
        "Air in one breath",
        "litres that you use in one breath, 0.3 to 8; empty: reckoned from the lines below, else a default",
        _litres_words,
        _take_litres,
        now=lambda s: f"{s.air.litres:g}" if s.air.litres else "",
    ),
    Row(
        "Sex",
        "",
        lambda s: f"{s.air.sex} (set)" if s.air.sex else "not said",
        _chosen("sex"),
        (
            Choice("not said", "the litres are then typed, or a default", ""),
            Choice("female", "the equations were made for two sexes; choose the nearer, or type the litres", "female"),
            Choice("male", "", "male"),
        ),
        lambda s: s.air.sex,
    ),
    _body("Age", "age", "years", "years; empty: not said", 8),
    _body("Height", "height_cm", "cm", "centimetres; empty: not said", 100),
    Row(
        "Equation",
        "",
        lambda s: f"{s.air.equation} ({_standing(s.air.equation != _USUAL.equation)})",
        _chosen("equation"),
        tuple(
            Choice(name, f"{_EQUATION_WORDS[name]}; ages {AGES[name][0]:g} to {AGES[name][1]:g}", name)
            for name in EQUATIONS
        ),
        lambda s: s.air.equation,
    ),
    _per_cent(
        "Usable share",
        "share",
        f"per cent of the vital capacity, {100 * MOST_SHARE:g} at most: players were seen to begin at 87 per cent "
        "of it at most and to end at 14 at least (Fuks and Sundberg 1999)",
        "the vital capacity",
        "yours not known",
    ),
    *(_flow(name) for name in DYNAMICS),
    Row(
        "Air by register",
        "four factors of the flow: up to F#4, throat notes, up to C6, above: 1 1 1 1",
        _registers,
        _take_registers,
        now=lambda s: " ".join(f"{factor:g}" for factor in s.air.registers or (1.0,) * len(_REGISTERS)),
    ),
    _seconds("A full breath takes", "full_s", "seconds; it fills up"),
    _seconds("A catch breath takes", "catch_s", "seconds", "how quick yours is, is not known"),
    _per_cent("A catch breath gives", "catch_share", "per cent of the litres in one breath", "a breath"),
    _per_cent("The note before keeps", "keep_share", "per cent of its length that it keeps at least", "its length"),
    _seconds("and at least", "keep_s", "seconds that it keeps at least"),
    _per_cent("Reserve of loud notes", "reserve", "per cent of a breath below which no loud note may end", "a breath"),
)
