"""Engraved systems as plain JSON values and back: what passes between the engraving process and the program."""

from typing import Any

from coach.music.engraved import Bounds, EngravedSystem, Shape


def pack_system(system: EngravedSystem) -> dict[str, Any]:
    """A system as JSON values."""
    return {
        "number": system.number,
        "first": system.first,
        "last": system.last,
        "right": system.right,
        "music_left": system.music_left,
        "heads": system.heads,
        "measures": [[k, bounds.left, bounds.right] for k, bounds in system.measures.items()],
        "shapes": [
            [s.kind, s.points, s.what, s.owner, s.code, s.width, s.size, s.text, s.anchor, s.style, s.mark, s.state]
            for s in system.shapes
        ],
    }


def unpack_system(packed: dict[str, Any]) -> EngravedSystem:
    """The system back."""
    return EngravedSystem(
        number=packed["number"],
        first=packed["first"],
        last=packed["last"],
        shapes=tuple(Shape(kind, tuple(points), *rest) for kind, points, *rest in packed["shapes"]),
        heads={name: (x, y) for name, (x, y) in packed["heads"].items()},
        measures={k: Bounds(left, right) for k, left, right in packed["measures"]},
        right=packed["right"],
        music_left=packed["music_left"],
    )
