"""Mordents and the slide: a quick touch of a neighbour at the beginning of a note, on the beat.

MusicXML's "mordent" (the sign with a stroke) is main, lower, main; "inverted-mordent" is main, upper, main. A long one
(`long`) touches the neighbour twice. The treatises read the sign without a stroke as a short trill from the upper note
(C. P. E. Bach 1753, ch. 2), which is offered beside it. `approach` and `departure` (a curl at an end of the sign) are
not followed: their meaning is one composer's. A "schleifer" is two notes rising by step from the third below.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from coach.music.note import Ornament
from coach.music.pitch import Pitch
from coach.prepare.ornaments.body import Body, body, composed, held, laid, playable_first
from coach.prepare.ornaments.figure import Figure
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.simple import QUICK_S, group_q, group_words, short_q, too_fast
from coach.prepare.ornaments.turns import curled

KINDS = frozenset({"mordent", "inverted-mordent"})
SLIDE = "schleifer"


def mordent_ways(figure: Figure, ornament: Ornament, style: str) -> tuple[Realisation, ...]:
    """The ways to play a mordent: as its sign says first."""
    upper = ornament.kind == "inverted-mordent"
    other = figure.neighbour(upper=upper, of=ornament)
    touches = 2 if dict(ornament.attributes).get("long") == "yes" else 1

    def bodies(of: Figure, start_q: Fraction, end_q: Fraction) -> Sequence[Body]:
        ways = [_touched(of, other, start_q, end_q, touches), _touched(of, other, start_q, end_q, 3 - touches)]
        if upper:
            above = curled(of, (other, of.pitch, other, of.pitch), start_q, end_q)
            ways[1:1] = [Body(way.notes, "a short trill from the upper note", way.because) for way in above][:1]
        return playable_first(of, ways)

    return composed(figure, style, "mordent", bodies)


def _touched(figure: Figure, other: Pitch, start_q: Fraction, end_q: Fraction, touches: int) -> Body:
    """The neighbour touched once or more, each time after the main note; then the main note held."""
    main, length_q, count = figure.pitch, end_q - start_q, 2 * touches
    each_q = short_q(figure.quarter_s, length_q / 2 / count)
    name = "one touch" if touches == 1 else "two touches"
    if too_fast(each_q, figure.quarter_s) and length_q / (count + 1) > each_q:
        notes = laid(start_q, ((main, other) * touches + (main,), length_q))
        return body(figure, f"{name}, evenly", f"On the beat, {count + 1} even notes", notes)
    rest_q = length_q - count * each_q
    notes = laid(start_q, ((main, other) * touches, count * each_q), ((main,), rest_q))
    words = f"{group_words(count, count * each_q) or 'quick notes'} and {held(rest_q)}"
    return body(figure, name, f"On the beat, {words}", notes)


def slide_ways(figure: Figure, style: str) -> tuple[Realisation, ...]:
    """The ways to play a slide."""
    under = figure.neighbour(upper=False)
    lowest = figure.signature.beside(under, upper=False)

    def bodies(of: Figure, start_q: Fraction, end_q: Fraction) -> Iterator[Body]:
        for name, longest_s in (("quick, on the beat", QUICK_S), ("broader, on the beat", 2 * QUICK_S)):
            total_q = group_q(2, (end_q - start_q) / 2, of.quarter_s, longest_s)
            rest_q = end_q - start_q - total_q
            words = f"On the beat, {group_words(2, total_q) or 'two quick notes'} and {held(rest_q)}"
            yield body(of, name, words, laid(start_q, ((lowest, under), total_q), ((of.pitch,), rest_q)))

    return composed(figure, style, "slide", lambda of, start_q, end_q: tuple(bodies(of, start_q, end_q)))
