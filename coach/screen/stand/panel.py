"""The fingering of the note under the pencil, beside the music: a picture of the hands, and of the change to the next
note which fingers move and what would sound if one were late."""

from collections.abc import Iterator

from rich.text import Text
from textual.widgets import Static

from coach.instruments.chart import Chart
from coach.instruments.late import Late, lateness
from coach.instruments.planning import Planner
from coach.instruments.ways import Way
from coach.music.pitch import from_midi
from coach.prepare.fingering import Fingered, Hands, words_of
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.hand import Inked, hand_rows, keys_told
from coach.screen.view.words import signed

_DOES_SIGNS = {"up": 0, "down": 1, "slides": 2, "rolls": 2}
_MOST_HEARD = 2  # notes named for a finger that is late


class HandPanel(Static):
    """The panel. It has the width of its style, and cuts what does not fit its height."""

    DEFAULT_CSS = """
    HandPanel {
      width: 24; height: 1fr; padding: 0 0 0 1; display: none; background: $background; color: $foreground;
      border-left: solid $foreground 30%; text-wrap: wrap;
    }
    """
    ALLOW_SELECT = False

    def show(self, hands: Hands | None, note_id: str, glyphs: Glyphs, waiting: bool) -> None:
        """Show the fingering of a note; where there is no plan, say so, and whether one is `waiting` to be made."""
        if hands is None:
            self.update(
                Text(f"planning the fingerings {glyphs.ellipsis}" if waiting else "the fingerings could not be planned")
            )
            return
        note = hands.at(note_id)
        self.update(Text("\n").join(panel_lines(hands, note, glyphs)) if note else Text("a rest: hands free"))


def panel_lines(hands: Hands, note: Fingered, glyphs: Glyphs) -> Iterator[Text]:
    """The lines of the panel for a note."""
    way, chart = note.chosen.way, hands.search.planner.chart
    yield Text(f"{signed(note.chosen.step.name, glyphs)}  {note.chosen.choice}", style="bold")
    if way is None:
        yield Text("the chart has no fingering for it")
        return
    late = _late(hands, note)
    for row in hand_rows(chart, way.start.controls, glyphs, frozenset(one.finger.id for one in late)):
        yield _line(row)
    yield from _held(note, way, chart)
    yield from _next(hands, note, late, glyphs)
    for words in (hands.because(note), words_of(hands, note)):
        yield from (Text(""), Text(words))


def _line(row: list[Inked]) -> Text:
    if len(row) == 1:
        return Text(row[0].text, style="italic")
    return Text.assemble(*((one.text, "bold" if one.down else "") for one in row))


def _held(note: Fingered, way: Way, chart: Chart) -> Iterator[Text]:
    """What happens while the note is held: a change of hands, or a trill."""
    if way.swaps:
        yield Text(f"after {note.chosen.when_q}: {keys_told(chart, way.end.controls)}", style="bold")
    elif way.trill is not None:
        moved = ", ".join(chart.control(one).name for one in sorted(way.trill.move))
        yield Text(f"trill with: {moved}", style="bold")


def _late(hands: Hands, note: Fingered) -> tuple[Late, ...]:
    after = hands.after(note.at)
    planner: Planner = hands.search.planner
    if after is None or after.chosen.way is None or note.chosen.way is None:
        return ()
    return lateness(planner.hands.model, note.chosen.way.end, after.chosen.way.start)


def _next(hands: Hands, note: Fingered, late: tuple[Late, ...], glyphs: Glyphs) -> Iterator[Text]:
    """The change to the next note."""
    after = hands.after(note.at)
    if after is None:
        yield Text("the last note")
        return
    free = note.chosen.step.gap_s >= hands.search.planner.costs.silence_s
    to = f"to {signed(after.chosen.step.name, glyphs)}"
    if free or not late:
        yield Text(f"{to} after a rest" if free else f"{to}: no finger moves", style="italic")
        return
    yield Text(f"{to}, if late:" if note.chosen.step.joined else f"tongued {to}; late:", style="italic")
    quiet = [one for one in late if not one.heard]
    for one in late:
        if one.heard or len(quiet) == 1:
            names = (signed(from_midi(midi).name, glyphs) for midi in one.heard[:_MOST_HEARD])
            heard = " ".join(names) or glyphs.dash
            yield Text(f" {_finger(one)} {glyphs.moves[_DOES_SIGNS[one.does]]} {heard}")
    if len(quiet) > 1:
        yield Text(f" {len(quiet)} {'others' if len(quiet) < len(late) else 'fingers'}: nothing")


def _finger(late: Late) -> str:
    return f"{late.finger.hand[:1].upper()} {late.finger.name:<6}"
