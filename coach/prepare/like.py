"""Like places: where the same figure comes again, so that a decision made once can be offered there too.

Trade practice, no published rule: a hand is chosen by the notes before and after, whatever their lengths; a breath, a
phrase, a hairpin or a change of pace by the figure around it, with its rhythm.
"""

from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.note import Note
from coach.music.part import Part
from coach.prepare.mark import Content, Dynamic, Mark, Ornament, Pace, Phrase
from coach.prepare.place import find_place

# By kind: how many neighbours must be the same on either side, and whether lengths count.
_ALIKE: dict[str, tuple[int, bool]] = {
    "fingering": (1, False),
    "reminder": (1, False),
    "swap": (1, True),
    "ornament": (1, True),
    "alteration": (1, True),
    "comment": (1, True),
    "breath": (2, True),
    "phrase": (2, True),
    "dynamic": (2, True),
    "pace": (2, True),
}


@dataclass(frozen=True, slots=True)
class _Link:
    """What is played as one: a note with those tied to it, a rest or a grace; `ids` of its heads, in order."""

    ids: tuple[str, ...]
    pitch: str
    length: str

    def key(self, lengths: bool) -> tuple[str, str, int]:
        """What must be the same; without lengths a grace still differs from a note."""
        length = self.length if lengths or self.length in ("g", "a") else ""
        return self.pitch, length, len(self.ids) if lengths else 0


def like_places(part: Part, note_id: str, kind: str) -> tuple[str, ...]:
    """The other notes of a part that stand as this one does, for a mark of a kind; () where there are none."""
    links = _links(part)
    found = _where(links, note_id)
    if found is None:
        return ()
    here, head = found
    width, lengths = _ALIKE[kind]
    wanted = _around(links, here, width, lengths)
    others = (k for k in range(len(links)) if k != here and _around(links, k, width, lengths) == wanted)
    return tuple(links[k].ids[head] for k in others if head < len(links[k].ids))


def content_there(part: Part, mark: Mark, note_id: str) -> Content | None:
    """A mark's content as it would be at another note: stretches as many notes long, written-out notes moved with the
    note. None where it does not fit: the stretch runs off the part, or ends on another pitch."""
    content = mark.content
    if isinstance(content, Ornament):
        here, there = find_place(part, mark.at), find_place(part, note_id)
        if here is None or there is None:
            return None
        return shifted(content, there.onset_q - here.onset_q)
    if isinstance(content, Phrase | Pace | Dynamic):
        links = _links(part)
        to = _moved(links, mark.at, note_id, content.to)
        goal = _moved(links, mark.at, note_id, content.goal) if isinstance(content, Phrase) else ""
        if to is None or goal is None:
            return None
        return Phrase(to, goal) if isinstance(content, Phrase) else replace(content, to=to)
    return content


def shifted(ornament: Ornament, by_q: Fraction) -> Ornament:
    """An ornament later by so many quarters, its shake with it."""
    notes = tuple(replace(one, onset_q=one.onset_q + by_q) for one in ornament.notes)
    shake = ornament.shake
    return replace(ornament, notes=notes, shake=shake and replace(shake, onset_q=shake.onset_q + by_q))


def _moved(links: list[_Link], old_at: str, new_at: str, name: str) -> str | None:
    """The note as far from the new place as `name` is from the old one; "" for ""."""
    if not name:
        return ""
    places = _where(links, old_at), _where(links, new_at), _where(links, name)
    if any(place is None for place in places):
        return None
    (old, _), (new, _), (end, head) = (place or (0, 0) for place in places)
    there = new + end - old
    if not 0 <= there < len(links) or links[there].pitch != links[end].pitch:
        return None
    return links[there].ids[min(head, len(links[there].ids) - 1)]


def _around(links: list[_Link], at: int, width: int, lengths: bool) -> list[tuple[str, str, int] | None]:
    return [links[k].key(lengths) if 0 <= k < len(links) else None for k in range(at - width, at + width + 1)]


def _where(links: list[_Link], note_id: str) -> tuple[int, int] | None:
    return next(((k, link.ids.index(note_id)) for k, link in enumerate(links) if note_id in link.ids), None)


def _links(part: Part) -> list[_Link]:
    links: list[_Link] = []
    open_chain: list[Note] = []
    for note in part.notes():
        if open_chain and note.tie not in ("continue", "stop"):
            links.append(_chain(open_chain))
            open_chain = []
        links += [_Link((grace.id,), grace.pitch.name, "g") for grace in note.graces]
        open_chain.append(note)
        if note.tie not in ("start", "continue") or note.after_graces:
            links.append(_chain(open_chain))
            open_chain = []
        links += [_Link((grace.id,), grace.pitch.name, "a") for grace in note.after_graces]
    return [*links, _chain(open_chain)] if open_chain else links


def _chain(notes: list[Note]) -> _Link:
    pitch = notes[0].pitch
    length = sum((note.length_q for note in notes), Fraction(0))
    return _Link(tuple(note.id for note in notes), pitch.name if pitch else "r", str(length))
