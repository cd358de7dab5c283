"""The picture of a fingering, and what is heard if one finger is late.

Fingerings and the sounds between are those of the handbook: its tables B and G (for the open B flat of the throat and
the one-and-one, which shuts the E pad by the bridge), and of common charts of the alto saxophone.
"""

import pytest

from coach.files.charts import chart_for
from coach.instruments.chart import Chart, Player
from coach.instruments.late import lateness
from coach.instruments.picture import picture, picture_words, short_name
from coach.instruments.sounding import HoleModel
from coach.screen.view.glyphs import ASCII, UNICODE
from coach.screen.view.hand import hand_line, hand_rows, keys_told

CLARINET = chart_for("clarinet in B-flat").for_player(Player())
SAXOPHONE = chart_for("alto saxophone").for_player(Player())
C_SHARP_5, D_SHARP_5, OPEN_G = 73, 75, 67


def controls(chart: Chart, midi: int, choice: str) -> frozenset[str]:
    found = chart.fingering(midi, choice)
    assert found is not None
    return found.controls


def test_every_control_has_one_place_and_shows_whether_it_is_down() -> None:
    for chart in (CLARINET, SAXOPHONE):
        for one in chart.all_fingerings:
            rows = picture(chart, one.controls)
            spots = [spot for row in rows for spot in (*((row.home,) if row.home else ()), *row.keys)]
            assert len({spot.id for spot in spots}) == len(spots)
            assert {spot.id for spot in spots if spot.down} == one.controls


def test_the_optional_lever_is_drawn_where_it_is_fitted() -> None:
    def left_little(chart: Chart) -> int:
        return next(len(row.keys) for row in picture(chart, frozenset()) if row.finger.id == "L4")

    fitted = chart_for("clarinet in B-flat").for_player(Player(frozenset({"left-eflat-lever"})))
    assert (left_little(CLARINET), left_little(fitted)) == (4, 5)  # handbook, section A


def test_on_one_line() -> None:
    assert hand_line(CLARINET, controls(CLARINET, C_SHARP_5, "L"), UNICODE) == "● ●●●  ●●●  register, left F#/C#"
    assert hand_line(CLARINET, controls(CLARINET, OPEN_G, "std"), UNICODE) == "○ ○○○  ○○○"
    assert hand_line(CLARINET, controls(CLARINET, C_SHARP_5, "L"), ASCII).isascii()
    assert hand_line(SAXOPHONE, controls(SAXOPHONE, 58, "std"), UNICODE) == "●●●  ●●●  low Bb, low C"


def test_in_words() -> None:
    assert picture_words(CLARINET, controls(CLARINET, D_SHARP_5, "R")) == (
        "left hand: thumb, register key, index, middle, ring; right hand: index, middle, ring, Ab/Eb key"
    )
    assert picture_words(CLARINET, frozenset()) == "nothing down"


@pytest.mark.parametrize(("name", "short"), [("left F#/C# lever", "F#/C#"), ("G sharp key", "G#"), ("key", "key")])
def test_short_names(name: str, short: str) -> None:
    assert short_name(name) == short


def test_rows_point_at_the_fingers_that_move() -> None:
    old = controls(CLARINET, C_SHARP_5, "L")
    rows = ["".join(one.text for one in row) for row in hand_rows(CLARINET, old, ASCII, frozenset({"L4"}))]
    assert rows[0] == "left hand" and rows[6] == "right hand" and len(rows) == 11
    assert [row for row in rows if row.startswith(">")] == [">little   ...# F#/C#"]
    assert all(len(row) <= 22 for row in rows)  # it stands in a strip beside the music


def test_keys_of_one_hand_alone_need_no_hand() -> None:
    assert keys_told(CLARINET, frozenset({"REG", "R_FC", "A"})) == "register, A, right F/C"


def test_who_is_late() -> None:
    model = HoleModel(CLARINET)
    d_sharp, c_sharp = CLARINET.fingering(D_SHARP_5, "R"), CLARINET.fingering(C_SHARP_5, "L")
    assert d_sharp is not None and c_sharp is not None
    late = lateness(model, d_sharp, c_sharp)
    # The left one late: neither key is down, and that is D; the right one late: the upper hole wins, D sharp goes on.
    assert [(one.finger.id, one.does, one.heard) for one in late] == [("L4", "down", (74,)), ("R4", "up", ())]
    right = CLARINET.fingering(C_SHARP_5, "R")
    assert right is not None
    assert [(one.finger.id, one.does) for one in lateness(model, d_sharp, right)] == [("R4", "slides")]
    assert lateness(model, d_sharp, d_sharp) == ()
