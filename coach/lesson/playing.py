"""Hearing a stretch: what to play, how fast, and where the sound is now."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.config import ClickSettings
from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.music.piece import Piece, Span
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.prepare.interpretation import Interpretation
from coach.sound.compile import perform, timeline
from coach.sound.performance import Performance
from coach.sound.silent import PlayerLike
from coach.sound.tempo_map import tempo_map
from coach.sound.timeline import Timeline

MUTE_DB = -120.0


@dataclass(frozen=True, slots=True)
class Take:
    """What to play. `tempo` is the performance tempo of the piece's first measure; `per_minute` the practised tempo in
    the beat unit of the stretch's start (see `stretch_tempo`); `rest_measures` lie between the laps of a loop. It is
    played as its `interpretation` decides, plainly as printed where that is None."""

    piece: Piece
    span: Span
    tempo: Tempo
    per_minute: float
    click: ClickSettings
    loop: bool = False
    rest_measures: int = 0
    others: bool = False
    repeats: bool = False
    interpretation: Interpretation | None = None

    @property
    def rate(self) -> float:
        """Nominal seconds per second."""
        return self.per_minute / float(stretch_tempo(self.piece, self.tempo, self.span).per_minute)

    def check(self) -> None:
        """Raises RequestError for a tempo that cannot be played."""
        if not 0.02 <= self.rate <= 8:
            raise RequestError(
                f"A tempo of {self.per_minute:g} cannot be played here; choose one nearer to the music's."
            )


@dataclass(frozen=True, slots=True)
class Now:
    """Where the sound is: `note_id` sounds in `measure_id` ("" for none); `lap` counts finished laps; `share` is how
    much of the stretch has passed; `count` is the beat being counted while counting in, 0 before the first."""

    playing: bool = False
    counting_in: bool = False
    note_id: str = ""
    measure_id: str = ""
    lap: int = 0
    at_s: float = 0.0
    share: float = 0.0
    count: int = 0


def stretch_tempo(piece: Piece, performance: Tempo, span: Span) -> Tempo:
    """The performance tempo where a stretch starts, in the beat unit printed there."""
    first = piece.part.measures[0]
    here = piece.part.measures[span.first]
    quarters = tempo_map(piece.tempos, performance, first.onset_q).speed(here.onset_q)
    return Tempo(quarters).counted_in(_beat_there(piece, performance, here.onset_q, span))


def _beat_there(piece: Piece, performance: Tempo, at_q: Fraction, span: Span) -> Value:
    """The beat unit of the latest tempo with a number, unless the metre's beat changed after it."""
    metre = piece.part.measures[span.first].metre
    marks = [mark for mark in piece.tempos if mark.tempo is not None and mark.onset_q <= at_q]
    since_q = marks[-1].onset_q if marks else piece.part.measures[0].onset_q
    unit = marks[-1].tempo.beat if len(marks) > 1 and marks[-1].tempo else performance.beat
    before = next((m.metre for m in reversed(piece.part.measures) if m.onset_q <= since_q), None)
    if metre is not None and before is not None and metre.beat_unit != before.beat_unit:
        return metre.beat_unit
    return unit


def perform_take(take: Take, *, count_in: int | None = None) -> Performance:
    """All that sounds in a take. Raises RequestError for a tempo that cannot be played."""
    take.check()
    return perform(
        take.piece,
        take.span,
        tempo=take.tempo,
        click=replace(take.click, on=True),
        others=take.others,
        rest_measures=take.rest_measures if take.loop else 0,
        repeats=take.repeats,
        count_in=count_in if count_in is not None else (take.click.count_in if take.click.on else 0),
        interpretation=take.interpretation,
        steady=take.click.on,
    )


class Playing:
    """Plays takes on a player and tells where the sound is."""

    def __init__(self, player: PlayerLike) -> None:
        self.player = player
        self.take: Take | None = None
        self._note_at_s: Sequence[float] = ()
        self._notes: Sequence[tuple[str, float]] = ()
        self._bar_at_s: Sequence[float] = ()
        self._bars: Sequence[str] = ()
        self._length_s = 0.0
        self._counts: Sequence[tuple[float, int]] = ()
        self._kept: tuple[Take, Performance, Timeline] | None = None

    def start(self, take: Take, *, from_measure: str = "") -> None:
        """Play a take from its count-in, or from one of its measures without one."""
        performance, events = self._performed(take)
        self.take = take
        self._follow(performance)
        silence = (take.click.heard_measures, take.click.silent_measures) if take.click.silent_measures else None
        self.player.set_gain("click", take.click.level_db if take.click.on else MUTE_DB)
        self.player.load(events, loop=take.loop, rate=take.rate, silence=silence)
        from_s = None
        if from_measure in self._bars:
            from_s = self._bar_at_s[self._bars.index(from_measure)]
        self.player.play(from_s)

    def _performed(self, take: Take) -> tuple[Performance, Timeline]:
        """A take as it sounds; kept, since what is played again at another tempo sounds the same in nominal time."""
        take.check()
        same = replace(take, per_minute=0.0)
        if self._kept is None or self._kept[0] != same:
            performance = perform_take(take)
            self._kept = same, performance, timeline(performance)
        return self._kept[1], self._kept[2]

    def stop(self) -> None:
        """Stop; every note ends."""
        self.player.stop()

    def set_per_minute(self, per_minute: float) -> None:
        """Change the practised tempo, while playing too."""
        if self.take is None:
            return
        take = replace(self.take, per_minute=per_minute)
        self.player.set_rate(take.rate)
        self.take = take

    def set_click(self, on: bool, level_db: float) -> None:
        """Let the click be heard or not, while playing too."""
        self.player.set_gain("click", level_db if on else MUTE_DB)

    def now(self) -> Now:
        """Where the sound is."""
        position = self.player.position
        at_s = position.at_s
        if not position.playing:
            return Now()
        counting_in = at_s < 0 or at_s >= self._length_s
        bar = bisect_right(self._bar_at_s, at_s) - 1
        k = bisect_right(self._note_at_s, at_s) - 1
        sounding = k >= 0 and at_s < self._notes[k][1]
        return Now(
            playing=True,
            counting_in=counting_in,
            note_id=self._notes[k][0] if sounding and not counting_in else "",
            measure_id=self._bars[bar] if bar >= 0 and not counting_in else "",
            lap=position.lap,
            at_s=at_s,
            share=min(max(at_s / self._length_s, 0.0), 1.0) if self._length_s else 0.0,
            count=self._count(at_s) if counting_in else 0,
        )

    def troubles(self) -> tuple[str, ...]:
        """What went wrong with the sound since last asked, a sentence each."""
        return self.player.take_troubles()

    def close(self) -> None:
        """End every note and let the output go."""
        self.player.close()

    def _count(self, at_s: float) -> int:
        k = bisect_right(self._counts, at_s, key=lambda counted: counted[0]) - 1
        return self._counts[k][1] if k >= 0 else 0

    def _follow(self, performance: Performance) -> None:
        own = sorted((note for note in performance.notes if note.line == 0), key=lambda note: note.at_s)
        way = performance.passage
        self._note_at_s = [note.at_s for note in own]
        self._notes = [(note.at, way.at_s(note.at_q + note.length_q)) for note in own]
        self._bar_at_s = [way.at_s(bar.at_q) for bar in way.bars]
        self._bars = [bar.measure.id for bar in way.bars]
        self._length_s = performance.length_s
        self._counts = _counts(performance)


def _counts(performance: Performance) -> list[tuple[float, int]]:
    """When each beat before the stretch and between its laps is counted, and its number in the measure."""
    counts: list[tuple[float, int]] = []
    number = 0
    for click in sorted(performance.clicks, key=lambda click: click.at_s):
        outside = click.at_s < 0 or click.at_s >= performance.length_s
        if outside and click.click in ("accent", "beat"):
            number = 1 if click.click == "accent" else number + 1
            counts.append((click.at_s, number))
    return counts


def ports() -> tuple[str, ...]:
    """The names of the MIDI ports that sound can be sent to."""
    from coach.sound import player  # deferred: it starts a process, and only Setup asks

    return player.ports()


def open_player(desk: Desk) -> PlayerLike:
    """A player with the settings' output, level and tuning; its process starts when it is first needed."""
    from coach.sound.player import Player

    settings = desk.settings
    player = Player(
        output=settings.output,
        level_db=settings.level_db,
        tuning_hz=settings.tuning_hz,
        log_path=desk.paths.engine_log,
    )
    player.set_gain("others", settings.others_db)
    return player
