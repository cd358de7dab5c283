"""Small parts with ornaments for the tests."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from coach.music.metre import Key, Metre
from coach.music.note import Note, Ornament
from coach.music.part import Part
from coach.music.rhythm import simplest_value
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.realising import realisations
from tests.prepare.factory import part


def page(
    *measures: str,
    ornaments: Mapping[str, Ornament] | None = None,
    slash: bool = False,
    key: int = 0,
    metre: tuple[int, int] = (4, 4),
    **changes: Mapping[str, object],
) -> Part:
    """A part from texts as in `part`, its notes with their values. `changes` are fields to replace, each by note id."""
    base = part(*measures)

    def note(one: Note) -> Note:
        given = (ornaments or {}).get(one.id)
        one = replace(
            one,
            value=simplest_value(one.length_q),
            ornaments=(given,) if given else (),
            graces=tuple(replace(grace, slash=slash) for grace in one.graces),
        )
        fields = {name: by_id[one.id] for name, by_id in changes.items() if one.id in by_id}
        return replace(one, **fields)  # type: ignore[arg-type]

    made = tuple(replace(m, notes=tuple(map(note, m.notes)), key=Key(key), metre=Metre(*metre)) for m in base.measures)
    return replace(base, measures=made)


def ways(of: Part, style: str = "lyrical", quarter_s: float = 1.0) -> Mapping[str, tuple[Realisation, ...]]:
    """The ways to play a part's ornaments where a quarter lasts so long."""
    return realisations(of, style=style, pace=lambda _: quarter_s, fastest=lambda low, high: 12.0)


def words(one: Realisation) -> str:
    """What is played: "C5:3/2 D5:1/6"."""
    return " ".join(f"{note.pitch.name if note.pitch else 'r'}:{note.length_q}" for note in one.content.notes)


def first(of: Part, at: str, style: str = "lyrical", quarter_s: float = 1.0) -> str:
    """What is proposed at a note."""
    return words(ways(of, style, quarter_s)[at][0])


def all_words(of: Part, at: str, style: str = "lyrical", quarter_s: float = 1.0) -> list[str]:
    """All ways at a note."""
    return [words(one) for one in ways(of, style, quarter_s)[at]]


def check_tiling(of: Part, found: Mapping[str, tuple[Realisation, ...]]) -> None:
    """Arithmetic: the notes of every way follow each other without gap or overlap, all longer than nothing, and end
    exactly where the main note ends; they begin with it, or with the note before, or within the rest before."""
    notes = list(of.notes())
    places = {note.id: k for k, note in enumerate(notes)}
    starts = {measure.id: measure.onset_q for measure in of.measures}
    for at, choices in found.items():
        k = places[at]
        last = k
        while last + 1 < len(notes) and tied(notes[last], notes[last + 1]):
            last += 1
        begins = k - 1
        while begins > 0 and tied(notes[begins - 1], notes[begins]):
            begins -= 1
        origin_q = starts[notes[k].measure]
        assert choices
        for way in choices:
            made = way.content.notes
            assert all(one.length_q > 0 for one in made)
            for one, two in zip(made, made[1:], strict=False):
                assert one.onset_q + one.length_q == two.onset_q
            assert origin_q + made[-1].onset_q + made[-1].length_q == notes[last].end_q
            start_q = origin_q + made[0].onset_q
            if start_q < notes[k].onset_q:
                before = notes[begins]
                assert start_q >= before.onset_q if before.pitch is None else start_q == before.onset_q
                assert before.pitch is None or made[0].pitch == before.pitch
            else:
                assert start_q == notes[k].onset_q
            assert way.because.endswith(".") and way.name


def tied(one: Note, two: Note) -> bool:
    """Whether two notes in a row are one sound."""
    open_, closed = one.tie in ("start", "continue"), two.tie in ("continue", "stop")
    return open_ and closed and one.pitch is not None and one.pitch == two.pitch


F = Fraction
