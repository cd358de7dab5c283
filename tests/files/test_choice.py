"""Which part is practised. General MIDI calls program 72 (from 1) "Clarinet"; MusicXML's list of instrument sounds has
`wind.reed.clarinet` and its kinds. Names in other languages are trade practice."""

from dataclasses import dataclass

import pytest

from coach.errors import RequestError
from coach.files.choice import choose


@dataclass(frozen=True)
class Announced:
    name: str
    instrument: str = ""
    sounds: tuple[str, ...] = ()
    midi_program: int | None = None


TRIO = (Announced("Flauto"), Announced("Clarinetto in Si♭"), Announced("Fagotto", "Bassoon"))
PLAYABLE = (True, True, True)


@pytest.mark.parametrize(
    "name",
    [
        "Clarinet in A", "Bb Clarinet", "2nd Clarinet", "Klarinette in B", "A-Klarinette", "Clarinette basse",
        "CLARINETTO", "Clar.", "Cl.", "Cl. 1", "Cl in Bb", "Clarinetti", "Bassklarinette", "Solo clarinet",
    ],
)  # fmt: skip
def test_names_of_the_clarinet(name: str) -> None:
    assert choose((Announced("Piano"), Announced(name)), (True, True), None) == 1


@pytest.mark.parametrize("name", ["Clavier", "Clarino in D", "Clavecin", "Piano", "Clavicembalo", "Clara", "Oboe"])
def test_names_of_others(name: str) -> None:
    assert choose((Announced("Violin"), Announced(name)), (True, True), None) == 0


def test_sounds_and_programs() -> None:
    for sound in (
        "wind.reed.clarinet",
        "wind.reed.clarinet.bflat",
        "wind.reed.clarinet.b-flat",
        "wind.reed.clarinet.a",
    ):
        assert choose((Announced("I"), Announced("II", sounds=(sound,))), (True, True), None) == 1
    assert choose((Announced("I"), Announced("II", midi_program=71)), (True, True), None) == 1
    assert choose((Announced("Clarinet"), Announced("II", sounds=("wind.reed.clarinet",))), (True, True), None) == 1


def test_without_a_clarinet_the_first_part_with_notes() -> None:
    assert choose((Announced("Oboe"), Announced("Horn")), (False, True), None) == 1
    assert choose((Announced("Clarinet"), Announced("Horn")), (False, True), None) == 1


def test_by_name_or_number() -> None:
    assert choose(TRIO, PLAYABLE, "3") == 2
    assert choose(TRIO, PLAYABLE, "flauto") == 0
    assert choose(TRIO, PLAYABLE, "FAG") == 2
    assert choose(TRIO, PLAYABLE, "bassoon") == 2
    assert choose(TRIO, PLAYABLE, "  ") == 1
    assert choose((Announced("Horn 12"), Announced("Horn 1"), Announced("1")), PLAYABLE, "horn 1") == 1
    assert choose((Announced("Horn 12"), Announced("Horn 1"), Announced("1")), PLAYABLE, "1") == 2  # a name, exactly


@pytest.mark.parametrize("wanted", ["0", "4", "-1", "Tuba", "1.5", "٣"])
def test_what_is_not_there(wanted: str) -> None:
    with pytest.raises(RequestError, match="its parts are 1 Flauto, 2 Clarinetto in Si♭, 3 Fagotto"):
        choose(TRIO, PLAYABLE, wanted)


def test_a_part_without_notes_cannot_be_asked_for() -> None:
    with pytest.raises(RequestError, match="has no notes in part '1'"):
        choose(TRIO, (False, True, True), "1")
