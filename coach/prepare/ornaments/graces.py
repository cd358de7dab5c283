"""Graces as exact notes: before the beat and out of the note before (lyrical), on the beat and out of their main note
(treatise), and after-graces, which end the note they belong to.

Treatise: a single plain grace takes half of a note divisible in two, two thirds of a dotted one (what it has without
its dot), and the whole first note of one tied to a shorter (C. P. E. Bach 1753, ch. 2; Quantz 1752, ch. VIII; L. Mozart
1756, ch. IX). It is short where it is slashed, before a staccato or a repeated note, in triplets and groups of equal
short notes (Grove 1900, Dictionary I, p. 78 ff.). Lyrical: trade practice of today; values in `simple`.

`steal-time-previous` and `steal-time-following` (MusicXML 4.0: per cent of the neighbour) are obeyed where they stand.
`make-time` asks for time that is in neither note; its length is obeyed, but taken like that of any grace, so that
the beat stays where it is.

Not known: nothing measured says how long graces last in either style; they keep their seconds rather than their
proportion when the tempo changes (Timmers and others 2002), which is why seconds choose the value.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.note import Grace
from coach.music.pitch import Pitch
from coach.music.rhythm import VALUE_Q, simplest_value
from coach.prepare.mark import Ornament, OssiaNote
from coach.prepare.ornaments.figure import Chain, Figure
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.simple import (
    LYRICAL_S,
    QUICK_S,
    before_q,
    group_q,
    group_words,
    short_q,
    the_note,
    too_fast,
    value_words,
)

_STACCATO = frozenset({"staccato", "staccatissimo", "spiccato"})
_FINEST = 10_000  # the largest lower number of a fraction that a prep holds


@dataclass(frozen=True, slots=True)
class Lead:
    """The graces in front of a main note: `notes` (the shortened note before them among them), where the main note
    begins then (quarters from the start of its measure), and the way in a name and a sentence."""

    notes: tuple[OssiaNote, ...]
    start_q: Fraction
    name: str = ""
    because: str = ""


def closing(figure: Figure) -> tuple[Pitch, ...]:
    """The printed graces that close the trill of a figure, () if there are none: its after-graces, else two or more
    plain graces of the next note that come from the lower neighbour or move by step into that note."""
    own = figure.chain.after_graces
    if own:
        return tuple(grace.pitch for grace in own)
    if figure.after is not None and _closes(figure.chain, figure.after):
        return tuple(grace.pitch for grace in figure.after.head.graces)
    return ()


def graces_of(figure: Figure) -> tuple[Grace, ...]:
    """The graces that lead to the main note; () if they close the trill before it."""
    if figure.before is not None and _closes(figure.before, figure.chain):
        return ()
    return figure.graces


def is_trilled(chain: Chain) -> bool:
    """Whether a note is trilled: a trill mark, or a wavy line that begins there. Files are seen to carry one on over
    notes of all kinds until it is ended, if ever, so that what only goes on means nothing but over a tie."""
    return any(
        one.kind in ("trill-mark", "shake")
        or (one.kind == "wavy-line" and dict(one.attributes).get("type", "start") == "start")
        for one in chain.ornaments
    )


def _closes(trilled: Chain, after: Chain) -> bool:
    graces, main = after.head.graces, trilled.head.pitch
    if not is_trilled(trilled) or trilled.after_graces or main is None or after.head.pitch is None:
        return False
    if len(graces) < 2 or any(grace.slash for grace in graces):
        return False
    places = [grace.pitch.diatonic for grace in graces]
    path = [*places, after.head.pitch.diatonic]
    steps = all(abs(two - one) == 1 for one, two in zip(path, path[1:], strict=False))
    return steps or places[0] == main.diatonic - 1


def leads(figure: Figure, style: str) -> tuple[Lead, ...]:
    """The ways to play the graces in front of a main note, the one of the style first; without graces one that has no
    notes. Whoever plays an ornament on the main note begins it at `start_q`."""
    graces = graces_of(figure)
    if not graces:
        return (Lead((), figure.onset_q),)
    stolen = _stolen(figure, graces)
    before = tuple(_before_ways(figure, graces))
    on_beat = tuple(_on_beat_ways(figure, graces))
    lyrical_first = style == "lyrical" and bool(before) and not _crowded_before(figure, graces, before[0], on_beat[0])
    ways = (*before[:1], *on_beat[:1], *before[1:]) if lyrical_first else (*on_beat[:1], *before[:1], *on_beat[1:])
    return _unlike((*stolen, *ways))


def _unlike(ways: Iterable[Lead]) -> tuple[Lead, ...]:
    found: dict[tuple[OssiaNote, ...], Lead] = {}
    for way in ways:
        found.setdefault(way.notes, way)
    return tuple(found.values())


def _crowded_before(figure: Figure, graces: Sequence[Grace], before: Lead, on_beat: Lead) -> bool:
    """Whether before the beat there is too little time, and on the beat more."""
    each_q, other_q = (_each_q(lead, len(graces)) for lead in (before, on_beat))
    return too_fast(each_q, figure.quarter_s) and other_q > each_q


def _each_q(lead: Lead, count: int) -> Fraction:
    return min(note.length_q for note in lead.notes[-count:])


def room_before_q(figure: Figure) -> Fraction:
    """What is before a main note to take graces from: the note or the rest, less what its own ornament needs; 0 if
    there is nothing, or graces end it already."""
    before = figure.before
    if before is None:
        return figure.rest_q
    if before.after_graces:
        return Fraction(0)
    if before.ornaments and not is_trilled(before):
        return before.length_q / 4
    return before.length_q / 2 if before.head.graces else before.length_q


def _before_ways(figure: Figure, graces: Sequence[Grace]) -> Iterator[Lead]:
    room_q = room_before_q(figure) / (1 if figure.before is None else 2)  # a rest may be used up
    if room_q <= 0:
        return
    total_q = _asked_q(graces, room_q) or _before_q(figure, graces, room_q)
    if figure.before is not None and not _busy(figure.before):
        total_q = _shared_q(figure, len(graces), total_q, figure.before.length_q)
    yield _before(figure, graces, total_q, "before the beat")
    if not too_fast(total_q / 2 / len(graces), figure.quarter_s):
        yield _before(figure, graces, total_q / 2, "before the beat, quicker")
    elif total_q * 2 <= room_q and not graces[0].slash:
        yield _before(figure, graces, total_q * 2, "before the beat, broader")


def _before_q(figure: Figure, graces: Sequence[Grace], room_q: Fraction) -> Fraction:
    if len(graces) > 1:
        return _group_q(figure, len(graces), room_q)
    if graces[0].slash:
        return short_q(figure.quarter_s, room_q)
    return group_q(1, min(room_q, Fraction(1, 4)), figure.quarter_s, LYRICAL_S)


def _group_q(figure: Figure, count: int, room_q: Fraction) -> Fraction:
    """The time of a group; three or six are plain where the beat divides in three and triplets would be too quick."""
    total_q = before_q(count, room_q, figure.quarter_s)
    metre, plain_q = figure.chain.measure.metre, total_q * 3 / 2
    compound = metre is not None and metre.is_compound and count in (3, 6)
    hurried = float(total_q) * figure.quarter_s < LYRICAL_S / 2 * count
    return plain_q if compound and hurried and plain_q <= room_q else total_q


def _busy(chain: Chain) -> bool:
    return bool(chain.head.graces or chain.ornaments or chain.after_graces)


def _shared_q(figure: Figure, count: int, total_q: Fraction, note_q: Fraction) -> Fraction:
    """The time of a group; where fingers could not do it half of the note, or an even share if that is too short."""
    shares_q = (total_q, note_q / 2)
    played_q = next((q for q in shares_q if not too_fast(q / count, figure.quarter_s)), None)
    return played_q or max(total_q, note_q * count / (count + 1))


def _asked_q(graces: Sequence[Grace], room_q: Fraction) -> Fraction | None:
    """What `make-time` asks for, if it fits."""
    asked = [grace.make_time_q for grace in graces if grace.make_time_q]
    total_q = sum(asked, Fraction(0))
    return total_q if len(asked) == len(graces) and 0 < total_q <= room_q else None


def _before(figure: Figure, graces: Sequence[Grace], total_q: Fraction, name: str) -> Lead:
    before, at_q = figure.before, figure.onset_q - total_q
    small = group_words(len(graces), total_q)
    notes = _even(graces, at_q, total_q)
    if before is None:
        because = f"Before the beat, out of the rest: {small}." if small else "Before the beat, out of the rest."
        return Lead(notes, figure.onset_q, name, _said(because, figure, graces, total_q))
    kept_q = before.length_q - total_q
    because = f"Before the beat, out of {the_note(before.length_q)} before it{_counted(kept_q, len(graces), total_q)}."
    assert before.head.pitch is not None  # noqa: S101  a rest is never `before`
    kept = OssiaNote(before.head.pitch, before.onset_q - figure.chain.measure.onset_q, kept_q)
    return Lead((kept, *notes), figure.onset_q, name, _said(because, figure, graces, total_q))


def _counted(kept_q: Fraction, count: int, total_q: Fraction) -> str:
    """What is left of a note and what its graces are, in values; of a rest that is hard to read only the graces."""
    small, rest = group_words(count, total_q), simplest_value(kept_q)
    if kept_q * count == total_q:
        even = group_words(count + 1, kept_q + total_q)
        return f": {even}" if even else ""
    if not small:
        return ""
    if rest is not None and rest.dots < 2:
        return f": {value_words(kept_q)} and {small}, so that it can be counted"
    return f": its last {small.split(' ', 1)[1]}" if count == 1 else f": {small} at its end"


def _said(because: str, figure: Figure, graces: Sequence[Grace], total_q: Fraction) -> str:
    if not too_fast(total_q / len(graces), figure.quarter_s):
        return because
    return f"{because[:-1]}; there is hardly room, so lightly and as evenly as you can."


def _even(graces: Sequence[Grace], at_q: Fraction, total_q: Fraction) -> tuple[OssiaNote, ...]:
    each_q = total_q / len(graces)
    return tuple(OssiaNote(grace.pitch, at_q + k * each_q, each_q) for k, grace in enumerate(graces))


def _on_beat_ways(figure: Figure, graces: Sequence[Grace]) -> Iterator[Lead]:
    room_q = figure.length_q / 2
    asked_q = _asked_q(graces, room_q)
    if len(graces) > 1:
        quick_q = asked_q or group_q(len(graces), room_q, figure.quarter_s, QUICK_S)
        if not figure.ornaments and not figure.chain.after_graces:
            quick_q = _shared_q(figure, len(graces), quick_q, figure.length_q)
        broad_q = group_q(len(graces), room_q, figure.quarter_s, 2 * QUICK_S)
        yield _on_beat(figure, graces, quick_q, "on the beat", _group_reason(figure, graces, quick_q, "quickly"))
        broad = _group_reason(figure, graces, broad_q, "broadly")
        yield _on_beat(figure, graces, broad_q, "on the beat, broader", broad)
        return
    short, why = _short(figure, graces[0])
    quick_q = asked_q or short_q(figure.quarter_s, room_q)
    quick = _on_beat(figure, graces, quick_q, "short, on the beat", _short_reason(figure, why, quick_q))
    if short:
        yield quick
        yield _appoggiatura(figure, graces)
    else:
        yield _appoggiatura(figure, graces)
        yield quick


def _on_beat(figure: Figure, graces: Sequence[Grace], total_q: Fraction, name: str, because: str) -> Lead:
    notes = _even(graces, figure.onset_q, total_q)
    return Lead(notes, figure.onset_q + total_q, name, _said(because, figure, graces, total_q))


def _group_reason(figure: Figure, graces: Sequence[Grace], total_q: Fraction, how: str) -> str:
    count, left_q = len(graces), figure.length_q - total_q
    small = group_words(count, total_q)
    counted = f": {small} first" if small else ""
    if left_q * count == total_q:
        counted = f", which is as short as they are: {group_words(count + 1, figure.length_q)}"
    return f"On the beat, {how}, out of {the_note(figure.length_q)} itself{counted}."


def _short_reason(figure: Figure, why: str, value_q: Fraction) -> str:
    small = group_words(1, value_q)
    because = f", since {why}" if why else ""
    return f"On the beat and quick{because}{f': {small}, then the note' if small else ''}."


def _short(figure: Figure, grace: Grace) -> tuple[bool, str]:
    """Whether a single grace on the beat is short, and why."""
    head, before = figure.head, figure.before
    if grace.slash:
        return True, "it is slashed"
    if _STACCATO.intersection(head.articulations):
        return True, "its note is staccato"
    if before is not None and before.head.pitch == head.pitch:
        return True, "its note is repeated"
    if head.value is not None and head.value.actual > 1:
        return True, "its note is one of a triplet" if head.value.actual == 3 else "its note is one of a tuplet"
    if figure.equals > 2 and figure.length_q < min(figure.beat_q, Fraction(1)):
        return True, "its note is one of a group of short equal notes"
    return False, ""


def _appoggiatura(figure: Figure, graces: Sequence[Grace]) -> Lead:
    taken_q, share = appoggiatura_q(figure.chain)
    left_q = figure.length_q - taken_q
    values = [value_words(each_q) for each_q in (taken_q, left_q)]
    counted = f": {group_words(2, 2 * taken_q) if taken_q == left_q else ' and '.join(values)}" if all(values) else ""
    because = f"On the beat, and it takes {share}{counted}."
    return Lead(_even(graces, figure.onset_q, taken_q), figure.onset_q + taken_q, f"on the beat, {share}", because)


def appoggiatura_q(chain: Chain) -> tuple[Fraction, str]:
    """What a long appoggiatura takes of its note, in quarters and in words."""
    first_q, whole_q = chain.head.length_q, chain.length_q
    if len(chain.notes) > 1 and first_q > whole_q - first_q:
        return first_q, "the whole first note of the tie"
    printed = chain.head.value if len(chain.notes) == 1 else None
    value = printed if printed is not None and printed.length_q == whole_q else simplest_value(whole_q)
    if value is not None and value.dots == 1:
        return whole_q * 2 / 3, "two thirds of the dotted note"
    if value is not None and value.dots:
        return VALUE_Q[value.kind] * value.normal / value.actual, "all of the note but its dots"
    return whole_q / 2, "half of the note"


def _stolen(figure: Figure, graces: Sequence[Grace]) -> tuple[Lead, ...]:
    """As the file's steal-time has it; () if it says nothing, or nothing that can be done."""
    room_q = room_before_q(figure)
    parts = [
        (_per_cent(grace.steal_previous, room_q), _per_cent(grace.steal_following, figure.length_q)) for grace in graces
    ]
    parts = [(early if room_q else late * 0, late) for early, late in parts]
    early_q, late_q = (sum(column, Fraction(0)) for column in zip(*parts, strict=True))
    if early_q >= room_q and early_q or late_q >= figure.length_q or not early_q + late_q:
        return ()
    lengths = [early + late for early, late in parts]
    if not all(lengths):
        lengths = [(early_q + late_q) / len(graces)] * len(graces)
    at_q, notes = figure.onset_q - early_q, []
    for grace, length_q in zip(graces, lengths, strict=True):
        notes.append(OssiaNote(grace.pitch, at_q, length_q))
        at_q += length_q
    if early_q and figure.before is not None:
        begins_q = figure.before.onset_q - figure.chain.measure.onset_q
        kept_q = figure.onset_q - early_q - begins_q
        notes.insert(0, OssiaNote(figure.before.head.pitch, begins_q, kept_q))
    return (Lead(tuple(notes), at_q, "as the file has it", _stolen_reason(graces, early_q, late_q)),)


def _per_cent(percent: float | None, of_q: Fraction) -> Fraction:
    share_q = of_q * Fraction(percent or 0).limit_denominator(10) / 100
    return share_q if share_q.denominator <= _FINEST else share_q.limit_denominator(_FINEST // 10)


def _stolen_reason(graces: Sequence[Grace], early_q: Fraction, late_q: Fraction) -> str:
    taken = [
        f"{sum(percents):g} per cent of the {what}"
        for percents, what, taken_q in (
            ([grace.steal_previous or 0 for grace in graces], "note before", early_q),
            ([grace.steal_following or 0 for grace in graces], "main note", late_q),
        )
        if taken_q
    ]
    return f"The file says how much time to take: {' and '.join(taken)}."


def tails(figure: Figure) -> tuple[Lead, ...]:
    """The ways to play the after-graces of a note, at its end (`start_q` is where they begin), one without notes if
    there are none."""
    graces = figure.chain.after_graces
    if not graces:
        return (Lead((), figure.end_q),)
    free_q = figure.length_q / (4 if figure.graces or figure.ornaments else 2)
    total_q = _asked_q(graces, free_q) or _before_q(figure, graces, free_q)
    percents = [_per_cent(grace.steal_previous, figure.length_q) for grace in graces]
    stolen_q = sum(percents, Fraction(0))
    ways = [_tail(figure, graces, stolen_q, "as the file has it")] if 0 < stolen_q <= figure.length_q * 3 / 4 else []
    ways.append(_tail(figure, graces, total_q, "at the end of the note"))
    if not too_fast(total_q / 2 / len(graces), figure.quarter_s):
        ways.append(_tail(figure, graces, total_q / 2, "at the end of the note, quicker"))
    elif total_q * 2 <= free_q:
        ways.append(_tail(figure, graces, total_q * 2, "at the end of the note, broader"))
    return _unlike(ways)


def _tail(figure: Figure, graces: Sequence[Grace], total_q: Fraction, name: str) -> Lead:
    start_q = figure.end_q - total_q
    counted = _counted(figure.length_q - total_q, len(graces), total_q)
    because = f"At the end of {the_note(figure.length_q)}{counted}."
    return Lead(_even(graces, start_q, total_q), start_q, name, _said(because, figure, graces, total_q))


def grace_ways(figure: Figure, style: str) -> tuple[Realisation, ...]:
    """The ways to play the graces before and after a plain note, the one of the style first."""
    fronts, ends = leads(figure, style), tails(figure)
    ways = [(front, ends[0]) for front in fronts] + [(fronts[0], end) for end in ends[1:]]
    return tuple(
        Realisation(Ornament(written(figure, front, end), "grace", style), *_told(front, end)) for front, end in ways
    )


def written(figure: Figure, front: Lead, end: Lead) -> tuple[OssiaNote, ...]:
    """A plain main note between what leads to it and what ends it."""
    main = OssiaNote(figure.pitch, front.start_q, end.start_q - front.start_q)
    graces = graces_of(figure)
    if front.notes and graces[-1].tie in ("start", "continue") and graces[-1].pitch == figure.pitch:
        last = front.notes[-1]  # a grace tied to its main note is not struck again
        return (*front.notes[:-1], replace(last, length_q=last.length_q + main.length_q), *end.notes)
    return (*front.notes, main, *end.notes)


def _told(front: Lead, end: Lead) -> tuple[str, str]:
    if front.notes and end.notes:
        return f"{front.name}; {end.name}", f"{front.because} {end.because}"
    told = front if front.notes else end
    return told.name, told.because
