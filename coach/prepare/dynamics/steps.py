"""What the signs of dynamics mean in decibels.

The steps are a default of this program, evenly spaced and not measured: players, rooms and registers differ. (MusicXML
too leaves its sound's dynamics, a percentage of a forte, to whoever writes the file.)
"""

STEP_DB = 4.0
NIENTE_DB = -36.0
DEFAULT_MARK = "mf"

# dB against mezzoforte of dynamics that hold until the next one.
LEVEL_DB: dict[str, float] = {
    "mf": 0.0,
    "mp": -STEP_DB,
    **{"f" * k: STEP_DB * k for k in range(1, 7)},
    **{"p" * k: -STEP_DB * (k + 1) for k in range(1, 7)},
    "n": NIENTE_DB,
}
LOUDEST_DB = LEVEL_DB["ffffff"]
# Dynamics of one note: dB added to it, and the dynamic that holds afterwards ("" leaves the one in force).
ATTACKS: dict[str, tuple[float, str]] = {
    "sf": (4.0, ""),
    "sfz": (5.0, ""),
    "fz": (4.0, ""),
    "rf": (3.0, ""),
    "rfz": (3.0, ""),
    "sffz": (7.0, ""),
    "fp": (0.0, "p"),
    "sfp": (2.0, "p"),
    "sfzp": (3.0, "p"),
    "sfpp": (2.0, "pp"),
    "pf": (0.0, "f"),
}
# The level at which a note with such a mark begins before it falls (or rises) to what follows.
BEGINS: dict[str, str] = {"fp": "f", "sfp": "f", "sfzp": "f", "sfpp": "f", "pf": "p"}
ACCENT_DB: dict[str, float] = {"accent": 4.0, "strong-accent": 6.0, "soft-accent": 2.0, "stress": 2.0, "unstress": -2.0}
