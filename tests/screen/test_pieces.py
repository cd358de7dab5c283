"""The pieces on the stand: what is asked of one, another part, taking one off, a score without a clarinet."""

from datetime import timedelta
from fractions import Fraction
from pathlib import Path

from coach.lesson.stand import pieces
from coach.practice.set_piece import SetPiece
from tests.screen.sitting import Sitting, sitting

DUO = """<score-partwise version="4.0"><part-list>
<score-part id="P1"><part-name>Flute</part-name></score-part>
<score-part id="P2"><part-name>Oboe</part-name></score-part></part-list>
{parts}</score-partwise>"""
PART = """<part id="{id}"><measure number="1"><attributes><divisions>1</divisions>
<time><beats>2</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>
<note><pitch><step>{step}</step><octave>5</octave></pitch><duration>2</duration><type>half</type></note></measure></part>"""


def duo(folder: Path) -> Path:
    path = folder / "duo.musicxml"
    path.write_text(DUO.format(parts=PART.format(id="P1", step="C") + PART.format(id="P2", step="A")), "utf-8")
    return path


def on_stand(at: Sitting) -> tuple[SetPiece, ...]:
    return pieces(at.app.desk)


async def at_the_list(at: Sitting) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2", "o")
    await at.shows("Pieces on the stand", "e changes its tempo")


async def test_what_is_asked_of_a_piece(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_list(at)
        await at.press("e")
        await at.shows("Performance tempo: dotted quarter=50", "Measures asked for: 1-30")
        await at.press("enter")
        await at.write("54")
        await at.shows("Performance tempo: dotted quarter=54")
        await at.press("enter")
        await at.write("eighth=150")
        await at.shows("Performance tempo: eighth=150")
        await at.press("down", "enter")
        await at.write("9-17")
        await at.shows("Measures asked for: 9-17")
        day = at.app.desk.local().date() + timedelta(days=9)
        await at.press("down", "enter")
        await at.write(day.isoformat())
        await at.shows(f"Ready by: {day.isoformat()}")
        await at.press("down", "enter")
        await at.write("clarinet in A")
        await at.shows("Instrument: clarinet in A")
        await at.press("escape")
        await at.shows("cut 9-17")
        (piece,) = on_stand(at)
        assert (piece.tempo.per_minute, piece.tempo.beat.name) == (Fraction(150), "eighth")
        assert (piece.first, piece.last, piece.by, piece.instrument) == ("9", "17", day, "clarinet in A")
        assert at.app.session.opened is not None
        assert at.app.session.opened.set_piece == piece


async def test_a_change_that_makes_no_sense_is_told_and_asked_again(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_list(at)
        before = on_stand(at)
        await at.press("e")
        for row, text, told in (
            (0, "0", "cannot be practised"),
            (1, "17-9", "measure"),
            (2, "2001-01-01", "has passed"),
        ):
            await at.shows("Performance tempo", "Ready by")
            await at.press(*["down"] * bool(row), "enter")
            await at.write(text)
            await at.shows("! ", told, "Take it off the stand")
        assert on_stand(at) == before


async def test_taking_a_piece_off_is_asked_once(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("3")
        await at.shows("rule: steady")
        await at.press("c")
        await at.shows("1 of 3 in a row")
        await at_the_list(at)
        await at.press("delete")
        await at.shows("Take “Slow Étude in D flat” off the stand?")
        await at.press("enter")
        assert len(on_stand(at)) == 1
        await at.press("o")
        await at.shows("Pieces on the stand")
        await at.press("delete")
        await at.shows("off the stand?")
        await at.press("down", "enter")
        await at.shows("Nothing is on the stand yet")
        assert on_stand(at) == ()
        assert len(at.app.desk.record().reps) == 1
        await at.press("3")
        await at.shows("There is no spot to drill yet")


async def test_a_score_without_a_clarinet_asks_for_the_part(tmp_path: Path) -> None:
    async with sitting(tmp_path / "home") as at:
        await at.shows("nothing on the stand")
        await at.press("o")
        await at.shows("Add a score")
        await at.press("enter")
        await at.shows("a path, or corpus:")
        await at.write(str(duo(tmp_path)))
        await at.shows("duo.musicxml has no clarinet", "1 Flute", "2 Oboe")
        await at.press("down", "enter")
        await at.goes("stand")
        await at.shows("A5")
        assert [piece.part for piece in on_stand(at)] == ["Oboe"]
        await at.press("o", "e")
        await at.shows("Another part of this score")
        await at.press("up", "up", "enter")
        await at.shows("Parts of")
        await at.press("enter")
        await at.shows("C5")
        assert {piece.part for piece in on_stand(at)} == {"Flute", "Oboe"}
