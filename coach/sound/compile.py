"""From a piece and a stretch of it to everything that sounds, ready to be played at any rate."""

from collections.abc import Iterator, Sequence

from coach.config import ClickSettings
from coach.music.note import Note
from coach.music.part import Part
from coach.music.piece import Piece, Span
from coach.music.route import route
from coach.music.tempo import Tempo
from coach.prepare.dynamics.level import levels
from coach.prepare.interpretation import USUAL_TIMES, Interpretation
from coach.sound import clicks
from coach.sound.line import other_lines, placed, solo_line
from coach.sound.passage import Passage, passage
from coach.sound.performance import Performance, SoundedNote, sounded
from coach.sound.timeline import Timeline


def perform(
    piece: Piece,
    span: Span,
    *,
    tempo: Tempo,
    click: ClickSettings,
    others: bool = False,
    rest_measures: int = 0,
    repeats: bool = False,
    count_in: int | None = None,
    interpretation: Interpretation | None = None,
    steady: bool = False,
) -> Performance:
    """All that sounds in a stretch, in nominal seconds.

    `tempo` is that of the piece's first measure; tempo changes on the page follow in proportion. `count_in` measures
    are counted whether the click is on or not (None: as the settings say). `others` adds the other parts and the other
    voices of the practised one. With `repeats` the stretch is played as often as a run-through passes it. The practised
    part is played as its `interpretation` decides, plainly as printed without one; where it is to be `steady` the beat
    never bends. Raises RequestError.
    """
    counted = click.count_in if count_in is None else count_in
    way = passage(piece, _order(piece, span, repeats), tempo, None if steady else interpretation)
    before = clicks.count_in(way, counted, click)
    between = clicks.rest(way, rest_measures, click, counted)
    beats = tuple(clicks.beat_clicks(way, click)) if click.on else ()
    return Performance(
        passage=way,
        notes=tuple(_notes(piece, way, others, interpretation)),
        clicks=(*before.clicks, *beats, *between.clicks),
        length_s=way.at_s(way.end_q),
        count_in_s=before.length_s,
        count_in_q=before.length_q,
        rest_s=between.length_s,
        bars=len(way.bars) + between.bars,
    )


def timeline(performance: Performance) -> Timeline:
    """The events of a performance in order of time; at one time clicks come before notes."""
    events = [*performance.clicks, *(note.event for note in performance.notes)]
    return Timeline(
        events=tuple(sorted(events, key=lambda event: event.at_s)),
        length_s=performance.length_s,
        count_in_s=performance.count_in_s,
        rest_s=performance.rest_s,
        bars=performance.bars,
    )


def _order(piece: Piece, span: Span, repeats: bool) -> Sequence[int]:
    within = range(span.first, span.last + 1)
    # A stretch that a run-through never passes (an ending that is not due) is still played when asked for.
    return [k for k in route(piece.part.measures) if k in within] or within if repeats else within


def _notes(piece: Piece, way: Passage, others: bool, interpretation: Interpretation | None) -> Iterator[SoundedNote]:
    part = piece.part
    own = levels(part, interpretation.dynamics, interpretation.phrases) if interpretation else levels(part)
    solo = placed(solo_line(way, interpretation, part), way, chords=False)
    times = interpretation.times if interpretation else USUAL_TIMES
    yield from sounded(solo, way, line=0, part=part, levels=own, loudest_db=own.loudest_db, times=times)
    if not others:
        return
    under = [note for measure in part.measures for note in measure.others]
    for line, (other, notes) in enumerate(
        [*((other, _all_notes(other)) for other in piece.others), (part, under)], start=1
    ):
        theirs = levels(other)
        for voice in other_lines(way, sorted(notes, key=lambda note: note.onset_q)):
            yield from sounded(
                placed(voice, way, chords=True),
                way,
                line=line,
                part=other,
                levels=theirs,
                loudest_db=own.loudest_db,
            )


def _all_notes(part: Part) -> list[Note]:
    return [note for measure in part.measures for note in (*measure.notes, *measure.others)]
