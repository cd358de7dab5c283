"""Small pieces in every usual metre for the tests of drills, drawn by hypothesis, and what a drill of them sounds."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import assume
from hypothesis import strategies as st

from coach.files.drills import own_recipes
from coach.lesson.drills import decided_of
from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Grace, Note, Ornament
from coach.music.part import Part
from coach.music.piece import Piece
from coach.music.pitch import Pitch, Transposition, parse_pitch
from coach.music.rhythm import Value, simplest_value
from coach.practice.drills.decided import Decided
from coach.practice.drills.drill import Drill, make, stretch_for
from coach.practice.drills.recipe import Recipe
from coach.practice.drills.stretch import chains_of, fits
from coach.prepare.interpretation import Interpretation
from coach.prepare.ornaments.realisation import STYLES
from coach.prepare.ornaments.realising import realisations

F = Fraction
METRES = (
    *(Metre(beats, 4) for beats in (1, 2, 3, 4, 5, 6)),
    *(Metre(beats, 8) for beats in (3, 5, 6, 7, 9, 12)),
    Metre(2, 2),
    Metre(5, 8, (3, 2)),
    Metre(8, 8, (3, 3, 2)),
    Metre(4, 16),
)
RECIPES: dict[str, Recipe] = {recipe.id: recipe for recipe in own_recipes()}
PITCHES = st.sampled_from(
    [Pitch(step, alter, octave) for octave in (5, 4, 6, 3) for alter in (0, -1, 1, -2, 2) for step in "CDEFGAB"]
)


def piece(metre: Metre, *measures: str, key: Key | None = None) -> Piece:
    """A piece from texts such as "C5:1 D5:1/2~ r:1/2 E5:1-": "~" ties to the next note, "-" slurs to it."""
    made: list[Measure] = []
    tied = False
    for k, text in enumerate(measures):
        onset = k * metre.length_q
        notes, tied = _notes(str(k + 1), text, onset, tied)
        assert sum(note.length_q for note in notes) == metre.length_q, text
        made.append(Measure(str(k + 1), str(k + 1), onset, metre.length_q, metre, key or Key(), Clef(), notes))
    return Piece("Study", "", Part("P1", "Clarinet in Bb", "Clarinet in Bb", Transposition(-1, -2), tuple(made)))


def _notes(name: str, text: str, start: Fraction, tied: bool) -> tuple[tuple[Note, ...], bool]:
    made: list[Note] = []
    at, heads, rests = start, 0, 0
    for word in text.split():
        pitch, _, length = word.partition(":")
        on, slurred = length.endswith("~"), length.endswith("-")
        length_q = F(length.rstrip("~-"))
        rests, heads = (rests + 1, heads) if pitch == "r" else (rests, heads + 1)
        made.append(
            Note(
                f"{name}.r{rests}" if pitch == "r" else f"{name}.{heads}",
                None if pitch == "r" else parse_pitch(pitch),
                at,
                length_q,
                name,
                F(1),
                value=simplest_value(length_q),
                tie={(False, True): "start", (True, True): "continue", (True, False): "stop"}.get((tied, on)),
                slurred=slurred,
            )
        )
        at, tied = at + length_q, on
    return tuple(made), tied


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    """One to four measures of one metre: notes and rests of plain, dotted and triplet values, some tied, slurred,
    dressed."""
    metre = draw(st.sampled_from(METRES))
    key = Key(draw(st.integers(-6, 6)))
    measures: list[Measure] = []
    for k in range(draw(st.integers(1, 4))):
        onset = k * metre.length_q
        notes = tuple(draw(_measures(str(k + 1), onset, metre)))
        measures.append(Measure(str(k + 1), str(k + 1), onset, metre.length_q, metre, key, Clef(), notes))
    whole = Piece("Study", "", Part("P1", "Clarinet in Bb", "Clarinet in Bb", Transposition(-1, -2), tuple(measures)))
    return draw(_tied(whole))


@st.composite
def _measures(draw: st.DrawFn, name: str, start: Fraction, metre: Metre) -> list[Note]:
    made: list[Note] = []
    left, heads, rests = metre.length_q, 0, 0
    while left:
        group = draw(st.sampled_from(("note", "note", "rest", "triplet")))
        third = Value(draw(st.sampled_from(("eighth", "16th"))), 0, 3, 2)
        values = [third] * 3 if group == "triplet" and third.length_q * 3 <= left else [draw(_value(left))]
        for value in values:
            pitch = None if group == "rest" and len(values) == 1 else draw(PITCHES)
            rests, heads = (rests + 1, heads) if pitch is None else (rests, heads + 1)
            note_id = f"{name}.r{rests}" if pitch is None else f"{name}.{heads}"
            note = Note(note_id, pitch, start + metre.length_q - left, value.length_q, name, F(1), value=value)
            made.append(note if pitch is None else draw(_dressed(note)))
            left -= value.length_q
    return made


@st.composite
def _value(draw: st.DrawFn, left: Fraction) -> Value:
    known = (simplest_value(F(k, 4)) for k in (1, 2, 3, 4, 6, 8, 12, 16) if F(k, 4) <= left)
    return draw(st.sampled_from([value for value in known if value is not None]))


@st.composite
def _dressed(draw: st.DrawFn, note: Note) -> Note:
    articulations = draw(st.sampled_from(((), (), ("staccato",), ("accent", "tenuto"))))
    ornaments = draw(st.sampled_from(((), (), (Ornament("turn"),), (Ornament("trill-mark"),))))
    names = [f"{note.id}g{k + 1}" for k in range(draw(st.sampled_from((0, 0, 0, 1, 2, 3))))]
    graces = tuple(Grace(name, draw(PITCHES), Value("16th"), draw(st.booleans())) for name in names)
    fermata = draw(st.booleans())
    return replace(note, articulations=articulations, ornaments=ornaments, fermata=fermata, graces=graces)


@st.composite
def _tied(draw: st.DrawFn, whole: Piece) -> Piece:
    """The piece with some notes tied to the next, over barlines too, and some slurred."""
    notes = list(whole.part.notes())
    for k, note in enumerate(notes[:-1]):
        after = notes[k + 1]
        if note.pitch is None or after.pitch is None:
            continue
        how = draw(st.sampled_from(("", "", "tie", "slur")))
        if how == "tie":
            notes[k] = replace(notes[k], tie="continue" if notes[k].tie == "stop" else "start", slurred=False)
            notes[k + 1] = replace(after, pitch=note.pitch, tie="stop", ornaments=(), articulations=(), graces=())
        elif how == "slur":
            notes[k] = replace(notes[k], slurred=True)
    for k, note in enumerate(notes[1:], 1):  # as a reader has it: two graces after a trill are the trill's
        if any(ornament.kind == "trill-mark" for ornament in notes[k - 1].ornaments):
            notes[k] = replace(note, graces=note.graces[:1])
    at = 0
    measures = []
    for measure in whole.part.measures:
        measures.append(replace(measure, notes=tuple(notes[at : at + len(measure.notes)])))
        at += len(measure.notes)
    return replace(whole, part=replace(whole.part, measures=tuple(measures)))


def text_of(measure: Measure) -> str:
    """A measure as the texts of `piece` have it."""
    words = []
    for note in measure.notes:
        join = "~" if note.tie in ("start", "continue") else "-" if note.slurred else ""
        words.append(f"{note.pitch.name if note.pitch else 'r'}:{note.length_q}{join}")
    return " ".join(words)


KEYS = (("", ""), ("L", "R"), ("R_F", "L_F"))
REACH = {
    "held": 0,
    "change": 1,
    "notes": 12,
    "trill": 0,
    "grace": 0,
    "phrase": 12,
    "breath": 1,
    "tone": 0,
}  # notes that a recipe's stretch goes on for


def decided(of: Piece, style: str = "lyrical", quarter_s: float = 1.0) -> Decided:
    """What is proposed for a piece whose quarters last so many seconds, for fingers that trill ten notes a second; a
    full breath after every third note."""
    ways = realisations(of.part, style=style, pace=lambda at_q: quarter_s, fastest=lambda low, high: 10.0)
    breaths = {chain.notes[-1].id: "full" for chain in chains_of(tuple(of.part.notes()))[2::3]}
    return decided_of(of, Interpretation(breaths=breaths), ways)


@st.composite
def drills(draw: st.DrawFn) -> tuple[Piece, Drill, set[int]]:
    """A piece, a drill of it, and the pitches that the drill may have."""
    of = draw(pieces())
    chains = chains_of(tuple(of.part.notes()))
    assume(chains)
    made = decided(of, draw(st.sampled_from(STYLES)))
    recipe = RECIPES[draw(st.sampled_from(sorted(RECIPES)))]
    most = REACH[recipe.works_on]
    reach = draw(st.integers(1, most)) if most else 0
    keys = draw(st.sampled_from(KEYS))
    ends = [(chain.notes[0].id, chains[min(k + reach, len(chains) - 1)].notes[-1].id) for k, chain in enumerate(chains)]
    stretches = [stretch_for(recipe, of, *each, keys, made) for each in ends]
    fitting = [one for one in stretches if fits(recipe, one)]
    assume(fitting)
    stretch = draw(st.sampled_from(fitting))
    drill = make(recipe, of, stretch.first.notes[0].id, stretch.last.notes[-1].id, keys, made)
    inside = {note.id for measure in stretch.measures for note in measure.notes}
    near = [one for one in (stretch.before, stretch.after) if one is not None and recipe.id == "swap"]
    near += [*stretch.lead, *([stretch.landing] if stretch.landing is not None else [])]
    wide = recipe.works_on in ("change", "breath")
    whole = [one for one in of.part.pitched() if one.id in inside] if wide else []
    may = {chain.pitch.midi for chain in (*stretch.chains, *near)} | {one.pitch.midi for one in whole if one.pitch}
    ornament = stretch.ornament
    if ornament is not None and recipe.works_on in ("trill", "grace"):
        may |= {note.pitch.midi for note in ornament.notes if note.pitch is not None}
        may |= {ornament.shake.other.midi} if ornament.shake is not None else set()
    return of, drill, may
