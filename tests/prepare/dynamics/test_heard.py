"""Marked dynamics as they are heard: levels and colours of the performance, and the MIDI file as mido reads it. That
velocity says how loud a note begins and controller 11 (expression) how it goes on is MIDI 1.0's use of them."""

import io
from collections.abc import Sequence

import mido
import pytest
from hypothesis import given, settings

from coach.music.part import Part
from coach.music.piece import Piece
from coach.prepare.dynamics.line import dynamic_line
from coach.prepare.interpretation import Interpretation, interpretation
from coach.prepare.mark import Mark
from coach.sound.performance import Performance
from coach.sound.smf import file_bytes, midi_file
from tests.prepare.dynamics.test_marks import own, parts
from tests.sound.hand import bars, n, piece, played, solo

ONE = piece(bars([n("C5", 4)], [n("D5", 4)], [n("E5", 1), n("F5", 1), n("G5", 2)]), dynamics=[(0, "mp"), (8, "f")])


def performed(of: Piece, marks: Sequence[Mark]) -> Performance:
    return played(of, interpretation=interpretation(marks))


def reread(of: Piece, marks: Sequence[Mark]) -> list[mido.Message]:
    bytes_ = file_bytes(midi_file(of, performed(of, marks)))
    return [m for m in mido.MidiFile(file=io.BytesIO(bytes_)) if not m.is_meta]


def expression(messages: Sequence[mido.Message], note: int) -> list[int]:
    """The values of controller 11 while a note sounds, the one it begins with first."""
    found, before, sounds = [], 127, False
    for message in messages:
        if message.type == "control_change" and message.control == 11:
            before = message.value
            found += [before] if sounds else []
        elif message.type in ("note_on", "note_off") and message.note == note:
            sounds = message.type == "note_on" and message.velocity > 0
            found += [before] if sounds else []
    return found


def test_a_hairpin_within_a_note_moves_expression_one_way() -> None:
    sounding = 70  # written C5 of the B flat clarinet
    still = expression(reread(ONE, []), sounding)
    grows = expression(reread(ONE, [own("1.1", "crescendo", "1.1", level_db=-3.0)]), sounding)
    fades = expression(reread(ONE, [own("1.1", "diminuendo", "1.1", level_db=-20.0)]), sounding)
    assert len(set(still)) == 1
    assert len(set(grows)) > 10 and grows == sorted(grows)
    assert len(set(fades)) > 10 and fades == sorted(fades, reverse=True)


def test_velocity_follows_the_level() -> None:
    marks = [own("1.1", "pp"), own("2.1", "mf"), own("3.1", "ff")]
    on = [m.velocity for m in reread(ONE, marks) if m.type == "note_on" and m.velocity and m.channel == 0]
    assert on[0] < on[1] < on[2] == on[3] == on[4]


def test_a_colour_that_is_marked_is_the_colour_that_sounds() -> None:
    notes = solo(performed(ONE, [own("1.1", colour=0.83)]))
    assert notes["1.1"].colour == notes["1.1"].event.colour == 0.83
    assert notes["2.1"].colour != 0.83 and notes["1.1"].level_db == notes["2.1"].level_db


@settings(deadline=None)
@given(parts())
def test_the_reference_plays_the_dynamic_line(part: Part) -> None:
    of = Piece("By hand", "", part)
    line = {one.at: one.level_db for one in dynamic_line(part)}
    printed = {note.id: note.onset_q for note in part.pitched()}
    for note in played(of, interpretation=Interpretation()).notes:
        # A note whose graces take their time from it begins a little later.
        if printed.get(note.at) == note.onset_q:
            assert note.level_db == pytest.approx(line[note.at])


def test_what_is_struck_is_not_heard() -> None:
    struck = own("1.1", "ff", state="struck")
    assert solo(performed(ONE, [struck])) == solo(performed(ONE, []))
