"""Small parts and marks for the tests, and hypothesis strategies for whole preps."""

from fractions import Fraction

from hypothesis import strategies as st

from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Grace, Note
from coach.music.part import Part
from coach.music.pitch import Pitch, Transposition, parse_pitch
from coach.prepare.mark import (
    ACCIDENTALS,
    CURVES,
    NEIGHBOURS,
    ORIGINS,
    SHAPES,
    SIGNS,
    SIZES,
    STARTS,
    STATES,
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
    Shake,
    Swap,
)
from coach.prepare.over import measure_text, places, written_over
from coach.prepare.pencil import in_order, one_fingering
from coach.prepare.prep import Prep

F = Fraction
OPEN = ("start", "continue")


def part(*measures: str, names: tuple[str, ...] = ()) -> Part:
    """A part from texts such as "Db5:1 C5:g Eb5:1/2~ r:1" ("~" ties a note to the next)."""
    made: list[Measure] = []
    onset = F(0)
    for k, text in enumerate(measures):
        name = names[k] if names else str(k + 1)
        notes = _notes(name, text, onset, bool(made) and bool(made[-1].notes) and made[-1].notes[-1].tie in OPEN)
        length = sum((note.length_q for note in notes), F(0))
        made.append(Measure(name, name, onset, length, Metre(4, 4), Key(), Clef(), tuple(notes)))
        onset += length
    return Part("P1", "Clarinet in Bb", "clarinet in B-flat", Transposition(-1, -2), tuple(made))


def _notes(name: str, text: str, start: Fraction, tied: bool) -> list[Note]:
    notes: list[Note] = []
    waiting: list[Pitch] = []
    count = rests = 0
    onset = start
    for word in text.split():
        pitch, _, length = word.partition(":")
        if length == "g":
            waiting.append(parse_pitch(pitch))
            continue
        joins = length.endswith("~")
        length_q = F(length.rstrip("~"))
        rests, count = (rests + 1, count) if pitch == "r" else (rests, count + 1)
        id_ = f"{name}.r{rests}" if pitch == "r" else f"{name}.{count}"
        tie = {(False, True): "start", (True, True): "continue", (True, False): "stop"}.get((tied, joins))
        graces = tuple(Grace(f"{id_}g{k}", each, None) for k, each in enumerate(waiting, 1))
        waiting.clear()
        written = None if pitch == "r" else parse_pitch(pitch)
        notes.append(Note(id_, written, onset, length_q, name, onset - start + 1, tie=tie, graces=graces))
        onset, tied = onset + length_q, joins
    return notes


def prep_over(of: Part, *marks: Mark, score: str = "one") -> Prep:
    """A prep with marks over a part."""
    over = written_over(of)
    return Prep("study", "Study", score, marks=in_order(marks, over), over=over)


PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(0, 9))
LENGTHS = st.fractions(F(1, 64), F(64), max_denominator=96)
ONSETS = st.fractions(F(-8), F(64), max_denominator=96)
# What no text may hold: control characters, halves of characters, no characters, turns of the direction of writing.
SIGNS_OF_TEXT = st.characters(
    exclude_categories=("Cc", "Cs", "Zl", "Zp"),
    exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufffe\uffff",
)
NAMES = st.text(SIGNS_OF_TEXT, min_size=1, max_size=20).filter(lambda text: bool(text.strip()))
WORDS = st.text(SIGNS_OF_TEXT | st.sampled_from("\n\t"), min_size=1, max_size=60).filter(
    lambda text: bool(text.strip())
)
RATES = st.fractions(F(1, 4), F(64), max_denominator=8)
LEVELS = st.none() | st.floats(-120, 24, allow_nan=False)


@st.composite
def shakes(draw: st.DrawFn) -> Shake:
    """Shakes that can be: their closing notes leave time for the trill, and it has few enough notes."""
    close = draw(st.lists(PITCHES, max_size=3).map(tuple))
    length_q = draw(st.fractions(F(1, 4), F(16), max_denominator=24))
    first, last = sorted(draw(st.tuples(RATES, RATES)))
    curve = draw(st.sampled_from(CURVES))
    return Shake(
        draw(PITCHES),
        draw(ONSETS),
        length_q,
        last if curve == "even" else first,
        last,
        curve,
        draw(st.sampled_from(STARTS)),
        close,
        length_q / (2 * len(close)) if close else F(0),
    )


E5, FB5, DB5 = Pitch("E", 0, 5), Pitch("F", -1, 5), Pitch("D", -1, 5)
SOME_SHAKES = (  # a few for whole preps, of which many are made
    Shake(FB5, F(0), F(6), F(2), F(9), "steady", "main", (DB5, E5), F(1, 4)),
    Shake(E5, F(3, 2), F(1, 3), F(25, 2), F(25, 2)),
    Shake(DB5, F(-1, 6), F(4), F(1), F(16), "late", "lower", (E5,), F(1, 12)),
)


def contents(ids: st.SearchStrategy[str]) -> st.SearchStrategy[object]:
    """Contents of every kind that speak of these notes."""
    return st.one_of(
        st.builds(Breath, st.sampled_from(SIZES)),
        st.builds(Fingering, NAMES, st.lists(NAMES, max_size=3).map(tuple), st.booleans()),
        st.builds(Swap, NAMES, NAMES, LENGTHS),
        st.builds(Reminder, st.sampled_from((*ACCIDENTALS, "C", "Bb")), st.sampled_from(NEIGHBOURS)),
        st.builds(
            Ornament,
            st.lists(st.builds(OssiaNote, st.none() | PITCHES, ONSETS, LENGTHS), min_size=1, max_size=6).map(tuple),
            st.sampled_from(("ossia", "trill", "turn")),
            st.sampled_from(("", "treatise", "lyrical")),
            st.none() | st.sampled_from(SOME_SHAKES),
        ),
        st.builds(Dynamic, st.sampled_from(SIGNS), st.just("") | ids, LEVELS, st.none() | st.floats(0, 1)),
        st.builds(Alteration, st.lists(PITCHES, min_size=1, max_size=4).map(tuple)),
        st.builds(Phrase, ids, st.just("") | ids),
        st.builds(Pace, st.sampled_from(SHAPES), st.just("") | ids, st.none() | LENGTHS),
        st.builds(Comment, WORDS),
    )


@st.composite
def marks_at(draw: st.DrawFn, ids: st.SearchStrategy[str], most: int = 8) -> tuple[Mark, ...]:
    """Marks with ids of their own."""
    made = draw(
        st.lists(
            st.builds(
                Mark,
                NAMES,
                ids,
                contents(ids),
                st.sampled_from(ORIGINS),
                st.sampled_from(STATES),
                st.just("") | NAMES,
            ),
            max_size=most,
            unique_by=lambda mark: mark.id,
        )
    )
    return tuple(made)


WORDS_OF_NOTES = st.sampled_from(("C5:1", "D5:1", "Eb5:1/2", "F#4:1/2", "r:1", "G4:g C5:2"))
PARTS = st.lists(st.lists(WORDS_OF_NOTES, min_size=1, max_size=5).map(" ".join), min_size=1, max_size=6).map(
    lambda texts: part(*texts)
)


@st.composite
def preps(draw: st.DrawFn) -> tuple[Prep, Part]:
    """A prep and the part it is of: placed marks, unplaced ones with what they were written over, settings."""
    of = draw(PARTS)
    over = written_over(of)
    ids = st.sampled_from(tuple(places(over)))
    marks = draw(marks_at(ids))
    taken = {mark.id for mark in marks}
    unplaced = tuple(mark for mark in draw(marks_at(NAMES, 3)) if mark.id not in taken)
    context = tuple((mark.id, "7", measure_text(of.measures[0])) for mark in unplaced[::2])
    settings = draw(st.dictionaries(NAMES, st.text(SIGNS_OF_TEXT, max_size=10), max_size=3))
    return (
        Prep(
            piece=draw(st.just("") | NAMES),
            title=draw(st.just("") | st.text(st.characters(categories=("L", "N", "P")), max_size=20)),
            score_hash=draw(st.just("") | st.text("0123456789abcdef", max_size=64)),
            marks=in_order(one_fingering(marks), over),
            unplaced=unplaced,
            over=over,
            settings=tuple(settings.items()),
            unplaced_over=context,
        ),
        of,
    )
