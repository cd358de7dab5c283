"""A player's air: how much there is, how fast it goes, and what a breath brings back.

A model, not measurements; every figure can be set. No table of a clarinet's air flow by dynamic and register was
found in print (the handbook's facts, section 1.1). What bounds it: all winds need 0.05 to 1.6 L/s (Bouhuys 1964, J
Appl Physiol 19:967-975); a reed valve passes at most (2/3) w H sqrt(2 pM / (3 rho)), at a third of the pressure pM
that shuts it, which is 0.19 to 0.32 L/s for a clarinet's reed (quasi-static Bernoulli reed; Wilson and Beavers 1974,
from memory). The default flows lie between. Players begin breath groups at 55 to 87 per cent of the vital capacity
and end them at 14 to 52 (Fuks and Sundberg 1999, Med Probl Perform Art 14:30), so at most 73 per cent is used in one
breath. Not known: how much one player uses, how long a clarinettist's quick breath is, how flow changes with
register. The player's own long tones say more (`flow_from_long_tones`).
"""

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

MOST_SHARE = 0.73
# Between the middle of what Fuks and Sundberg saw (38 per cent) and the widest; a default.
USUAL_SHARE = 0.6
USUAL_LITRES = 2.5
LEAST_FLOW, MOST_FLOW = 0.05, 1.6
LEAST_LITRES, MOST_LITRES = 0.3, 8.0
DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff")
FLOWS: Mapping[str, float] = {"pp": 0.10, "p": 0.13, "mp": 0.16, "mf": 0.20, "f": 0.25, "ff": 0.30}


@dataclass(frozen=True, slots=True)
class Air:
    """What a player has and spends. `litres` are usable in one breath; `flows` are litres a second for DYNAMICS. A full
    breath takes `full_s` seconds and fills up; a catch breath takes `catch_s` and adds `catch_share` of the litres. A
    note that gives its end to a breath keeps `keep_share` of its length and `keep_s` seconds at least. A loud note
    never falls below `reserve` of the litres. `registers` are factors of the flow by register (low to high: up to the
    written F#4, the throat notes, up to C6, above)."""

    litres: float = USUAL_LITRES
    flows: tuple[float, ...] = tuple(FLOWS[name] for name in DYNAMICS)
    full_s: float = 0.6
    catch_s: float = 0.3
    catch_share: float = 0.4
    keep_share: float = 0.5
    keep_s: float = 0.25
    reserve: float = 0.0
    registers: tuple[float, float, float, float] = (1.0, 1.0, 1.0, 1.0)

    def flow(self, level_db: float, midi: int, step_db: float) -> float:
        """Litres a second at a level in dB against mezzoforte, where a dynamic is `step_db` from the next, on a written
        pitch; evenly between the dynamics of the table, and level beyond its ends."""
        steps = level_db / step_db + DYNAMICS.index("mf")
        low = min(max(int(steps // 1), 0), len(self.flows) - 2)
        share = min(max(steps - low, 0.0), 1.0)
        flow = self.flows[low] + share * (self.flows[low + 1] - self.flows[low])
        return flow * self.registers[bisect_left(_TOPS, midi)]


# The highest written notes of the chalumeau, the throat register and the clarion.
_TOPS = (66, 70, 84)


def reed_flow(pressure_kpa: float, shut_kpa: float, width_mm: float, opening_mm: float, density: float = 1.2) -> float:
    """Litres a second through a reed valve at a mouth pressure (quasi-static Bernoulli): w H (1 - p/pM) sqrt(2 p/rho),
    0 above the pressure that shuts it. `density` of the air in kg/m3."""
    if not 0 <= pressure_kpa <= shut_kpa:
        return 0.0
    opening_m2 = width_mm * opening_mm * 1e-6 * (1 - pressure_kpa / shut_kpa)
    return opening_m2 * sqrt(2 * pressure_kpa * 1000 / density) * 1000


def flow_from_long_tones(litres: float, held_s: Mapping[str, float]) -> tuple[float, ...]:
    """The table of flows that long tones tell: a full breath of `litres`, held to its end in `held_s` seconds at some
    of DYNAMICS. The dynamics between and beyond keep the default's proportion to the nearest measured ones. Raises
    ValueError, a clause with the remedy."""
    known = {name: litres / seconds for name, seconds in held_s.items() if seconds > 0}
    strange = [name for name in held_s if name not in DYNAMICS]
    if strange or not known:
        raise ValueError(f"hold a note at one dynamic at least, of {', '.join(DYNAMICS)}")
    for name, flow in known.items():
        if not LEAST_FLOW <= flow <= MOST_FLOW:
            raise ValueError(
                f"{litres:g} litres in {held_s[name]:g} seconds at {name} is {flow:.3f} litres a second, which no wind "
                f"player was seen to need ({LEAST_FLOW:g} to {MOST_FLOW:g}); measure again"
            )
    ratio = {DYNAMICS.index(name): flow / FLOWS[name] for name, flow in known.items()}
    places = sorted(ratio)

    def factor(k: int) -> float:
        if k <= places[0] or k >= places[-1]:
            return ratio[places[0] if k <= places[0] else places[-1]]
        after = places[bisect_left(places, k)]
        if after == k:
            return ratio[k]
        before = places[bisect_left(places, k) - 1]
        return ratio[before] + (k - before) / (after - before) * (ratio[after] - ratio[before])

    return tuple(FLOWS[name] * factor(k) for k, name in enumerate(DYNAMICS))
