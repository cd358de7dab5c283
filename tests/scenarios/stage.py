"""Plays a scenario through the lesson layer, with a clock and a player of its own."""

import math
import random
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path

from coach.config import Settings
from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.drilling import climb, log_rep, log_run, rename_spot, spots, undo, widen_spot
from coach.lesson.drills import add_drill
from coach.lesson.playing import stretch_tempo
from coach.lesson.stand import change, cut, find, open_piece
from coach.lesson.today import today
from coach.music.piece import parse_measures
from coach.music.tempo import Tempo
from coach.paths import Paths
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from tests.scenarios.script import Act, PlayerScript, Script


class MadeUpPlayer:
    """A player with a true hold tempo for every spot; the chance of a clean rep is logistic in the log of the tempo."""

    def __init__(self, script: PlayerScript) -> None:
        self._script = script
        self._chance = random.Random(script.seed)
        self._skills = {skill.name: skill for skill in script.spot}
        self._holds_at = {skill.name: skill.holds_at for skill in script.spot}
        self._worked: set[str] = set()

    def true_hold(self, spot: str) -> float:
        """The tempo that is clean four times in five, as a share of the performance tempo of the start."""
        return self._holds_at[spot]

    def chance_clean(self, spot: str, share: float) -> float:
        """The chance of a clean rep at a share of the performance tempo."""
        steep = self._script.slope * math.log(share / self._holds_at[spot])
        return (1 - self._script.lapse) / (1 + math.exp(steep - math.log(0.8 / 0.2)))

    def plays_clean(self, spot: str, share: float) -> bool:
        """Play one rep."""
        self._worked.add(spot)
        return self._chance.random() < self.chance_clean(spot, share)

    def runs_clean(self) -> bool:
        """Play one run at the performance tempo: every spot must come out."""
        return self._chance.random() < math.prod(
            self.chance_clean(name, 1.0) for name, skill in self._skills.items() if not skill.drill
        )

    def renamed(self, old: str, new: str) -> None:
        """The same spot under another name."""
        self._skills[new] = self._skills.pop(old)
        self._holds_at[new] = self._holds_at.pop(old)

    def sleep(self) -> None:
        """A night: what was worked grows, what was not fades."""
        for name, skill in self._skills.items():
            moved = skill.grows if name in self._worked else -skill.fades
            self._holds_at[name] = min(max(self._holds_at[name] + moved, 0.2), skill.ceiling)
        self._worked.clear()


class Stage:
    """The demo piece on a stand of its own, and a player who works on it day by day."""

    def __init__(self, script: Script, folder: Path) -> None:
        self.script = script
        self.at = script.start
        paths = Paths(folder / "data", folder / "config", folder / "cache")
        self.desk = Desk(paths, Settings(output="none", ladder=script.ladder), lambda: self.at)
        self.piece: SetPiece = put_demo(self.desk)
        self.page = open_piece(self.desk, self.piece)
        self.first_tempo = self.piece.tempo
        self.player = MadeUpPlayer(script.player)
        for skill in script.player.spot:
            if skill.drill:
                add_drill(self.desk, self.piece, self.page, skill.drill, *parse_measures(skill.notes))
        named = {spot.name for spot in self.spots()}
        assert named == {skill.name for skill in script.player.spot}, "the scenario must know every spot"

    def spots(self) -> tuple[Spot, ...]:
        """The spots as they are now."""
        return spots(self.desk, self.piece.id)

    def spot(self, name: str) -> Spot:
        """A spot by its whole name."""
        (found,) = (spot for spot in self.spots() if spot.name == name)
        return found

    def morning(self, day: int) -> datetime:
        """When practice begins on a day."""
        return self.script.start + timedelta(days=day - 1)

    def live(self, day: int) -> None:
        """Practise as today's plan says, do what the scenario asks for; the night comes with `sleep`."""
        self.at = self.morning(day)
        if day not in self.script.rest_days:
            for item in today(self.desk, self.script.minutes).items:
                until = self.at + timedelta(minutes=item.minutes)
                if item.kind == "spot":
                    self._work(item.spot, until)
                elif item.kind == "run":
                    self._run()
                self.at = until
        for act in self.script.act:
            if act.day == day:
                self._do(act)

    def sleep(self) -> None:
        """The night after a day."""
        self.player.sleep()

    def share_of_start(self, spot: Spot, per_minute: float) -> float:
        """A tempo at a spot as a share of the performance tempo of the scenario's start."""
        span = self.page.span(spot.first, spot.last)
        return per_minute / float(stretch_tempo(self.page, self.first_tempo, span).per_minute)

    def _work(self, uuid: str, until: datetime) -> None:
        (spot,) = (spot for spot in self.spots() if spot.uuid == uuid)
        while self.at + timedelta(seconds=self.script.player.rep_s) <= until:
            self.at += timedelta(seconds=self.script.player.rep_s)
            rung = climb(self.desk, self.piece, self.page, spot).per_minute
            clean = self.player.plays_clean(spot.name, self.share_of_start(spot, rung))
            log_rep(self.desk, self.piece, self.page, spot, rung, "clean" if clean else "slip")

    def _run(self) -> None:
        self.at += timedelta(minutes=3)
        whole = cut(self.piece, self.page)
        tempo = float(stretch_tempo(self.page, self.piece.tempo, whole).per_minute)
        log_run(self.desk, self.piece, self.page, tempo, "clean" if self.player.runs_clean() else "slip")

    def _do(self, act: Act) -> None:
        self.at += timedelta(minutes=1)
        if act.do == "undo":
            for _ in range(act.times):
                assert undo(self.desk, self.piece.id) is not None
        elif act.do == "rename":
            rename_spot(self.desk, self.spot(act.spot), act.name)
            self.player.renamed(act.spot, act.name)
        elif act.do == "widen":
            widen_spot(self.desk, self.page, self.spot(act.spot), *parse_measures(act.measures))
        elif act.do == "tempo":
            faster = Tempo(Fraction(act.per_minute), self.piece.tempo.beat)
            self.piece = change(self.desk, replace(find(self.desk, self.piece.id), tempo=faster))
        elif act.do == "run":
            for _ in range(act.times):
                self._run()
        else:
            raise ValueError(f"nobody knows how to {act.do!r}")
