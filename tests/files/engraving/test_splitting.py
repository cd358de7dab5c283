"""Measures divided at a beat: what stands in them stays at its time, and they look like one measure still."""

from copy import deepcopy
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from coach.files.engraving.engraver import Engraver, Layout
from coach.files.engraving.ids import note_id
from coach.files.engraving.mei import MEI, XML_ID, measure_elements, part_mei
from coach.files.engraving.splitting import spaces_wanted, split_wide
from coach.files.score import WrittenScore, written_score
from coach.music.metre import Metre
from coach.music.piece import Piece
from tests.files.engraving.corpus import DEMO
from tests.files.scores import note, score

WEBER = "corpus:weber/concertino_clarinet"
ROOM = 14.0  # spaces: about 40 columns, so that most measures are divided


@cache
def scored(source: str) -> tuple[WrittenScore, etree._Element]:
    found = written_score(source)
    return found, part_mei(found)


def metres(piece: Piece) -> list[Metre | None]:
    found: list[Metre | None] = []
    for measure in piece.part.measures:
        found.append(measure.metre or (found[-1] if found else None))
    return found


def divided(source: str, room: float = ROOM) -> tuple[Piece, etree._Element, etree._Element]:
    """A piece, its MEI, and the same divided."""
    found, mei = scored(source)
    split = deepcopy(mei)
    assert split_wide(split, found.piece.part.measures, metres(found.piece), room)
    return found.piece, mei, split


def names(mei: etree._Element) -> list[str]:
    """The XML ids of notes and rests in their order."""
    tags = [f"{{{MEI}}}{tag}" for tag in ("note", "rest", "mRest", "chord", "space")]
    return [str(one.get(XML_ID)) for one in mei.iter(*tags)]


def starts(piece: Piece, mei: etree._Element) -> list[Fraction]:
    """Where each measure element begins: by the first note in it that is none of the part's graces."""
    onsets = {one.id: one.onset_q for one in piece.part.notes()}
    found = []
    for place in measure_elements(mei, len(piece.part.measures)):
        inside = [note_id(name) for name in names(place.element)]
        held = [onsets[name] for name in inside if name in onsets]
        found.append(held[0] if held else piece.part.measures[place.first].onset_q)
    return found


def hung(piece: Piece, mei: etree._Element) -> list[tuple[str, str, Fraction, Fraction | None]]:
    """All that hangs on time stamps: what, its words, its time and its end in quarters from the start of the piece."""
    places, begun = measure_elements(mei, len(piece.part.measures)), starts(piece, mei)
    units = [metre.unit_q if metre else Fraction(1) for metre in metres(piece)]
    found = []
    for k, place in enumerate(places):
        for one in place.element:
            stamp, stop = one.get("tstamp"), one.get("tstamp2")
            if stamp is None:
                continue
            at_q = begun[k] + (Fraction(stamp) - 1) * units[place.first]
            end_q = None
            if stop is not None:
                ahead, _, beat = stop.partition("m+")
                to = min(k + int(ahead), len(places) - 1)
                end_q = begun[to] + (Fraction(beat) - 1) * units[places[to].first]
            words = " ".join("".join(str(text) for text in one.itertext()).split())
            found.append(
                (etree.QName(one).localname, words, _rounded(at_q), None if end_q is None else _rounded(end_q))
            )
    return sorted(found, key=str)


def _rounded(at_q: Fraction) -> Fraction:
    """Time stamps are decimal: a thousandth of a quarter is finer than any note."""
    return Fraction(round(at_q * 1000), 1000)


@pytest.mark.parametrize("source", [DEMO, WEBER])
def test_every_note_is_there_once_in_order(source: str) -> None:
    _, whole, split = divided(source)
    assert names(split) == names(whole)
    assert len(set(names(split))) == len(names(split))


@pytest.mark.parametrize("source", [DEMO, WEBER])
def test_what_hangs_on_a_time_stays_at_it(source: str) -> None:
    piece, whole, split = divided(source)
    assert len(hung(piece, whole)) > 30
    assert hung(piece, split) == hung(piece, whole)


@pytest.mark.parametrize("source", [DEMO, WEBER])
def test_parts_begin_on_beats(source: str) -> None:
    """Every part begins on a felt beat of the metre, with a note or rest that begins there."""
    piece, _, split = divided(source)
    onsets = {one.onset_q for one in piece.part.notes()}
    places, begun = measure_elements(split, len(piece.part.measures)), starts(piece, split)
    count = 0
    for k, (before, place) in enumerate(zip(places, places[1:], strict=False), 1):
        if before.first != place.first:
            continue
        metre, measure = metres(piece)[place.first], piece.part.measures[place.first]
        assert metre is not None
        assert begun[k] - measure.onset_q in metre.beat_onsets_q()
        assert begun[k] in onsets
        count += 1
    assert count > 5


@pytest.mark.parametrize("source", [DEMO, WEBER])
def test_no_barline_stands_inside_a_measure(source: str) -> None:
    piece, whole, split = divided(source)
    places = measure_elements(split, len(piece.part.measures))
    for place, after in zip(places, [*places[1:], None], strict=True):
        inside = after is not None and after.first == place.first
        assert (place.element.get("right") == "invis") == inside
    last = [place.element.get("right") for place in measure_elements(whole, len(piece.part.measures))]
    ends = {place.first: place.element.get("right") for place in places}
    assert list(ends.values()) == last


def test_graces_stay_with_their_note(tmp_path: Path) -> None:
    """A grace before the third beat goes on with it."""
    grace = note("B5", "eighth", None, before="<grace/>")
    notes = [note(pitch, "eighth", 1) for pitch in ("C5", "D5", "E5", "F5", "G5", "A5", "B5", "C6")]
    path = tmp_path / "graces.musicxml"
    path.write_text(score("".join([*notes[:4], grace, *notes[4:]]), divisions=2), encoding="utf-8")
    _, _, split = divided(str(path), 10.0)
    parts = [names(measure) for measure in split.iter(f"{{{MEI}}}measure")]
    (held,) = [part for part in parts if "n1.5g1" in part]
    assert held.index("n1.5g1") + 1 == held.index("n1.5")


def test_a_measure_of_two_voices_stays_whole(tmp_path: Path) -> None:
    upper = "".join(note(pitch, "eighth", 1, voice="1") for pitch in ("C6", "D6") * 4)
    lower = "".join(note(pitch, "eighth", 1, voice="2") for pitch in ("C5", "D5") * 4)
    text = score(f"{upper}<backup><duration>8</duration></backup>{lower}", divisions=2)
    path = tmp_path / "voices.musicxml"
    path.write_text(text, encoding="utf-8")
    found, mei = scored(str(path))
    split = deepcopy(mei)
    assert not split_wide(split, found.piece.part.measures, metres(found.piece), 6.0)
    assert etree.tostring(split) == etree.tostring(mei)


def test_a_part_that_fits_is_left_as_it_is() -> None:
    found, mei = scored(WEBER)
    widest = max(spaces_wanted(measure.notes) for measure in found.piece.part.measures)
    split = deepcopy(mei)
    assert not split_wide(split, found.piece.part.measures, metres(found.piece), widest)
    assert etree.tostring(split) == etree.tostring(mei)


@cache
def narrow() -> tuple[Piece, Layout]:
    """The demo for 60 columns, where many of its measures are divided."""
    found, mei = scored(DEMO)
    return found.piece, Engraver(found.piece, mei).lay(None, 29.75)


def test_dynamics_are_drawn_under_the_notes_they_stand_at() -> None:
    """Each dynamic that our reader has at the onset of a note is drawn within three spaces of that note's head."""
    piece, layout = narrow()
    systems = [layout.system(k) for k in range(len(layout.systems))]
    heads = {name: (system, x) for system in systems for name, (x, _) in system.heads.items()}
    count = 0
    for mark in piece.part.dynamics:
        at = next((one for one in piece.part.notes() if one.onset_q == mark.onset_q), None)
        if at is None:
            continue
        system, x = heads[at.id]
        drawn = [shape.points[0] for shape in system.shapes if shape.what == "dynam"]
        assert any(abs(place - x) < 3 for place in drawn), f"{mark.mark} at {at.id}"
        count += 1
    assert count > 10


def test_slurs_and_ties_go_on_over_the_division() -> None:
    """A slur or tie over the gap is drawn on both sides of it: more curves than slurs and ties, and none is lost."""
    piece, layout = narrow()
    curves = [s.what for k in range(len(layout.systems)) for s in layout.system(k).shapes if s.kind == "curve"]
    slurs = sum(end.kind == "start" for one in piece.part.notes() for end in one.slurs)
    ties = sum(one.tie in ("start", "continue") for one in piece.part.notes())
    assert curves.count("slur") >= slurs > 10
    assert curves.count("tie") >= ties > 0
