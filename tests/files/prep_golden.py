"""A prep with every kind of mark, and its file as it must be, byte for byte."""

import tomllib
from dataclasses import replace
from fractions import Fraction

from coach.files.prep import prep_text
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import (
    Alteration,
    Breath,
    Comment,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    OssiaNote,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.prep import Prep
from tests.prepare.factory import part, prep_over

F = Fraction
PART = part("C5:1 Db5:1/2 Eb5:1/2 r:1", "E5:g F5:4")
FULL = replace(
    prep_over(
        PART,
        Mark("m1", "1.1", Phrase("2.1", "1.3")),
        Mark("m2", "1.1", Pace("rit.", "2.1")),
        Mark("m3", "1.2", Breath("catch"), "computed", "suggested", "the phrase is long"),
        Mark("m4", "1.2", Fingering("L"), "teacher"),
        Mark("m5", "2.1", Swap("L", "R", F(3, 2)), state="struck"),
        Mark("m6", "1.2", Reminder("flat")),
        Mark("m7", "2.1g1", Comment('say "sing"\nthen \\ rest')),
        Mark(
            "m8", "1.3", Ornament((OssiaNote(Pitch("D", -1, 5), F(3, 2), F(1, 4)), OssiaNote(None, F(2), F(1))), "turn")
        ),
        Mark("m9", "1.3", Dynamic("mf", level_db=-3.0, colour=0.5)),
        Mark("m10", "2.1", Alteration((Pitch("D", -1, 4), Pitch("F", 0, 4)))),
        Mark("m11", "2.1", Pace("fermata", length_q=F(6))),
        score="0123abcd",
    ),
    unplaced=(Mark("m12", "7.1", Breath()),),
    unplaced_over=(("m12", "7", "A5:4"),),
    settings=(("style", "lyrical"),),
)
GOLDEN = """\
schema = "coach.prepfile/1"
piece = "study"
title = "Study"
score = "0123abcd"

[settings]
style = "lyrical"

#: measure 1, beat 1, C5 to measure 2, beat 1, F5
[[mark]]
id = "m1"
kind = "phrase"
at = "1.1"
to = "2.1"
goal = "1.3"
origin = "player"
state = "kept"

#: measure 1, beat 1, C5 to measure 2, beat 1, F5
[[mark]]
id = "m2"
kind = "pace"
at = "1.1"
shape = "rit."
to = "2.1"
origin = "player"
state = "kept"

#: measure 1, beat 2, Db5
[[mark]]
id = "m3"
kind = "breath"
at = "1.2"
size = "catch"
origin = "computed"
state = "suggested"
because = "the phrase is long"

#: measure 1, beat 2, Db5
[[mark]]
id = "m4"
kind = "fingering"
at = "1.2"
choice = "L"
origin = "teacher"
state = "kept"

#: measure 1, beat 2, Db5
[[mark]]
id = "m6"
kind = "reminder"
at = "1.2"
text = "flat"
origin = "player"
state = "kept"

#: measure 1, beat 2 and 1/2, Eb5
[[mark]]
id = "m8"
kind = "ornament"
at = "1.3"
notes = "@3/2 Db5:1/4 @2 r:1"
what = "turn"
origin = "player"
state = "kept"

#: measure 1, beat 2 and 1/2, Eb5
[[mark]]
id = "m9"
kind = "dynamic"
at = "1.3"
sign = "mf"
level_db = -3.0
colour = 0.5
origin = "player"
state = "kept"

#: measure 2, beat 1, E5 (grace note)
[[mark]]
id = "m7"
kind = "comment"
at = "2.1g1"
text = "say \\"sing\\"\\nthen \\\\ rest"
origin = "player"
state = "kept"

#: measure 2, beat 1, F5
[[mark]]
id = "m11"
kind = "pace"
at = "2.1"
shape = "fermata"
length = "6"
origin = "player"
state = "kept"

#: measure 2, beat 1, F5
[[mark]]
id = "m5"
kind = "swap"
at = "2.1"
from = "L"
to = "R"
when = "3/2"
origin = "player"
state = "struck"

#: measure 2, beat 1, F5
[[mark]]
id = "m10"
kind = "alteration"
at = "2.1"
to = ["Db4", "F4"]
origin = "player"
state = "kept"

#: These marks found no note in the score as it is now. They come back if it is corrected to fit again.
#: was at note 7.1
[[unplaced]]
id = "m12"
kind = "breath"
at = "7.1"
size = "full"
origin = "player"
state = "kept"
over = [["7", "A5:4"]]

#: The notes that the marks were written over, measure by measure (name:quarters, r a rest, g and a for graces
#: before and after). By these the marks find their notes in a corrected score; leave this table as it is.
[over]
"1" = "C5:1 Db5:1/2 Eb5:1/2 r:1"
"2" = "E5:g F5:4"
"""


def body(text: str) -> str:
    """A file's text without what coach says above the first line of its own."""
    return text[text.index("schema =") :]


def line_of(text: str, part_of_it: str) -> int:
    """The number of the line on which something begins."""
    return text[: text.index(part_of_it)].count("\n") + 1


def written(prep: Prep, of: Part, before: str = "") -> str:
    text = prep_text(prep, of, before)
    tomllib.loads(text)
    return text


HAND = GOLDEN.replace(
    '#: measure 1, beat 2, Db5\n[[mark]]\nid = "m3"',
    '# ask about this one\n#: measure 1, beat 2, Db5\n[[mark]]  # here\ncolour_of_pencil = "red"\nid = "m3"',
).replace('schema = "coach.prepfile/1"', '# my own head\nschema = "coach.prepfile/1"\nowner = "me"')
