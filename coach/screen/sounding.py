"""The sound as the screens use it: begun at the first note asked for, followed, ended with the program."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from coach.lesson.desk import Desk

if TYPE_CHECKING:  # the first paint needs no sound
    from coach.config import Settings
    from coach.lesson.playing import Now, Playing, Take
    from coach.sound.silent import PlayerLike

PlayerMaker = Callable[[Desk], "PlayerLike"]


class Sounding:
    """One player for the whole sitting, made when it is first needed."""

    def __init__(self, desk: Desk, make_player: PlayerMaker) -> None:
        self._desk = desk
        self._make_player = make_player
        self._playing: Playing | None = None
        self.wanted = False  # whether the player was told to play and not yet seen to have ended

    @property
    def playing(self) -> "Playing":
        """What plays takes."""
        from coach.lesson.playing import Playing

        if self._playing is None:
            self._playing = Playing(self._make_player(self._desk))
        return self._playing

    @property
    def begun(self) -> bool:
        """Whether there is a player yet."""
        return self._playing is not None

    def start(self, take: "Take", from_measure: str = "") -> None:
        """Play a take. Raises CoachError if it cannot be played."""
        self.playing.start(take, from_measure=from_measure)
        self.wanted = True

    def stop(self) -> None:
        """End every note."""
        if self._playing is not None:
            self._playing.stop()
        self.wanted = False

    def now(self) -> "Now":
        """Where the sound is; notices when a take has come to its end."""
        from coach.lesson.playing import Now

        if self._playing is None:
            return Now()
        now = self._playing.now()
        if not now.playing:
            self.wanted = False
        return now

    def troubles(self) -> tuple[str, ...]:
        """What went wrong since last asked, a sentence each."""
        return self._playing.troubles() if self._playing is not None else ()

    def take_settings(self, before: "Settings", now: "Settings") -> None:
        """Change what the player was made with, if there is a player."""
        if self._playing is None:
            return
        player = self._playing.player
        if now.output != before.output:
            player.set_output(now.output)
        if now.tuning_hz != before.tuning_hz:
            player.set_tuning(now.tuning_hz)
        player.set_gain("all", now.level_db)
        player.set_gain("others", now.others_db)
        self._playing.set_click(now.click.on, now.click.level_db)

    def drone(self, midi: float | None) -> None:
        """Hold a sounding pitch, or none."""
        if midi is not None or self._playing is not None:
            self.playing.player.drone(midi)

    def close(self) -> None:
        """End every note and let the output go."""
        if self._playing is not None:
            self._playing.close()
        self.wanted = False
