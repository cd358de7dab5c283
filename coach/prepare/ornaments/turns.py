"""Turns: the upper note, the main note, the lower note and the main note; inverted ones from the lower note.

On a note it begins with the beat: even on a short note, on a longer one three quick notes and the main note held. A
delayed turn (printed after its note) lets the main note sound first and leads into the next one; on a dotted note it
stands before the dot, which the main note takes again (C. P. E. Bach 1753, ch. 2, and any table of ornaments; common
practice). Before a repetition of the note itself the delayed turn leaves out its last note. Which values: `simple`.

A vertical sign is taken for the turn of its name, a slashed one (MusicXML 4.0: `slash`) for an inverted one. The sign
of Haydn is played main, upper, main, lower, main (from memory; editions differ).
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from coach.music.note import Ornament
from coach.music.pitch import Pitch
from coach.music.rhythm import simplest_value
from coach.prepare.ornaments.body import Body, body, composed, held, laid, playable_first
from coach.prepare.ornaments.figure import Figure
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.simple import LYRICAL_S, TURN_S, group_q, group_words

KINDS = frozenset(
    {
        "turn",
        "inverted-turn",
        "delayed-turn",
        "delayed-inverted-turn",
        "vertical-turn",
        "inverted-vertical-turn",
        "haydn",
    }
)
_EVEN_S = 0.2  # a note on which four even ones last no longer is turned evenly


def turn_ways(figure: Figure, ornament: Ornament, style: str) -> tuple[Realisation, ...]:
    """The ways to play a turn, as it is printed first; the styles do not differ but in the graces around it."""
    slashed = dict(ornament.attributes).get("slash") == "yes"
    inverted = ("inverted" in ornament.kind) != slashed
    upper, lower = (figure.neighbour(upper=side, of=ornament) for side in (True, False))
    outer = (lower, upper) if inverted else (upper, lower)
    curl = (outer[0], figure.pitch, outer[1], figure.pitch)
    delayed = ornament.kind.startswith("delayed")

    def bodies(of: Figure, start_q: Fraction, end_q: Fraction) -> Sequence[Body]:
        on, after = tuple(curled(of, curl, start_q, end_q)), tuple(_delayed(of, curl, start_q, end_q))
        if ornament.kind == "haydn":
            return playable_first(of, (*_from_main(of, curl, start_q, end_q), *on))
        return playable_first(of, (*after, *on[:1]) if delayed else (*on, *after[:1]))

    return composed(figure, style, "turn", bodies)


def curled(figure: Figure, curl: Sequence[Pitch], start_q: Fraction, end_q: Fraction) -> Iterator[Body]:
    """Four notes on a note, the last of them its own: even, or three quick ones and the last held."""
    length_q, quarter_s = end_q - start_q, figure.quarter_s
    even = body(figure, "four even notes", f"On the beat, {_even_words(length_q)}", laid(start_q, (curl, length_q)))
    quick = _quick(figure, curl, start_q, end_q, length_q / (2 if length_q < 2 else 4), "three quick notes, then held")
    broad = _quick(figure, curl, start_q, end_q, length_q / 2, "broader, then held", LYRICAL_S)
    each_s = float(length_q) / 4 * quarter_s if _undotted(length_q) else 1.0
    if each_s <= _EVEN_S:
        yield from (even, quick)
    else:
        yield from (quick, broad, even) if each_s <= 2 * _EVEN_S else (quick, broad)


def _quick(
    figure: Figure,
    curl: Sequence[Pitch],
    start_q: Fraction,
    end_q: Fraction,
    room_q: Fraction,
    name: str,
    longest_s: float = TURN_S,
) -> Body:
    total_q = group_q(3, room_q, figure.quarter_s, longest_s)
    rest_q = end_q - start_q - total_q
    how = f"On the beat, {group_words(3, total_q) or 'three quick notes'} and {held(rest_q)}"
    return body(figure, name, how, laid(start_q, (curl[:3], total_q), (curl[3:], rest_q)))


def _even_words(length_q: Fraction) -> str:
    return group_words(4, length_q) or "four even notes"


def _undotted(length_q: Fraction) -> bool:
    value = simplest_value(length_q)
    return value is None or not value.dots


def _delayed(figure: Figure, curl: Sequence[Pitch], start_q: Fraction, end_q: Fraction) -> Iterator[Body]:
    """The main note first, then the turn."""
    if _is_dotted(figure, end_q - start_q):
        yield _before_the_dot(figure, curl, start_q, end_q)
        yield _at_the_end(figure, curl, start_q, end_q)
    elif _repeated(figure):
        yield _at_the_end(figure, curl[:3], start_q, end_q)
        yield _at_the_end(figure, curl, start_q, end_q)
    else:
        yield _at_the_end(figure, curl, start_q, end_q)
        yield _five(figure, curl, start_q, end_q)
        yield _at_the_end(figure, curl[:3], start_q, end_q)


def _five(figure: Figure, curl: Sequence[Pitch], start_q: Fraction, end_q: Fraction) -> Body:
    """As many as there are, evenly: where four would have to be too quick the last one still belongs to the turn, which
    must come back to its note before it goes on."""
    length_q = end_q - start_q
    how = f"The note and its turn evenly, {group_words(5, length_q) or 'five even notes'}"
    return body(figure, "five even notes", how, laid(start_q, ((figure.pitch, *curl), length_q)))


def _is_dotted(figure: Figure, length_q: Fraction) -> bool:
    value = figure.head.value or simplest_value(length_q)
    return length_q == figure.length_q and len(figure.chain.notes) == 1 and value is not None and value.dots == 1


def _repeated(figure: Figure) -> bool:
    after = figure.after
    return after is not None and after.head.pitch == figure.pitch and not after.head.graces


def _before_the_dot(figure: Figure, curl: Sequence[Pitch], start_q: Fraction, end_q: Fraction) -> Body:
    dot_q = (end_q - start_q) / 3
    total_q = group_q(3, dot_q, figure.quarter_s, LYRICAL_S)
    first_q = 2 * dot_q - total_q
    notes = laid(start_q, ((figure.pitch,), first_q), (curl[:3], total_q), ((figure.pitch,), dot_q))
    words = f"{held(first_q)}, {group_words(3, total_q) or 'three quick notes'}, {held(dot_q)} for the dot"
    return body(figure, "before the dot", f"After the note begins, {words}", notes)


def _at_the_end(figure: Figure, curl: Sequence[Pitch], start_q: Fraction, end_q: Fraction) -> Body:
    length_q = end_q - start_q
    total_q = group_q(len(curl), length_q / 2, figure.quarter_s, LYRICAL_S)
    rest_q = length_q - total_q
    notes = laid(start_q, ((figure.pitch,), rest_q), (curl, total_q))
    count = "four" if len(curl) == 4 else "three"
    words = f"{held(rest_q)} and {group_words(len(curl), total_q) or f'{count} quick notes'}"
    return body(
        figure, f"{count} notes into the next", f"The note first, then the turn into the next one, {words}", notes
    )


def _from_main(figure: Figure, curl: Sequence[Pitch], start_q: Fraction, end_q: Fraction) -> Iterator[Body]:
    """Beginning with the main note, five notes."""
    length_q = end_q - start_q
    total_q = group_q(4, length_q / 2, figure.quarter_s, TURN_S)
    notes = laid(start_q, ((figure.pitch, *curl[:3]), total_q), (curl[3:], length_q - total_q))
    words = f"{group_words(4, total_q) or 'four quick notes'} and {held(length_q - total_q)}"
    yield body(figure, "from the main note", f"On the beat, {words}", notes)
