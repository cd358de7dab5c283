"""The drone: a written pitch, as the player's instrument sounds it."""

from coach.errors import RequestError
from coach.music.pitch import Transposition, parse_pitch
from coach.screen.session import Opened

B_FLAT = Transposition(-1, -2)


def sounding_midi(text: str, opened: Opened | None) -> float:
    """The sounding MIDI number of a written pitch, through the piece's transposition (without a piece: B-flat).

    Raises RequestError for what is no pitch.
    """
    try:
        pitch = parse_pitch(text.replace("♯", "#").replace("♭", "b"))
    except ValueError as error:
        raise RequestError(f"{error}.") from error
    way = opened.piece.part.transposition if opened else B_FLAT
    return way.sounding(pitch).midi
