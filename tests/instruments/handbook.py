"""The clarinet as the handbook has it: the rows of its tables, as an outside check of our chart.

Source: the project's clarinet handbook, section A (tone holes), B (fingerings), C (trills). Notation of the handbook:
the thumb (T covers its hole, R presses the register key, - neither), left 1 2 3, a dot, right 1 2 3 (digit: covered,
o: open), then keys after a plus sign.
"""

from dataclasses import dataclass

_HOLES = """
H_REG | closed | REG | - | - | -
H_T4 | closed | SK4 | B4 | - | -
H_T3 | closed | SK3 | A#4 | - | -
H_A | closed | A | A4 | 17 | 325
H_GS | closed | GS A | G#4 | 31 | 534
P_G | open | LT L1 | G4 | 75 | 536
H_TH | open | LT | F#4 | 38 | 338
H_F2 | closed | SK2 | F#4 | 46 | 410
H_L1 | open | L1 | F4 | 30 | 204
P_E | open | L2 R1 R2 R3 | E4 | 50 | 322
H_L2 | open | L2 | D#4 | 52 | 155
H_EbR | closed | SK1 | D#4 | 69 | 224
H_EbL | closed | L_SLV | D#4 | 69 | 224
H_L3 | open | L3 | D4 | 15 | 85
H_CS | closed | L_CS | C#4 | 28 | 164
P_C | open | R1 R2 R3 | C4 | 40 | 140
H_R1 | open | R1 | B3 | 20 | 69
H_BF | closed | R_SLV | B3 | 29 | 107
H_R2 | open | R2 | A#3 | 31 | 53
H_R3 | open | R3 | A3 | 16 | 21
H_AB | closed | R_AB L_AB | G#3 | 19 | 24
P_FC | open | L_FC R_FC L_EB R_EB L_FS R_FS | G3 | 6 | 6
H_FS | closed | L_FS R_FS | F#3 | 11 | 11
P_EB | open | L_EB R_EB | F3 | - | -
BELL | open |  | E3 | - | -
"""

_FINGERINGS = """
E3 | L | T 123.123 + L_EB | 1 | chalumeau
E3 | R | T 123.123 + R_EB | 2 | chalumeau
E3 | L+rc | T 123.123 + L_EB R_FC | 3 | chalumeau
E3 | R+lc | T 123.123 + L_FC R_EB | 4 | chalumeau
E3 | both | T 123.123 + L_EB R_EB | 9 | chalumeau
F3 | R | T 123.123 + R_FC | 1 | chalumeau
F3 | L | T 123.123 + L_FC | 2 | chalumeau
F3 | both | T 123.123 + L_FC R_FC | 9 | chalumeau
F#3 | R | T 123.123 + R_FS | 1 | chalumeau
F#3 | L | T 123.123 + L_FS | 2 | chalumeau
F#3 | R+lc | T 123.123 + L_FC R_FS | 5 | chalumeau
F#3 | L+rc | T 123.123 + L_FS R_FC | 5 | chalumeau
F#3 | R+lb | T 123.123 + L_EB R_FS | 7 | chalumeau
F#3 | L+rb | T 123.123 + L_FS R_EB | 7 | chalumeau
F#3 | both | T 123.123 + L_FS R_FS | 9 | chalumeau
G3 | std | T 123.123 | 1 | chalumeau
G#3 | R | T 123.123 + R_AB | 1 | chalumeau
G#3 | L | T 123.123 + L_AB | 2 | chalumeau
G#3 | R+lc | T 123.123 + L_FC R_AB | 5 | chalumeau
G#3 | R+ls | T 123.123 + L_FS R_AB | 5 | chalumeau
G#3 | R+lb | T 123.123 + L_EB R_AB | 6 | chalumeau
A3 | std | T 123.12o | 1 | chalumeau
A#3 | std | T 123.1oo | 1 | chalumeau
B3 | std | T 123.o2o | 1 | chalumeau
B3 | fork | T 123.1oo + R_SLV | 2 | chalumeau
C4 | std | T 123.ooo | 1 | chalumeau
C#4 | std | T 123.ooo + L_CS | 1 | chalumeau
D4 | std | T 12o.ooo | 1 | chalumeau
D#4 | side | T 12o.ooo + SK1 | 1 | chalumeau
D#4 | sliver | T 12o.ooo + L_SLV | 2 | chalumeau
D#4 | 1-1 | T 1oo.1oo | 3 | chalumeau
D#4 | 1-2 | T 1oo.o2o | 4 | chalumeau
E4 | std | T 1oo.ooo | 1 | chalumeau
F4 | std | T ooo.ooo | 1 | chalumeau
F#4 | L1 | - 1oo.ooo | 1 | chalumeau
F#4 | side | T ooo.ooo + SK1 SK2 | 2 | chalumeau
F#4 | side2 | T ooo.ooo + SK2 | 3 | chalumeau
G4 | std | - ooo.ooo | 1 | throat
G4 | rhdown | - ooo.123 | 2 | throat
G4 | rhdown+rc | - ooo.123 + R_FC | 3 | throat
G#4 | std | - ooo.ooo + GS | 1 | throat
G#4 | rhdown | - ooo.123 + GS | 2 | throat
G#4 | rhdown+rc | - ooo.123 + GS R_FC | 3 | throat
G#4 | resonance | - o23.o23 + GS | 5 | throat
A4 | std | - ooo.ooo + A | 1 | throat
A4 | rhdown | - ooo.123 + A | 2 | throat
A4 | rhdown+rc | - ooo.123 + A R_FC | 3 | throat
A4 | resonance | - o23.o23 + A | 5 | throat
A#4 | std | -R ooo.ooo + A | 1 | throat
A#4 | rhdown | -R ooo.123 + A | 2 | throat
A#4 | rhdown+rc | -R ooo.123 + A R_FC | 3 | throat
A#4 | trill3 | - ooo.ooo + A SK3 | 4 | throat
A#4 | resonance | -R oo3.o23 + A | 5 | throat
B4 | L | TR 123.123 + L_EB | 1 | clarion
B4 | R | TR 123.123 + R_EB | 2 | clarion
B4 | L+rc | TR 123.123 + L_EB R_FC | 3 | clarion
B4 | R+lc | TR 123.123 + L_FC R_EB | 4 | clarion
B4 | throat4 | - ooo.ooo + A SK4 | 7 | throat
B4 | throat-r3 | -R ooo.ooo + A SK3 | 8 | throat
B4 | both | TR 123.123 + L_EB R_EB | 9 | clarion
C5 | R | TR 123.123 + R_FC | 1 | clarion
C5 | L | TR 123.123 + L_FC | 2 | clarion
C5 | throat34 | -R ooo.ooo + A SK3 SK4 | 8 | throat
C5 | both | TR 123.123 + L_FC R_FC | 9 | clarion
C#5 | R | TR 123.123 + R_FS | 1 | clarion
C#5 | L | TR 123.123 + L_FS | 2 | clarion
C#5 | R+lc | TR 123.123 + L_FC R_FS | 5 | clarion
C#5 | L+rc | TR 123.123 + L_FS R_FC | 5 | clarion
C#5 | R+lb | TR 123.123 + L_EB R_FS | 7 | clarion
C#5 | L+rb | TR 123.123 + L_FS R_EB | 7 | clarion
C#5 | both | TR 123.123 + L_FS R_FS | 9 | clarion
D5 | std | TR 123.123 | 1 | clarion
D#5 | R | TR 123.123 + R_AB | 1 | clarion
D#5 | L | TR 123.123 + L_AB | 2 | clarion
D#5 | R+lc | TR 123.123 + L_FC R_AB | 5 | clarion
D#5 | R+ls | TR 123.123 + L_FS R_AB | 5 | clarion
D#5 | R+lb | TR 123.123 + L_EB R_AB | 6 | clarion
E5 | std | TR 123.12o | 1 | clarion
F5 | std | TR 123.1oo | 1 | clarion
F#5 | std | TR 123.o2o | 1 | clarion
F#5 | fork | TR 123.1oo + R_SLV | 2 | clarion
G5 | std | TR 123.ooo | 1 | clarion
G#5 | std | TR 123.ooo + L_CS | 1 | clarion
A5 | std | TR 12o.ooo | 1 | clarion
A#5 | side | TR 12o.ooo + SK1 | 1 | clarion
A#5 | sliver | TR 12o.ooo + L_SLV | 2 | clarion
A#5 | 1-1 | TR 1oo.1oo | 3 | clarion
A#5 | 1-2 | TR 1oo.o2o | 4 | clarion
B5 | std | TR 1oo.ooo | 1 | clarion
C6 | std | TR ooo.ooo | 1 | clarion
C#6 | std | TR o23.12o | 1 | altissimo
C#6 | side | TR ooo.ooo + SK1 SK2 | 2 | clarion
C#6 | std+ab | TR o23.12o + R_AB | 4 | altissimo
D6 | std | TR o23.1oo + R_AB | 1 | altissimo
D6 | noab | TR o23.1oo | 3 | altissimo
D6 | throat3 | TR ooo.ooo + SK3 | 6 | clarion
D#6 | std | TR o23.o2o + R_AB | 1 | altissimo
D#6 | sliver | TR o23.1oo + R_SLV R_AB | 2 | altissimo
E6 | std | TR o23.ooo + R_AB | 1 | altissimo
F6 | std | TR o23.ooo + L_CS R_AB | 1 | altissimo
F#6 | std | TR o2o.ooo + R_AB | 1 | altissimo
F#6 | long | TR o23.123 + R_AB | 4 | altissimo
G6 | std | TR o2o.1oo + R_AB | 1 | altissimo
G#6 | std | TR o23.o2o | 1 | altissimo
A6 | std | TR o23.ooo | 1 | altissimo
A#6 | std | TR o23.ooo + L_CS | 1 | altissimo
B6 | std | TR o2o.ooo | 1 | altissimo
C7 | std | TR 12o.ooo + SK1 R_AB | 1 | altissimo
C7 | 1-1 | TR 1oo.1oo + R_AB | 2 | altissimo
"""

_TRILLS = """
E3-F3 | T 123.123 + R_FC | L_EB | lift
F3-F#3 | T 123.123 + L_FC | R_FS | add
F#3-G3 | T 123.123 | R_FS | lift
G3-G#3 | T 123.123 | R_AB | add
G#3-A3 | T 123.12o + R_AB | R3 | lift
A3-A#3 | T 123.1oo | R2 | lift
A#3-B3 | T 123.1oo | R_SLV | add
B3-C4 | T 123.ooo | R2 | lift
C4-C#4 | T 123.ooo | L_CS | add
C#4-D4 | T 12o.ooo + L_CS | L3 | lift
D4-D#4 | T 12o.ooo | L_SLV | add
D#4-E4 | T 1oo.ooo | R1 | lift
E4-F4 | T ooo.ooo | L1 | lift
F4-F#4 | T ooo.ooo | SK1 SK2 | add
F#4-G4 | - ooo.ooo | L1 | lift
G4-G#4 | - ooo.ooo | GS | add
G#4-A4 | - ooo.ooo + GS | A | add
A4-A#4 | - ooo.ooo + A | SK3 | add
A#4-B4 | -R ooo.ooo + A | SK3 | add
B4-C5 | TR 123.123 + R_FC | L_EB | lift
C5-C#5 | TR 123.123 + L_FC | R_FS | add
C#5-D5 | TR 123.123 | R_FS | lift
D5-D#5 | TR 123.123 | R_AB | add
D#5-E5 | TR 123.12o + R_AB | R3 | lift
E5-F5 | TR 123.1oo | R2 | lift
F5-F#5 | TR 123.1oo | R_SLV | add
F#5-G5 | TR 123.ooo | R2 | lift
G5-G#5 | TR 123.ooo | L_CS | add
G#5-A5 | TR 12o.ooo + L_CS | L3 | lift
A5-A#5 | TR 12o.ooo | L_SLV | add
A#5-B5 | TR 1oo.ooo | R1 | lift
B5-C6 | TR ooo.ooo | L1 | lift
C6-C#6 | TR ooo.ooo | SK1 SK2 | add
C#6-D6 | TR o23.1oo + R_AB | R2 | lift
D6-D#6 | TR o23.1oo + R_AB | R_SLV | add
E3-F#3 | T 123.123 + L_EB | R_FS | add
F3-G3 | T 123.123 | R_FC | lift
F#3-G#3 | T 123.123 + L_FS | R_AB | add
G3-A3 | T 123.12o | R3 | lift
G#3-A#3 | T 123.1oo + R_AB | R2 R3 | lift
A3-B3 | T 123.o2o | R1 | lift
A#3-C4 | T 123.ooo | R1 | lift
B3-C#4 | T 123.o2o | L_CS | add
C4-D4 | T 12o.ooo | L3 | lift
C#4-D#4 | T 123.ooo + L_CS | SK1 | add
D4-E4 | T 1oo.ooo | L2 | lift
D#4-F4 | T ooo.1oo | L1 | lift
E4-F#4 | T 1oo.ooo | SK1 SK2 | add
F4-G4 | - ooo.ooo | LT | lift
F#4-G#4 | T ooo.ooo + SK1 SK2 | GS | add
G4-A4 | - ooo.ooo | A | add
G4-A4 (alt.) | - ooo.ooo | SK3 | add
G#4-A#4 | - ooo.ooo + GS | SK3 SK4 | add
A4-B4 | - ooo.ooo + A | SK4 | add
A#4-C5 | -R ooo.ooo + A | SK3 SK4 | add
B4-C#5 | TR 123.123 + L_EB | R_FS | add
C5-D5 | TR 123.123 | R_FC | lift
C#5-D#5 | TR 123.123 + L_FS | R_AB | add
D5-E5 | TR 123.12o | R3 | lift
D#5-F5 | TR 123.1oo + R_AB | R2 R3 | lift
E5-F#5 | TR 123.o2o | R1 | lift
F5-G5 | TR 123.ooo | R1 | lift
F#5-G#5 | TR 123.o2o | L_CS | add
G5-A5 | TR 12o.ooo | L3 | lift
G#5-A#5 | TR 123.ooo + L_CS | SK1 | add
A5-B5 | TR 1oo.ooo | L2 | lift
A#5-C6 | TR ooo.1oo | L1 | lift
B5-C#6 | TR 1oo.ooo | SK1 SK2 | add
C6-D6 | TR ooo.ooo | SK3 | add
C#6-D#6 | TR o23.o2o + R_AB | R1 | lift
D6-E6 | TR o23.ooo + R_AB | R1 | lift
"""


@dataclass(frozen=True)
class Row:
    """A fingering of the handbook."""

    pitch: str
    choice: str
    controls: frozenset[str]
    rank: int
    register: str


@dataclass(frozen=True)
class TrillRow:
    """A trill of the handbook."""

    lower: str
    upper: str
    alternative: bool
    hold: frozenset[str]
    move: frozenset[str]
    lifts: bool


@dataclass(frozen=True)
class HoleRow:
    """A tone hole of the handbook; `moved_by` are controls only."""

    id: str
    open: bool
    moved_by: frozenset[str]
    low: str
    drop_next: int
    drop_all: int


def controls(notation: str) -> frozenset[str]:
    """What is pressed, from the handbook's notation."""
    hand, _, keys = notation.partition(" + ")
    thumb, _, fingers = hand.partition(" ")
    left, _, right = fingers.partition(".")
    found = set(keys.split()) | {name for sign, name in (("T", "LT"), ("R", "REG")) if sign in thumb}
    found |= {f"L{digit}" for digit in left if digit != "o"} | {f"R{digit}" for digit in right if digit != "o"}
    return frozenset(found)


def _rows(text: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split(" | ")] for line in text.strip().splitlines()]


FINGERINGS = tuple(
    Row(pitch, choice, controls(notation), int(rank), register)
    for pitch, choice, notation, rank, register in _rows(_FINGERINGS)
)


def _trill(name: str, hold: str, move: str, tap: str) -> TrillRow:
    lower, upper = name.removesuffix(" (alt.)").split("-")
    return TrillRow(lower, upper, "alt" in name, controls(hold), frozenset(move.split()), tap == "lift")


TRILLS = tuple(_trill(*row) for row in _rows(_TRILLS))

HOLES = tuple(
    HoleRow(
        name, rest == "open", frozenset(moved.split()), low, int(near.replace("-", "0")), int(far.replace("-", "0"))
    )
    for name, rest, moved, low, near, far in _rows(_HOLES)
)
