"""Measures drawn as characters. Where things stand on the staff is standard notation: in the treble clef the lines are
E4 G4 B4 D5 F5 from the lowest up, ledger lines continue in thirds."""

from coach.music.metre import Key, Metre
from coach.music.piece import Piece, Span
from coach.screen.view.glyphs import ASCII, UNICODE, Glyphs
from coach.screen.view.page import Look, Page, draw_page, systems_on_page
from coach.screen.view.system import break_systems
from tests.screen.pages import piece

PLAIN = Look(-1)


def drawn(score: Piece, *, width: int = 60, height: int = 22, look: Look = PLAIN, glyphs: Glyphs = UNICODE) -> Page:
    systems = break_systems(score, score.whole(), width, glyphs)
    shown = systems_on_page(systems, max(look.chosen, 0), None, (width, height))
    return draw_page(score, shown, look, (width, height), glyphs)


def rows(page: Page) -> list[str]:
    return page.canvas.text().split("\n")


def row_of(page: Page, note: str) -> int:
    return page.notes[note].row


# Checked by eye against the rules of notation; a change here must be looked at again.
TWO_MEASURES = """\
         1  1       2       3      2      1       2       3
                                          tr~~~~~~~~~~~~
            ╭───────────────╮

────────────────────────●──────────│─────────────────────────────║
   ♭                               │                             ║
─────♭──3───●──────────────────────│─────────────────────────────║
                                   │                             ║
──♭─────────────────────────●──────│──────────────────────────7──║
    ♭                              │                             ║
G─────♭─4──────────────────────────│──•──────────────────────────║
                                   │      ○                      ║
───────────────────────────────────│─────────────────────♮●──────║

           D♭5          F5 B♭4       G♭4  F4              E4
            │           ┌─  │             │               ┌─
            ●.          ●   ●         •   ○               ●   7
            p"""


def test_two_measures_as_a_whole() -> None:
    score = piece("(Db5/4./p F5/8 Bb4/4)", "g:Gb4 F4/2/tr E4/8 r/8", key=Key(-5))
    assert drawn(score, width=72, height=18).canvas.text() == TWO_MEASURES


def test_heads_stand_at_their_heights() -> None:
    score = piece("E4/4 F4/4 G4/4", "B4/4 D5/4 F5/4", "G5/4 A5/4 C6/4")
    page = drawn(score, width=80)
    bottom = row_of(page, "1.1")
    heights = [bottom - row_of(page, f"{m}.{k}") for m in (1, 2, 3) for k in (1, 2, 3)]
    # Steps above E4, the lowest line: F 1, G 2, B 4, D 6, F 8, G 9, A 10, C 12.
    assert heights == [0, 1, 2, 4, 6, 8, 9, 10, 12]


def test_lines_run_through_the_notes_that_stand_on_them() -> None:
    page = drawn(piece("E4/4 F4/4 F5/4"))
    lines = rows(page)
    assert lines[row_of(page, "1.1")].count("─") > 20
    assert "─" not in lines[row_of(page, "1.2")]
    assert lines[row_of(page, "1.3")].count("─") > 20


def test_ledger_lines() -> None:
    page = drawn(piece("A5/4 C4/4 E3/4"), height=30)
    lines = rows(page)
    for note in ("1.1", "1.2", "1.3"):
        place = page.notes[note]
        beside = lines[place.row].ljust(60)[place.column - 1 : place.column + 2]
        # A5 and C4 stand on the first ledger line above and below; E3 hangs under the third one below.
        assert (beside == "─●─") == (note != "1.3"), note
    low = page.notes["1.3"]
    above = [lines[low.row - k].ljust(60)[low.column - 1 : low.column + 2] for k in (1, 3, 5)]
    assert above == ["───"] * 3


def test_the_key_of_a_note_is_carried_through_the_measure() -> None:
    # Key of one flat: B is flat without a sign; B natural needs one, the next B keeps it, the next measure forgets it.
    score = piece("Bb4/4 B4/4 B4/4", "Bb4/4 F#5/4 F5/4", key=Key(-1))
    page = drawn(score, width=80)
    lines = rows(page)

    def before(note: str) -> str:
        place = page.notes[note]
        return lines[place.row][place.column - 1]

    signs = [before(f"{m}.{k}") for m in (1, 2) for k in (1, 2, 3)]
    assert [sign if sign in "♮♯♭" else "" for sign in signs] == ["", "♮", "", "", "♯", "♮"]


def test_names_stand_under_their_heads() -> None:
    page = drawn(piece("C#5/4 Bb4/4 F##4/4"))
    (names,) = [row for row in rows(page) if "C♯5" in row]
    assert names.split() == ["C♯5", "B♭4", "F##4"]
    for note, name in zip(("1.1", "1.2", "1.3"), names.split(), strict=True):
        assert names.index(name) <= page.notes[note].column < names.index(name) + len(name)


def test_beams_tell_the_values() -> None:
    page = drawn(piece("C5/8 D5/8 E5/16 F5/16 G5/16 A5/16 G5/32 F5/32 E5/32 D5/32 C5/8"), width=80)
    stems = next(row for row in rows(page) if "╒" in row).split()
    shapes = ["".join(dict.fromkeys(stem)) for stem in stems]
    # Two eighths under one line, four sixteenths under two; four 32nds under three and the eighth after them under one.
    assert shapes == ["┌─┐", "╒═╤╕", "┌≡┬─┐"]


def test_a_dotted_eighth_leaves_the_sixteenth_a_stub() -> None:
    page = drawn(piece("C5/8. D5/16 E5/2"), width=50)
    stems = next(row for row in rows(page) if "┌" in row)
    assert stems.split()[0].replace("─", "") == "┌═┐"


def test_no_beam_crosses_a_beat_or_a_rest() -> None:
    page = drawn(piece("C5/8 D5/8 E5/8 F5/8 G5/8 r/8"), width=60)
    stems = next(row for row in rows(page) if "┌" in row).split()
    assert [stem[0] + stem[-1] for stem in stems] == ["┌┐", "┌┐", "┌─"]


def test_compound_beats_hold_three_eighths() -> None:
    page = drawn(piece("C5/8 D5/8 E5/8 F5/8 G5/8 A5/8", metre=Metre(6, 8)), width=60)
    stems = next(row for row in rows(page) if "┌" in row).split()
    assert [stem.replace("─", "") for stem in stems] == ["┌┬┐", "┌┬┐"]
    assert [word for word in rows(page)[0].split() if word in "123·"] == ["1", "1", "·", "·", "2", "·", "·"]


def test_open_heads_dots_and_rests() -> None:
    page = drawn(piece("C5/2.", "r/2 C5/4", "r/4 r/8 C5/8 D5/16 r/16 r/8"), width=90)
    heads = rows(page)[-2].split() if rows(page)[-1].strip() == "" else rows(page)[-1].split()
    assert heads == ["○.", "▄", "●", "ξ", "7", "●", "●", "77", "7"]


def test_a_triplet_has_its_number() -> None:
    page = drawn(piece("C5/8t D5/8t E5/8t F5/2"), width=60)
    assert "3" in next(row for row in rows(page) if "┌" in row)


def test_slurs_ties_signs_breaths_dynamics() -> None:
    page = drawn(piece("(C5/4/p D5/4/accent E5/4)", "F5/2/~ F5/4/_/ff/,", "G5/2./fermata"), width=80)
    lines = rows(page)
    slur = next(row for row in lines if "╭" in row)
    assert slur.index("╭") == page.notes["1.1"].column
    assert slur.index("╮") == page.notes["1.3"].column
    signs = lines[1]
    assert signs[page.notes["1.2"].column] == ">"
    assert signs[page.notes["3.1"].column] == "⌒"
    assert page.notes["2.2"].column < signs.index(",") < page.notes["3.1"].column
    tied = lines[page.notes["2.1"].row]
    between = tied[page.notes["2.1"].column + 1 : page.notes["2.2"].column]
    assert set(between) == {"‿"}
    dynamics = next(row for row in reversed(lines) if row.strip())
    assert dynamics.split() == ["p", "ff"]
    assert dynamics.index("p") == page.notes["1.1"].column


def test_a_slur_goes_on_in_the_next_system() -> None:
    score = piece("(C5/4 D5/4 E5/4", "F5/4 G5/4 A5/4)", "C5/2.")
    systems = break_systems(score, score.whole(), 30, UNICODE)
    assert [len(system.segments) for system in systems] == [1, 1, 1]
    first = draw_page(score, systems[:1], Look(-1), (30, 20), UNICODE).canvas.text()
    second = draw_page(score, systems[1:2], Look(-1), (30, 20), UNICODE).canvas.text()
    third = draw_page(score, systems[2:], Look(-1), (30, 20), UNICODE).canvas.text()
    assert ("╭" in first, "╮" in first) == (True, False)
    assert ("╭" in second, "╮" in second) == (False, True)
    assert ("╭" in third, "╮" in third) == (False, False)


def test_graces_come_small_before_their_note() -> None:
    page = drawn(piece("C5/2 g:E5 g:D5 C5/4"))
    columns = [page.notes[note].column for note in ("1.1", "1.2g1", "1.2g2", "1.2")]
    assert columns == sorted(columns)
    assert len(set(columns)) == 4
    assert rows(page)[page.notes["1.2g1"].row][page.notes["1.2g1"].column] == "•"


def test_the_range_and_the_chosen_measure_are_marked() -> None:
    score = piece("C5/2.", "D5/2.", "E5/2.", "F5/2.")
    page = drawn(score, width=90, look=Look(2, Span(1, 2)))
    beats = rows(page)[0]
    assert beats.index("[2═") < beats.index("═3 ") < beats.index("]") < beats.index(" 4 ")
    inside = beats[beats.index("[") : beats.index("]")]
    assert inside.count("═") > 10
    assert "═" not in beats[: beats.index("[")] + beats[beats.index("]") :]
    heavy = [column for column, character in enumerate(rows(page)[10]) if character == "┃"]
    left, right, _, _ = page.measures[2]
    assert heavy == [left, right]


def test_without_unicode_everything_is_ascii() -> None:
    score = piece("(Db5/4./p/tr F#5/8/~ F#5/16/_ G5/16 r/8)", "g:A5 B5/2/fermata/, r/4", "r/2.", key=Key(-5))
    page = drawn(score, width=80, look=Look(1, Span(0, 1)), glyphs=ASCII)
    assert page.canvas.text().isascii()
    assert "(2)" in page.canvas.text()


def test_a_full_measure_writes_its_names_downwards() -> None:
    score = piece(" ".join(["Db5/32 E5/32"] * 12))
    page = drawn(score, width=80, height=19)
    lines = rows(page)
    names = next(k for k, row in enumerate(lines) if row.split() == ["D", "E"] * 12)
    assert lines[names + 1].split() == ["♭"] * 12
    assert lines[names + 2].split() == ["5"] * 24


def test_a_measure_too_full_for_the_width_is_cut_and_loses_nothing() -> None:
    score = piece(" ".join(["Db5/64 E5/64"] * 24))
    systems = break_systems(score, score.whole(), 60, UNICODE)
    assert len(systems) > 1
    ids = [slot.id for system in systems for segment in system.segments for slot in segment.slots]
    assert ids == [f"1.{k}" for k in range(1, 49)]
    for system in systems:
        page = draw_page(score, [system], Look(0), (60, 19), UNICODE)
        assert all(place.column < 60 for place in page.notes.values())


def test_three_octaves_fit_into_few_rows_in_order() -> None:
    # From the clarinet's lowest written note, E3, to its usual highest, C7.
    score = piece("E3/4 C5/4 C7/4", "E4/4 F5/4 G5/4")
    page = drawn(score, height=16)
    order = ["1.1", "2.1", "1.2", "2.2", "2.3", "1.3"]
    places = [row_of(page, note) for note in order]
    assert places == sorted(places, reverse=True)
    assert len(set(places)) == 6


def test_pointing_at_a_measure() -> None:
    page = drawn(piece("C5/2.", "D5/2."), width=60)
    for note, index in (("1.1", 0), ("2.1", 1)):
        place = page.notes[note]
        assert page.measure_at(place.column, place.row) == index
    assert page.measure_at(59, 3) is None


def test_a_long_number_stands_apart_from_the_first_beat() -> None:
    score = piece(*["C5/2."] * 120)
    page = drawn(score, width=60, look=Look(110))
    assert {"110", "111", "1", "2", "3"} <= set(rows(page)[0].split())
