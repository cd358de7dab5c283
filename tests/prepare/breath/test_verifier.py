"""Plans for real music judged by a verifier of its own: it reads the part anew and shares no code with the planner but
the part, the levels and the plan itself. Flows, breaths and what a note keeps are the defaults as they are documented.

Sources: the demo piece, the clarinet part that comes with music21 (Weber, public domain) and melodies of its corpus.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice

import music21
import pytest

from coach.errors import CoachError
from coach.files.score import read_score
from coach.instruments.air import Air
from coach.lesson.stand import performance_tempo
from coach.music.note import Note
from coach.music.piece import Piece
from coach.prepare.breath.breathing import Breathing, breathing
from coach.prepare.dynamics.level import Levels, levels
from coach.sound.tempo_map import TempoMap, tempo_map

SHARES = (0.5, 0.6, 0.8, 1.0, 1.25)
LITRES = (1.6, 2.5, 4.0)
# The documented defaults, in litres a second by dynamic; dB against mezzoforte, 4 apart.
TABLE = ((-12.0, 0.10), (-8.0, 0.13), (-4.0, 0.16), (0.0, 0.20), (4.0, 0.25), (8.0, 0.30))


@dataclass(frozen=True)
class Sung:
    """A note with those tied to it: the ids of its heads, where it begins and ends, what rest follows, in quarters."""

    ids: tuple[str, ...]
    start_q: Fraction
    end_q: Fraction
    rest_q: Fraction


def sung(piece: Piece) -> list[Sung]:
    found: list[Sung] = []
    tied = False
    last: Note | None = None
    for note in piece.part.notes():
        if note.length_q <= 0:
            continue
        if note.is_rest:
            if found:
                found[-1] = Sung(found[-1].ids, found[-1].start_q, found[-1].end_q, found[-1].rest_q + note.length_q)
            tied = False
            continue
        same = last is not None and last.pitch == note.pitch
        if tied and same and note.tie in ("continue", "stop"):
            found[-1] = Sung((*found[-1].ids, note.id), found[-1].start_q, note.end_q, Fraction(0))
        else:
            found.append(Sung((note.id,), note.onset_q, note.end_q, Fraction(0)))
        tied, last = note.tie in ("start", "continue"), note
    return found


def flow(level_db: float) -> float:
    if level_db <= TABLE[0][0]:
        return TABLE[0][1]
    for (low_db, low), (high_db, high) in zip(TABLE, TABLE[1:], strict=False):
        if level_db <= high_db:
            return low + (high - low) * (level_db - low_db) / (high_db - low_db)
    return TABLE[-1][1]


def spent(note: Sung, levels_: Levels, clock: TempoMap, share: float, cut_s: float) -> float:
    """Litres for a note without its last seconds, in many small slices; levels of hairpins taken at their loudest
    reading (evenly in flow), as documented."""
    start_s, end_s = float(clock.at_s(note.start_q)) / share, float(clock.at_s(note.end_q)) / share
    slices, used = 10, 0.0
    for k in range(slices):
        at_q = note.start_q + (note.end_q - note.start_q) * Fraction(2 * k + 1, 2 * slices)
        run = levels_.run(at_q)
        if run.end_q is None or run.end_q <= run.start_q:
            rate = flow(run.to_db)
        else:
            part = min(1.0, max(0.0, float((at_q - run.start_q) / (run.end_q - run.start_q))))
            rate = flow(run.from_db) + part * (flow(run.to_db) - flow(run.from_db))
        begins_s = (end_s - start_s) * k / slices
        length_s = min((end_s - start_s) / slices, max(0.0, end_s - start_s - cut_s - begins_s))
        used += rate * length_s
    return used


def verify(piece: Piece, plan: Breathing, litres: float, share: float) -> None:
    """Whether a plan can be breathed: enough air, enough time, never inside a tie, rests used."""
    clock = tempo_map(piece.tempos, performance_tempo(piece), piece.part.measures[0].onset_q)
    shaped = levels(piece.part)
    taken = {one.at: one for one in plan.breaths}
    notes = sung(piece)
    heads = {id_ for note in notes for id_ in note.ids[:-1]}
    assert not heads & set(taken), "a breath inside a tie"
    left = litres
    for note in notes:
        breath = taken.get(note.ids[-1])
        length_s = float(clock.at_s(note.end_q) - clock.at_s(note.start_q)) / share
        rest_s = float(clock.at_s(note.end_q + note.rest_q) - clock.at_s(note.end_q)) / share
        left -= spent(note, shaped, clock, share, breath.steals_s if breath else 0.0)
        assert left > -0.02 or plan.short_litres > 0, f"out of air at {note.ids[0]}"
        left = max(left, 0.0)
        if breath is None:
            continue
        need_s = {"full": 0.6, "catch": 0.3}[breath.size]
        assert rest_s + breath.steals_s >= need_s - 1e-3
        if breath.steals_s > 1e-3:
            assert length_s - breath.steals_s >= max(0.25, length_s / 2) - 1e-3
        left = litres if breath.size == "full" else min(litres, left + 0.4 * litres)
        assert breath.air_after == pytest.approx(left, abs=0.03 + 0.002 * len(notes)) or plan.short_litres > 0
    # The planner rounds up to whole microlitres.
    assert plan.short_litres < 1e-3 or not possible(piece, notes, clock, shaped, litres, share)


def possible(piece: Piece, notes: Sequence[Sung], clock: TempoMap, shaped: Levels, litres: float, share: float) -> bool:
    """Whether any plan at all gets through: with a breath wherever there is time for one, the larger that fits."""
    left = litres
    for k, note in enumerate(notes):
        length_s = float(clock.at_s(note.end_q) - clock.at_s(note.start_q)) / share
        rest_s = float(clock.at_s(note.end_q + note.rest_q) - clock.at_s(note.end_q)) / share
        most_s = max(0.0, min(length_s / 2, length_s - 0.25))
        sizes = [(need_s, gain) for need_s, gain in ((0.6, 1.0), (0.3, 0.4)) if need_s - rest_s <= most_s + 1e-9]
        if k + 1 == len(notes) or not sizes:
            left -= spent(note, shaped, clock, share, 0.0)
            gain = 0.0
        else:
            need_s, gain = sizes[0]
            left -= spent(note, shaped, clock, share, max(0.0, need_s - rest_s))
        if left < 0:
            return False
        left = min(litres, left + gain * litres)
    return True


def planned(piece: Piece, litres: float, share: float) -> Breathing:
    clock = tempo_map(piece.tempos, performance_tempo(piece), piece.part.measures[0].onset_q)
    return breathing(piece.part, Air(litres=litres), lambda at_q: float(clock.at_s(at_q)) / share, levels(piece.part))


@pytest.mark.parametrize("litres", LITRES)
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("source", ["content/pieces/demo.musicxml", "corpus:weber/concertino_clarinet"])
def test_plans_of_the_demo_and_of_weber(source: str, share: float, litres: float) -> None:
    piece = read_score(source)
    verify(piece, planned(piece, litres, share), litres, share)


def melodies(count: int) -> list[str]:
    paths = music21.corpus.getPaths(fileExtensions=("abc", "xml", "mxl", "musicxml", "krn"))
    names = [str(path) for path in paths if "ryansMammoth" in str(path) or "airdsAirs" in str(path)]
    step = max(1, len(names) // count)
    return list(islice(names[::step], count))


@pytest.mark.slow
def test_plans_of_three_hundred_melodies() -> None:
    done = 0
    for path in melodies(400):
        try:
            piece = read_score(path)
        except CoachError:
            continue
        for k in range(3):
            share, litres = SHARES[(done + k) % 5], LITRES[k]
            verify(piece, planned(piece, litres, share), litres, share)
        done += 1
        if done == 300:
            break
    assert done == 300
