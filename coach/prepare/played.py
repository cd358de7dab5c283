"""A stretch as it is played: ornaments and alterations laid into its measures as ordinary notes.

An ornament sounds from its own start, the first of its notes that is not merely the shortened note before, to the end
of its main note; what is printed inside that span gives way to it, and the note before is cut where it begins (with
the ornament of its own, if it has one). Where the note before is not played (the stretch begins here, or a jump leads
here) the graces come on the beat, out of the main note: in their own values where those take at most half of it, else
squeezed into the half. A mark that does not fit the part any more is left out, and the note is played as printed.

An ornament of the player's own counts before an alteration at its note. One that was computed is of the printed note:
there the alteration counts, and of the ornament only the graces before the note stay.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.interpretation import Interpretation
from coach.prepare.laying import Piece, Span, laid
from coach.prepare.mark import Alteration, Ornament, OssiaNote
from coach.prepare.ornaments.shake import sounds

# What makes a note stand out where it begins; of several notes in its place the first one has it.
ACCENTS = frozenset({"accent", "strong-accent", "soft-accent", "stress", "unstress"})
PHRASE_END = "phrase"
_HALF = Fraction(1, 2)


def played(
    measures: Sequence[Measure], interpretation: Interpretation, part: Part | None = None
) -> tuple[tuple[Note, ...], ...]:
    """The notes of measures in the order in which they are passed (a passage may repeat or jump), as they are played.

    The notes of each measure add up to it exactly; one that crosses a barline is split and tied. They keep the ids of
    the page: a grace its own where it can be told, else its main note's. A breath mark stands at the last note of its
    chain as `breath` "full" or "catch", the end of a phrase as PHRASE_END. Notes without a mark stay as they are, their
    graces and ornaments too. By the `part` a note is known whose first notehead is not among the measures: what is
    decided for it goes on in those that are.
    """
    return _Walk(measures, interpretation, part).notes()


@dataclass(frozen=True, slots=True)
class _Chain:
    """A note or rest with what is tied to it: the places of its first and last piece passed, and of their measure; its
    first notehead `head`, where that is (`at_q`), and where its measure begins (`bar_q`), which may lie before what is
    passed."""

    first: int
    last: int
    bar: int
    head: Note
    at_q: Fraction
    bar_q: Fraction


class _Walk:
    """Measures as passed, on a time of their own that runs through all of them."""

    def __init__(self, measures: Sequence[Measure], interpretation: Interpretation, part: Part | None) -> None:
        self.measures, self.interpretation, self.part = measures, interpretation, part
        self.starts_q = [Fraction(0)]
        for measure in measures:
            self.starts_q.append(self.starts_q[-1] + measure.length_q)
        self.pieces: list[Piece] = []
        self.bar_of: list[int] = []
        for bar, measure in enumerate(measures):
            for note in measure.notes:
                at_q = self.starts_q[bar] + note.onset_q - measure.onset_q
                self.pieces.append(Piece(note, at_q, note.length_q, bar))
                self.bar_of.append(bar)
        self.runs = self._runs()
        self.chains = self._chains()

    def notes(self) -> tuple[tuple[Note, ...], ...]:
        """The notes of each measure."""
        self._breathe()
        spans: list[Span] = []
        covered_q = Fraction(-1)
        for chain in self.chains:
            span = self._span(chain) if self.pieces[chain.first].at_q >= covered_q else None
            if span is not None:
                spans.append(self._closed(span, chain))
                covered_q = span.end_q
        return laid(self.measures, self.starts_q, self.pieces, spans)

    def _runs(self) -> list[tuple[Fraction, Fraction]]:
        """For each measure, where what is played along the page around it begins and ends."""
        firsts: list[int] = []
        for bar, measure in enumerate(self.measures):
            goes_on = bar > 0 and self.measures[bar - 1].end_q == measure.onset_q
            firsts.append(firsts[-1] if goes_on else bar)
        lasts = {first: bar for bar, first in enumerate(firsts)}
        return [(self.starts_q[first], self.starts_q[lasts[first] + 1]) for first in firsts]

    def _chains(self) -> list[_Chain]:
        chains: list[_Chain] = []
        for k, piece in enumerate(self.pieces):
            before = self.pieces[k - 1] if k else None
            same_run = k > 0 and self.runs[self.bar_of[k - 1]] == self.runs[self.bar_of[k]]
            if before is not None and same_run and _tied(before.note, piece.note):
                chains[-1] = replace(chains[-1], last=k)
            else:
                chains.append(self._chain(k, begun=not same_run))
        return chains

    def _chain(self, k: int, *, begun: bool) -> _Chain:
        """The chain that is first passed at a piece; it may have begun before."""
        piece, bar = self.pieces[k], self.bar_of[k]
        found = _head(self.part, piece.note) if begun and self.part is not None else None
        if found is None:
            return _Chain(k, k, bar, piece.note, piece.at_q, self.starts_q[bar])
        measure, head = found
        shift_q = piece.at_q - piece.note.onset_q
        return _Chain(k, k, bar, head, head.onset_q + shift_q, measure.onset_q + shift_q)

    def _breathe(self) -> None:
        """Put the breaths of the marks, and the ends of phrases, at the last notes of their chains."""
        sizes = {mark.to: PHRASE_END for mark in self.interpretation.phrases} | dict(self.interpretation.breaths)
        if not sizes:
            return
        for chain in self.chains:
            ids = [piece.note.id for piece in self.pieces[chain.first : chain.last + 1]]
            size = next((sizes[name] for name in ids if name in sizes), None)
            last = self.pieces[chain.last]
            printed = last.note.breath or last.note.caesura
            if size is not None and last.note.pitch is not None and not (size == PHRASE_END and printed):
                self.pieces[chain.last] = replace(last, note=replace(last.note, breath=size))

    def _span(self, chain: _Chain) -> Span | None:
        """What sounds in the place of a chain and before it; None where it is played as printed."""
        main = chain.head.pitch
        if main is None:
            return None
        ornament = self.interpretation.ornaments.get(chain.head.id)
        altered = self.interpretation.alterations.get(chain.head.id)
        ossia = self._fitting(ornament, main, chain) if ornament is not None else ()
        if altered is not None and altered.to and not (ossia and ornament is not None and not ornament.style):
            ossia = self._altered(altered, chain, _until(ossia, chain.at_q))
            return self._made(ossia, chain, "alteration") if ossia[0].at_q < chain.at_q else self._changed(ossia, chain)
        return self._made(ossia, chain, ornament.what) if ossia and ornament is not None else None

    def _fitting(self, ornament: Ornament, main: Pitch, chain: _Chain) -> list[Piece]:
        """The notes of an ornament from its own start, in played time and inside what is played; none where they do
        not fit."""
        at_q, end_q = chain.at_q, self.pieces[chain.last].end_q
        start_q, until_q = self.runs[chain.bar]
        notes = _in_time(sounds(ornament, main), chain.bar_q, chain.head)
        if not notes or not notes[0].at_q <= at_q < notes[-1].end_q or notes[-1].end_q <= start_q:
            return []
        if ornament.what != "ossia" and notes[-1].end_q > end_q and end_q < until_q:
            return []
        own = self._own(notes, chain)
        if own[0].at_q < start_q == at_q:
            own = _on_the_beat(own, at_q, min(end_q, own[-1].end_q))
        return [cut for note in own if (cut := note.within(start_q, until_q)) is not None]

    def _own(self, notes: list[Piece], chain: _Chain) -> list[Piece]:
        """The notes from the own start of an ornament on."""
        lead = sum(note.at_q < chain.at_q for note in notes)
        if notes[0].at_q < self.runs[chain.bar][0]:
            # The note before is not played: as many notes as there are graces come before the main note.
            first = max(lead - len(chain.head.graces), 0)
            over = notes[first - 1].within(chain.at_q, notes[-1].end_q) if first else None
            return [over, *notes[first:]] if over is not None else notes[first:]
        printed = {piece.at_q: piece for piece in self.pieces[max(chain.first - 2 * lead - 1, 0) : chain.first]}
        skipped = 0
        while skipped < lead and _is_cut(notes[skipped], printed.get(notes[skipped].at_q), chain.at_q):
            skipped += 1
        return notes[skipped:]

    def _altered(self, altered: Alteration, chain: _Chain, lead: Iterable[Piece]) -> list[Piece]:
        (start_q, until_q), end_q = self.runs[chain.bar], self.pieces[chain.last].end_q
        share_q = (end_q - chain.at_q) / len(altered.to)
        shares = (Piece(_bare(chain.head, to), chain.at_q + k * share_q, share_q) for k, to in enumerate(altered.to))
        return [*lead, *(cut for one in shares if (cut := one.within(start_q, until_q)) is not None)]

    def _changed(self, notes: list[Piece], chain: _Chain) -> Span:
        """Other pitches in the place of a note, which stays what it was in everything else."""
        first, last = chain.head, self.pieces[chain.last].note
        made = [replace(piece, note=_like(first, last, piece.note.pitch)) for piece in notes]
        signs = first.ornaments if len(made) == 1 else ()
        graces = first.graces if chain.at_q == notes[0].at_q else ()
        begins = replace(made[0].note, graces=graces, articulations=first.articulations, ornaments=signs)
        made[0] = replace(made[0], note=begins)
        made[-1] = replace(made[-1], note=replace(_ending(made[-1].note, last), after_graces=last.after_graces))
        return Span(notes[0].at_q, notes[-1].end_q, tuple(made))

    def _made(self, ossia: list[Piece], chain: _Chain, what: str) -> Span:
        """An ornament's notes with the ids, slurs and articulations that they have from the page."""
        head = chain.head
        names = _names(ossia, head, self.pieces[chain.last].note)
        after = [k for k, piece in enumerate(ossia) if piece.at_q >= chain.at_q]
        ends = self._ends(chain, ossia) if what == "ossia" else {}
        made = []
        for k, (piece, name) in enumerate(zip(ossia, names, strict=True)):
            kept = head.articulations if after == [k] else ()
            if after and k == after[0] and not kept:
                kept = tuple(one for one in head.articulations if one in ACCENTS)
            slurred = ends.get(piece.end_q, True) if k + 1 < len(ossia) else False
            made.append(replace(piece, note=replace(piece.note, id=name, articulations=kept, slurred=slurred)))
        made[-1] = replace(made[-1], note=self._ended(made[-1], chain))
        return Span(ossia[0].at_q, ossia[-1].end_q, tuple(made))

    def _ends(self, chain: _Chain, ossia: list[Piece]) -> dict[Fraction, bool]:
        """Where the printed notes under an ossia end, and whether they are slurred on."""
        first, last = chain.first, chain.last
        while first > 0 and self.pieces[first].at_q > ossia[0].at_q:
            first -= 1
        while last + 1 < len(self.pieces) and self.pieces[last].end_q < ossia[-1].end_q:
            last += 1
        return {piece.end_q: piece.note.slurred for piece in self.pieces[first : last + 1]}

    def _ended(self, made: Piece, chain: _Chain) -> Note:
        """The last note of an ornament, with what is printed at the end of the last note that it stands for."""
        end = self.pieces[chain.last]
        k = chain.last
        while end.end_q < made.end_q and k + 1 < len(self.pieces):
            k += 1
            end = self.pieces[k]
        return _ending(made.note, end.note) if end.end_q == made.end_q else made.note

    def _closed(self, span: Span, chain: _Chain) -> Span:
        """Where the graces of the next note are the close of a trill they sound in the trill alone."""
        k = chain.last + 1
        if k >= len(self.pieces) or self.runs[self.bar_of[k]] != self.runs[chain.bar]:
            return span
        after = self.pieces[k]
        graces = after.note.graces
        if not graces or after.at_q != span.end_q or after.note.id in self.interpretation.ornaments:
            return span
        ornament = self.interpretation.ornaments.get(chain.head.id)
        tail = span.pieces[-len(graces) :]
        same = [piece.note.pitch for piece in tail] == [grace.pitch for grace in graces]
        if ornament is None or ornament.what != "trill" or not same or len(span.pieces) <= len(graces):
            return span
        self.pieces[k] = replace(after, note=replace(after.note, graces=()))
        named = (replace(p, note=replace(p.note, id=g.id)) for p, g in zip(tail, graces, strict=True))
        return replace(span, pieces=(*span.pieces[: -len(graces)], *named))


def _head(part: Part, note: Note) -> tuple[Measure, Note] | None:
    """The first notehead of the chain that a note continues, with its measure; None for a note that begins one."""
    head: tuple[Measure, Note] | None = None
    before: Note | None = None
    for measure in part.measures if note.tie in ("continue", "stop") else ():
        for one in measure.notes:
            if before is None or not _tied(before, one):
                head = measure, one
            if one.id == note.id:
                return head if head is not None and head[1].id != note.id else None
            before = one
    return None


def _tied(before: Note, note: Note) -> bool:
    ties = before.tie in ("start", "continue") and note.tie in ("continue", "stop")
    return ties and before.pitch == note.pitch


def _in_time(ossia: Sequence[OssiaNote], start_q: Fraction, main: Note) -> list[Piece]:
    """An ornament's notes in played time; none unless each begins where the one before ends."""
    made = [Piece(_bare(main, one.pitch), start_q + one.onset_q, one.length_q) for one in ossia]
    whole = all(one.length_q > 0 for one in made)
    joined = all(one.end_q == after.at_q for one, after in zip(made, made[1:], strict=False))
    return made if whole and joined else []


def _is_cut(note: Piece, printed: Piece | None, main_q: Fraction) -> bool:
    """Whether a note of an ornament is no more than a printed one made shorter."""
    return printed is not None and printed.note.pitch == note.note.pitch and note.end_q <= main_q


def _on_the_beat(own: list[Piece], main_q: Fraction, end_q: Fraction) -> list[Piece]:
    """An ornament whose graces have no note before to come out of: they begin with the main note."""
    lead = list(_until(own, main_q))
    lead_q = main_q - own[0].at_q
    room_q = min(lead_q, (end_q - main_q) * _HALF)
    scale = room_q / lead_q
    moved = [Piece(p.note, main_q + (p.at_q - own[0].at_q) * scale, p.length_q * scale) for p in lead]
    rest = (piece.within(main_q + room_q, own[-1].end_q) for piece in own)
    return [*moved, *(piece for piece in rest if piece is not None)]


def _until(pieces: Sequence[Piece], end_q: Fraction) -> Iterator[Piece]:
    for piece in pieces:
        cut = piece.within(pieces[0].at_q, end_q)
        if cut is not None:
            yield cut


def _bare(main: Note, pitch: Pitch | None) -> Note:
    """A note in the place of a main note, with nothing printed at it."""
    return replace(
        main,
        pitch=pitch,
        value=None,
        tie=None,
        slurs=(),
        articulations=(),
        ornaments=(),
        graces=(),
        after_graces=(),
        fermata=False,
        breath=None,
        caesura=False,
        fingerings=(),
        accidental=None,
        chord=(),
        lyric="",
        slurred=False,
        courtesy=False,
    )


def _like(first: Note, last: Note, pitch: Pitch | None) -> Note:
    """One of the notes in the place of a chain: slurred and separated as the chain is."""
    apart = tuple(one for one in first.articulations if one not in ACCENTS)
    return replace(_bare(first, pitch), articulations=apart, slurred=last.slurred)


def _ending(note: Note, last: Note) -> Note:
    """A note with what is printed at the end of another."""
    return replace(
        note,
        slurred=last.slurred,
        breath=last.breath,
        caesura=last.caesura,
        fermata=last.fermata,
    )


def _names(ossia: Sequence[Piece], first: Note, last: Note) -> list[str]:
    """The ids of an ornament's notes: those that are the printed graces, in their order, have theirs."""
    names = [first.id] * len(ossia)
    for k, grace in enumerate(first.graces[: max(len(ossia) - 1, 0)]):
        if ossia[k].note.pitch != grace.pitch:
            break
        names[k] = grace.id
    for k, grace in enumerate(reversed(last.after_graces), start=1):
        if k >= len(ossia) or ossia[-k].note.pitch != grace.pitch or names[-k] != first.id:
            break
        names[-k] = grace.id
    return names
