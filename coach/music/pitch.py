"""Spelled pitches and transposition."""

from dataclasses import dataclass

STEPS = "CDEFGAB"
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SPOKEN = {-2: " double flat", -1: " flat", 1: " sharp", 2: " double sharp"}
_SIMPLE = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch: `step` is one of CDEFGAB, `alter` counts semitones (2: double sharp); middle C has octave 4."""

    step: str
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        """MIDI note number; middle C is 60."""
        return 12 * (self.octave + 1) + _SEMITONES[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        """Staff position: the number of steps above C0."""
        return 7 * self.octave + STEPS.index(self.step)

    @property
    def accidental(self) -> str:
        """The alteration as text: "", "#", "##", "b", "bb"."""
        return "#" * self.alter if self.alter > 0 else "b" * -self.alter

    @property
    def name(self) -> str:
        """The name as spelled, such as "C#5", "Bb4" or "F##4"."""
        return f"{self.step}{self.accidental}{self.octave}"

    @property
    def spoken(self) -> str:
        """The name without its octave as it is said: "E flat", "D", "F double sharp"."""
        return f"{self.step}{_SPOKEN.get(self.alter, '')}"

    @property
    def plain(self) -> "Pitch":
        """The simplest enharmonic spelling; a single sharp or flat on a black key stays as it is spelled."""
        if abs(self.alter) <= 1 and self.midi % 12 not in (0, 2, 4, 5, 7, 9, 11):
            return self
        return from_midi(self.midi)


def from_midi(midi: int) -> Pitch:
    """The simplest spelling of a MIDI note number (C#, Eb, F#, Ab, Bb for the black keys)."""
    name = _SIMPLE[midi % 12]
    return Pitch(name[0], {"": 0, "#": 1, "b": -1}[name[1:]], midi // 12 - 1)


def parse_pitch(text: str) -> Pitch:
    """Read a name such as "C#5", "Bb4" or "F##4". Raises ValueError for anything else."""
    step, digits = text[:1].upper(), text[1:].lstrip("#b")
    accidental = text[1 : len(text) - len(digits)]
    if not step or step not in STEPS or not digits.lstrip("-").isdigit() or len(set(accidental)) > 1:
        raise ValueError(f"{text!r} is not a pitch; write it like C#5, Bb4 or F##4")
    return Pitch(step, accidental.count("#") - accidental.count("b"), int(digits))


@dataclass(frozen=True, slots=True)
class Transposition:
    """What is added to a written pitch to get the sounding one (the B-flat clarinet: -1 step, -2 semitones)."""

    diatonic: int = 0
    chromatic: int = 0
    octaves: int = 0

    @property
    def semitones(self) -> int:
        """Semitones from written to sounding."""
        return self.chromatic + 12 * self.octaves

    def sounding(self, written: Pitch) -> Pitch:
        """The sounding pitch of a written one, spelled by the diatonic step."""
        position = written.diatonic + self.diatonic + 7 * self.octaves
        octave, step = divmod(position, 7)
        natural = Pitch(STEPS[step], 0, octave)
        return Pitch(natural.step, written.midi + self.semitones - natural.midi, octave)

    def written(self, sounding: Pitch) -> Pitch:
        """The written pitch of a sounding one, spelled by the diatonic step."""
        return Transposition(-self.diatonic, -self.chromatic, -self.octaves).sounding(sounding)

    @property
    def fifths(self) -> int:
        """Sharps that the sounding key has more than the written one (the B-flat clarinet: -2)."""
        return 7 * self.chromatic - 12 * self.diatonic
