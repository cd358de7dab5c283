"""A few notes typed by hand: "G#3 F#3:2 E#3" are pitches with lengths in quarters, "r" is a rest."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.instruments.passage import Step
from coach.music.pitch import Pitch, parse_pitch
from coach.music.text import one_line

MOST_NOTES = 2000
LONGEST_Q = 256
_SHOWN = 24  # characters of what is not understood that are repeated
_QUARTER_TONE = re.compile(r"[A-Ga-g](?:#|b|x)*(?:[+~^]|-(?=-?\d)|q|½|¼|¾|1/[24]|\.5|quarter)[#b]*-?\d*", re.IGNORECASE)
_NUMBER = re.compile(r"\d{1,6}(?:\.\d{1,6})?|\.\d{1,6}|\d{1,6}/\d{1,6}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Typed:
    """One thing typed: the step that it is, or what is wrong with it and the remedy. A rest is neither."""

    text: str
    step: Step | None = None
    fault: str = ""


def few_notes(text: str, quarter_s: float, joined: bool = True) -> tuple[Typed, ...]:
    """What was typed, word by word, `quarter_s` seconds a quarter, slurred if `joined`; the ids of the steps count from
    "1". Nothing is raised: a word that is no note says why."""
    found: list[Typed] = []
    onset_q = Fraction(0)
    words = text.replace(",", " ").replace("|", " ").split()
    for word in words[:MOST_NOTES]:
        name, colon, length = word.partition(":")
        try:
            length_q = _length(length) if colon else Fraction(1)
            pitch = None if name in ("r", "R") else _pitch(name)
        except ValueError as error:
            found.append(Typed(word, fault=f"{one_line(word, _SHOWN)!r} {error}"))
            continue
        if pitch is None:
            _rest(found, float(length_q) * quarter_s)
        else:
            found.append(Typed(word, _step(len(found) + 1, pitch, onset_q, length_q, quarter_s, joined)))
        onset_q += length_q
    if len(words) > MOST_NOTES:
        left = len(words) - MOST_NOTES
        found.append(Typed("", fault=f"the last {left} words are left out; for so many notes put a score on the stand"))
    return tuple(found)


def _step(number: int, pitch: Pitch, onset_q: Fraction, length_q: Fraction, quarter_s: float, joined: bool) -> Step:
    length_s = float(length_q) * quarter_s
    return Step(str(number), pitch.midi, length_s, joined, name=pitch.name, length_q=length_q, to_beat_q=-onset_q % 1)


def _rest(found: list[Typed], gap_s: float) -> None:
    """A rest parts the note before it from what comes."""
    for k in range(len(found) - 1, -1, -1):
        last = found[k].step
        if last is not None:
            found[k] = Typed(found[k].text, replace(last, gap_s=last.gap_s + gap_s, joined=False))
            return


def _pitch(name: str) -> Pitch:
    plain = name.replace("♯", "#").replace("♭", "b").replace("♮", "").replace("𝄪", "##").replace("𝄫", "bb")
    plain = re.sub(r"^([A-Ga-g])x", r"\1##", plain)
    try:
        pitch = parse_pitch(plain)
    except ValueError:
        if _QUARTER_TONE.fullmatch(plain):
            raise ValueError("is a quarter-tone, which no chart holds; finger it by ear, or write a semitone") from None
        raise ValueError("is no note; write it like F#3, Bb4 or G#3:1/2") from None
    if abs(pitch.alter) > 2 or abs(pitch.octave) > 9:
        raise ValueError("is no note that is written; write it like F#3, Bb4 or G#3:1/2")
    return pitch


def _length(text: str) -> Fraction:
    try:
        length_q = Fraction(text) if _NUMBER.fullmatch(text) else Fraction(0)
    except ZeroDivisionError:
        length_q = Fraction(0)
    if not 0 < length_q <= LONGEST_Q:
        raise ValueError(
            f"has no length; write quarters after the colon, such as :2, :0.5 or :1/3 (at most {LONGEST_Q})"
        )
    return length_q
