"""Every error that coach raises on purpose, as one small tree.

CoachError              one sentence for the player: what is wrong, where, and what to do about it
    ScoreError          a score file that cannot be read, or has nothing to practise
    RequestError        something asked for that is not there or makes no sense (a range, a tempo, a name)
    StoreError          the practice log or another file of the player's cannot be read or written
    SoundError          an audio device, a MIDI port or the sound process fails
    SettingsError       the settings file has a mistake
    ChartError          an instrument's chart has a mistake
    RecipeError         a recipe for drills has a mistake

Front ends print the sentence and leave with status 1; nothing else is ever shown for bad input.
"""


class CoachError(Exception):
    """Base of the tree; `str(error)` is the sentence shown to the player."""


class ScoreError(CoachError):
    """A score cannot be read, or holds nothing that can be practised."""


class RequestError(CoachError):
    """The player asked for something that is not there."""


class StoreError(CoachError):
    """The log or another file of the player's cannot be read or written."""


class SoundError(CoachError):
    """Sound cannot be made as asked."""


class SettingsError(CoachError):
    """The settings file has a mistake."""


class ChartError(CoachError):
    """An instrument's chart has a mistake."""


class RecipeError(CoachError):
    """A recipe for drills has a mistake."""
