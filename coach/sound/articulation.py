"""How a note of the built-in voice begins, joins and ends, in seconds and shapes.

Trade practice turned into defaults, not measured: a soft note speaks more gently than a loud one, an accent more
quickly; fingers glide over a step and part a leap by a small dip; the tongue stops a note at once, the breath lets it
die away. Levels are in dB against the loudest of the part, intervals in semitones.
"""

from dataclasses import dataclass

from coach.sound.timeline import Event

_SOFT_DB = -24.0
ATTACK_S = (0.022, 0.055)  # at 0 dB, at the softest
_ACCENT_SHARE = 0.6
# Of a short note, however soft.
_MOST_OF_NOTE = 0.25
STOPPED_S = (0.022, 0.034)
OPEN_S = (0.08, 0.14)
STEP_S, LEAP_S = 0.014, 0.026
_GLIDE_S = 0.010
# Up to a whole step (and what a glide under way adds) it is a step.
STEP_SEMITONES, _LEAP_SEMITONES = 2.5, 12.0
# A leap bends this far, a step glides all the way.
_BEND_SEMITONES = 1.0
# Power of the halves of the crossing: a step, whose halves add up, dips by about a dB, a leap by about four.
DIP = (1.2, 1.35)


@dataclass(frozen=True, slots=True)
class Join:
    """A slur: how long the two notes cross, how deep the dip, how long the glide and how far it goes (semitones)."""

    cross_s: float
    dip: float
    glide_s: float
    bend: float


@dataclass(frozen=True, slots=True)
class Attack:
    """A tongued beginning: how long the tone takes, how far its brightness lags (0 to 1), how much louder than usual
    the breath is at first (a factor), how far an accent's level starts above its own (dB)."""

    length_s: float
    lag: float
    burst: float
    over_db: float


def attack(event: Event, level_db: float, length_s: float) -> Attack:
    """The beginning of a tongued note that starts at a level and lasts so long."""
    soft = _soft(level_db)
    full_s = ATTACK_S[0] + (ATTACK_S[1] - ATTACK_S[0]) * soft
    if event.accented:
        return Attack(min(full_s * _ACCENT_SHARE, _MOST_OF_NOTE * length_s), 0.2, 4.0, 1.5)
    return Attack(min(full_s, _MOST_OF_NOTE * length_s), 0.5, 2.5 - 1.0 * soft, 0.0)


def join(semitones: float, length_s: float) -> Join:
    """The slur over an interval to a note that lasts so long."""
    size = abs(semitones)
    leap = min(max((size - STEP_SEMITONES) / (_LEAP_SEMITONES - STEP_SEMITONES), 0.0), 1.0)
    cross_s = min(STEP_S + (LEAP_S - STEP_S) * leap, _MOST_OF_NOTE * length_s)
    bend = size if size <= STEP_SEMITONES else _BEND_SEMITONES
    return Join(cross_s, DIP[0] + (DIP[1] - DIP[0]) * leap, min(_GLIDE_S, cross_s), bend)


def release_s(event: Event, level_db: float) -> float:
    """How long the end of a note takes that is not slurred on."""
    first, last = OPEN_S if event.ends_open else STOPPED_S
    return first + (last - first) * _soft(level_db)


def _soft(level_db: float) -> float:
    return min(max(level_db / _SOFT_DB, 0.0), 1.0)
