"""Slurs and ties followed along the practised line."""

from collections.abc import Iterator, Sequence
from itertools import accumulate

from coach.files.musicxml.lines import Line
from coach.files.musicxml.raw import Head, Notices
from coach.music.note import SlurEnd


def join_slurs(lines: Sequence[Line], names: Sequence[str], notices: Notices) -> frozenset[int]:
    """The practised heads (by `id()`) that a slur joins to what follows. A slur that never ends joins nothing."""
    heads = [(head, names[k]) for k, line in enumerate(lines) for head in line.heads if not head.is_rest]
    items = [item for head, name in heads for item in _items(head, name)]
    steps = [0] * (len(items) + 1)
    for first, last in _pairs(items, notices):
        steps[first] += 1
        steps[last] -= 1
    depth = list(accumulate(steps))
    return frozenset(id(head) for k, (head, _) in enumerate(items) if depth[k] > 0)


def _items(head: Head, name: str) -> Iterator[tuple[Head, str]]:
    for grace in head.before:
        yield grace, name
    yield head, name
    for grace in head.after:
        yield grace, name


def all_slurs(head: Head) -> tuple[SlurEnd, ...]:
    """The slur ends at a head and at the notes of its chord."""
    ends = [*head.slurs, *(end for member in head.chord for end in member.slurs)]
    return tuple(dict.fromkeys(ends))


def _pairs(items: list[tuple[Head, str]], notices: Notices) -> Iterator[tuple[int, int]]:
    open_: dict[int, tuple[int, str]] = {}
    for k, (head, name) in enumerate(items):
        ends = all_slurs(head)
        for end in ends:
            if end.kind == "stop":
                if end.number in open_:
                    yield open_.pop(end.number)[0], k
                elif SlurEnd("start", end.number) not in ends:
                    notices.add("A slur ends where none of the practised line has begun.", name)
        for end in ends:
            if end.kind == "start":
                if end.number in open_:
                    notices.add("A slur never ends in the practised line; it joins nothing.", open_[end.number][1])
                open_[end.number] = (k, name)
    for _, name in open_.values():
        notices.add("A slur never ends in the practised line; it joins nothing.", name)


def mend_ties(lines: Sequence[Line], names: Sequence[str], notices: Notices) -> None:
    """Take away the start of a tie that leads to no like note right after it; give it an end where it leads to one."""
    heads = [(head, names[k]) for k, line in enumerate(lines) for head in line.heads]
    for (head, name), following in zip(heads, [*heads[1:], None], strict=True):
        if head.tie not in ("start", "continue") or head.pitch is None:
            continue
        after = following[0].pitch if following is not None else None
        if after is None or after.midi != head.pitch.midi:
            head.tie = None if head.tie == "start" else "stop"
            notices.add("A tie that leads to no like note is left out.", name)
        elif following is not None and following[0].tie in (None, "start"):
            following[0].tie = "stop" if following[0].tie is None else "continue"
            notices.add("A tie that the file does not end is taken to end at the next like note.", name)
