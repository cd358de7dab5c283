"""Dynamics by name, for sentences."""

from coach.prepare.dynamics.steps import LEVEL_DB

_NAMES = {
    "pp": "pianissimo",
    "p": "piano",
    "mp": "mezzo piano",
    "mf": "mezzo forte",
    "f": "forte",
    "ff": "fortissimo",
    "n": "niente",
    "fp": "fortepiano",
    "sf": "sforzato",
    "sfz": "sforzato",
    "fz": "forzato",
    "rf": "rinforzando",
    "rfz": "rinforzando",
}
_USUAL = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff")


def dynamic_name(sign: str) -> str:
    """The name of a dynamic, "mezzo forte"; the sign itself for the rare ones."""
    return _NAMES.get(sign, sign)


def level_sign(level_db: float) -> str:
    """The sign nearest to a level in dB against mezzoforte."""
    return min(_USUAL, key=lambda sign: abs(LEVEL_DB[sign] - level_db))


def sentence(words: str) -> str:
    """Words as a sentence; a sign at its beginning stays as it is written."""
    first = words.split(" ", 1)[0]
    return f"{words if first in LEVEL_DB and first not in _NAMES else words[0].upper() + words[1:]}."
