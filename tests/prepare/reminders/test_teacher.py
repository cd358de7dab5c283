"""Where a teacher would pencil an accidental and where not, decided before the program was asked: common practice of
the trade; that a sign holds in its measure and octave alone is the rule of standard notation."""

import pytest

from coach.music.pitch import parse_pitch
from coach.prepare.mark import Ornament, OssiaNote
from coach.prepare.reminders.reminding import reminders
from tests.prepare.factory import F
from tests.prepare.reminders.pages import in_keys, keyed

CASES = [
    ("carried over three beats", (0, 0), ("F#5:1 G5:1 A5:1 F#5:1", "G5:4"), {"1.4": "sharp"}),
    ("cancelled by the barline", (0, 0), ("F#5:1 G5:1 A5:1 G5:1", "F5:2 G5:2"), {"2.1": "natural"}),
    ("another octave", (0, 0), ("F#5:1 G5:1 F4:1 G4:1", "G5:4"), {"1.3": "natural"}),
    ("right beside its sign", (0,), ("F#5:1 F#5:1 G5:2",), {}),
    ("printed", (0,), ("F#5:1 F5:1 G5:2",), {}),
    ("nothing altered", (0, 0), ("C5:1 D5:1 E5:1 F5:1", "G5:4"), {}),
    ("the sharps of the key", (4, 4), ("E4:1 F#4:1 G#4:1 A4:1", "B4:1 C#5:1 D#5:1 E5:1"), {}),
    ("a name that no finger knows", (4,), ("C#5:1 B#4:1 C#5:1 D#5:1",), {"1.2": "C"}),
    ("a double sharp", (5,), ("G#5:1 F##5:1 G#5:2",), {"1.2": "G"}),
    ("C flat", (-6,), ("Bb4:1 Cb5:1 Bb4:2",), {"1.2": "B"}),
    ("back to the key", (1, 1), ("G5:1 F5:1 E5:1 D5:1", "E5:1 F#5:1 G5:2"), {"2.2": "sharp"}),
    ("long forgotten", (0,) * 4, ("F#5:1 G5:3", "G5:4", "A5:4", "F5:2 G5:2"), {}),
    ("tied over the barline", (0, 0), ("A5:2 F#5:2~", "F#5:1 G5:1 F5:2"), {"2.3": "natural"}),
    (
        "a new key, each step once",
        (0, 4, 4),
        ("C5:1 D5:1 F5:2", "E5:1 F#5:1 G#5:1 C#5:1", "D#5:1 F#5:1 G#5:1 C#5:1"),
        {"2.2": "sharp", "2.3": "sharp", "2.4": "sharp", "3.1": "sharp"},
    ),
]


@pytest.mark.parametrize(("keys", "measures", "told"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_is_pencilled(keys: tuple[int, ...], measures: tuple[str, ...], told: dict[str, str]) -> None:
    assert {one.at: one.content.text for one in reminders(in_keys(keys, *measures), {})} == told


def test_the_neighbour_of_a_trill_by_an_earlier_sign_and_not_by_the_plain_key() -> None:
    sharp = keyed(0, "F#5:1 G5:1 E5:2")
    plain = keyed(0, "F5:1 G5:1 E5:2")
    told = [one.content for one in reminders(sharp, {"1.3": _trill("F#5")})]
    assert [(one.text, one.of) for one in told] == [("sharp", "upper")]
    assert not reminders(plain, {"1.3": _trill("F5")})


def _trill(upper: str) -> Ornament:
    pitches = (parse_pitch("E5"), parse_pitch(upper)) * 4
    return Ornament(tuple(OssiaNote(pitch, 2 + F(k, 4), F(1, 4)) for k, pitch in enumerate(pitches)), "trill")
