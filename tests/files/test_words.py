"""Words on the page. Which words speak of tempo, of loudness or of the way through the piece is trade practice."""

import pytest

from coach.files.musicxml.vocabulary import hairpin_word, is_tempo_word, jump_of, level_after, level_at


@pytest.mark.parametrize(
    "words",
    [
        "Andante", "Allegretto", "Adagio ma non troppo", "rit.", "poco rit.", "ritardando", "rall.", "accel.",
        "a tempo",
        "Tempo I", "più mosso", "Piu lento", "Lebhaft", "Langsam", "Presto", "Vivace", "allargando", "stringendo",
        "Mouvement de valse", "Moderato", "rubato", "Very slowly",
    ],
)  # fmt: skip
def test_words_of_tempo(words: str) -> None:
    assert is_tempo_word(words)


@pytest.mark.parametrize(
    "words",
    [
        "dolce",
        "con fuoco",
        "trill slow, then faster",
        "espressivo",
        "sul G",
        "solo",
        "ritmico",
        "lontano",
        "al niente",
        "cresc.",
    ],
)
def test_other_words(words: str) -> None:
    assert not is_tempo_word(words)


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("cresc.", "crescendo"), ("crescendo", "crescendo"), ("poco a poco cresc.", "crescendo"),
        ("dim.", "diminuendo"),
        ("dim", "diminuendo"), ("molto decresc.", "diminuendo"), ("Crescent Moon", None), ("dolce", None),
    ],
)  # fmt: skip
def test_hairpins_in_words(words: str, kind: str | None) -> None:
    assert hairpin_word(words) == kind


@pytest.mark.parametrize(
    ("words", "jump"),
    [
        ("D.C. al Fine", "dacapo"), ("D. C.", "dacapo"), ("Da Capo", "dacapo"), ("D.S. al Coda", "dalsegno"),
        ("dal segno", "dalsegno"), ("To Coda", "tocoda"), ("Fine", "fine"), ("Coda", "coda"), ("fine tone", None),
        ("dolce", None), ("D string", None),
    ],
)  # fmt: skip
def test_jumps_in_words(words: str, jump: str | None) -> None:
    assert jump_of(words) == jump


@pytest.mark.parametrize(
    ("mark", "before", "at", "after"),
    [
        ("mf", "p", "mf", "mf"), ("sfz", "p", "p", "p"), ("fp", "mf", "f", "p"), ("sfp", None, "f", "p"),
        ("sffz", "pp", "pp", "pp"), ("rf", None, None, None), ("pf", "mf", "p", "f"), ("più f", "p", "f", "f"),
        ("sempre pp", "f", "pp", "pp"), ("sfpp", "f", "f", "pp"), ("espr.", "mp", "mp", "mp"), ("n", "p", "n", "n"),
    ],
)  # fmt: skip
def test_levels(mark: str, before: str | None, at: str | None, after: str | None) -> None:
    assert (level_at(mark, before), level_after(mark, before)) == (at, after)
