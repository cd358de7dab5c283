"""What a performance takes from the marks: the decisions that sound, found by the note they stand at."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from coach.prepare.mark import Alteration, Breath, Dynamic, Mark, Ornament, Pace, Phrase


@dataclass(frozen=True, slots=True)
class BreathTimes:
    """How long a full and a catch breath take, in seconds of the performance tempo, and what a note keeps that gives
    its end to one: a share of its length, and so many seconds."""

    full_s: float = 0.6
    catch_s: float = 0.3
    keep_share: float = 0.5
    keep_s: float = 0.25


USUAL_TIMES = BreathTimes()


@dataclass(frozen=True, slots=True)
class Interpretation:
    """The decisions that sound. `ornaments` and `alterations` by the id of the note they stand at (the first of a tied
    chain); `breaths` are sizes by the note that they follow, which take their `times`; `dynamics`, `phrases` and
    `paces` are marks in the order of the part. What is not in it is played as printed: graces and trills in their plain
    default."""

    ornaments: Mapping[str, Ornament] = field(default_factory=dict)
    alterations: Mapping[str, Alteration] = field(default_factory=dict)
    breaths: Mapping[str, str] = field(default_factory=dict)
    times: BreathTimes = USUAL_TIMES
    dynamics: tuple[Mark, ...] = ()
    phrases: tuple[Mark, ...] = ()
    paces: tuple[Mark, ...] = ()


def interpretation(marks: Iterable[Mark]) -> Interpretation:
    """The interpretation that marks add up to; struck ones count for nothing. Of several ornaments or alterations at
    one note that of the player counts first, then the teacher's, then the computed one."""
    standing = [mark for mark in marks if not mark.struck]
    by_word = sorted(standing, key=_word, reverse=True)  # the last one written into a mapping stays
    return Interpretation(
        ornaments={mark.at: mark.content for mark in by_word if isinstance(mark.content, Ornament)},
        alterations={mark.at: mark.content for mark in by_word if isinstance(mark.content, Alteration)},
        breaths={mark.at: mark.content.size for mark in by_word if isinstance(mark.content, Breath)},
        dynamics=tuple(mark for mark in standing if isinstance(mark.content, Dynamic)),
        phrases=tuple(mark for mark in standing if isinstance(mark.content, Phrase)),
        paces=tuple(mark for mark in standing if isinstance(mark.content, Pace)),
    )


def _word(mark: Mark) -> int:
    """Whose word counts: 0 the player's (a suggestion they kept too), 1 the teacher's, 2 a suggestion."""
    if mark.origin == "teacher":
        return 1
    return 2 if mark.state == "suggested" else 0
