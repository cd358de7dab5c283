"""How long the breaths of a whole part take to plan, beside music21 that only parses it. Run by hand:

    python -m tests.bench.bench_breath

The part is the clarinet's of Weber's Concertino, which comes with music21 (public domain), and the same twice and four
times in a row, to see that the time grows with the notes. The median of the runs is shown, in milliseconds.
"""

import statistics
from dataclasses import replace
from time import perf_counter

from music21 import converter, corpus

from coach.files.score import read_score
from coach.instruments.air import Air
from coach.lesson.stand import performance_tempo
from coach.music.part import Part
from coach.music.piece import Piece
from coach.prepare.breath.breathing import breathing
from coach.prepare.dynamics.level import levels
from coach.sound.tempo_map import tempo_map

RUNS = 5
SOURCE = "weber/concertino_clarinet"


def repeated(part: Part, times: int) -> Part:
    """A part several times in a row."""
    whole_q = part.measures[-1].end_q - part.measures[0].onset_q
    return replace(
        part,
        measures=tuple(
            replace(
                measure,
                onset_q=measure.onset_q + n * whole_q,
                notes=tuple(replace(note, onset_q=note.onset_q + n * whole_q) for note in measure.notes),
            )
            for n in range(times)
            for measure in part.measures
        ),
    )


def planned_ms(piece: Piece, part: Part) -> float:
    """Milliseconds for the breaths of a part, with its levels and its seconds."""
    begun_s = perf_counter()
    seconds = tempo_map(piece.tempos, performance_tempo(piece), part.measures[0].onset_q)
    breathing(part, Air(), lambda at_q: float(seconds.at_s(at_q)), levels(part))
    return 1000 * (perf_counter() - begun_s)


def parsed_ms() -> float:
    """Milliseconds for music21 to parse the file, without its own store of parsed files."""
    begun_s = perf_counter()
    converter.parse(corpus.getWork(SOURCE), forceSource=True)
    return 1000 * (perf_counter() - begun_s)


def main() -> None:
    """Print ours, the reference and the ratio."""
    piece = read_score(f"corpus:{SOURCE}")
    reference = statistics.median(parsed_ms() for _ in range(RUNS))
    for times in (1, 2, 4):
        part = repeated(piece.part, times)
        ours = statistics.median(planned_ms(piece, part) for _ in range(RUNS))
        notes = sum(1 for _ in part.notes())
        print(f"{notes} notes: ours {ours:.0f} ms, {1000 * ours / notes:.0f} us a note", end="; ")
        print(f"music21 parses {reference:.0f} ms; ratio {ours / reference:.2f}" if times == 1 else "")


if __name__ == "__main__":
    main()
