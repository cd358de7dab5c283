"""A MusicXML tree into a piece."""

from dataclasses import dataclass, replace

from lxml import etree

from coach.files.choice import choose
from coach.files.musicxml.census import take_census
from coach.files.musicxml.grid import lay_grid
from coach.files.musicxml.header import PartHeader, read_composer, read_part_list, read_rights, read_title
from coach.files.musicxml.measures import walk_part
from coach.files.musicxml.numbers import Malformed
from coach.files.musicxml.parts import build_part
from coach.files.musicxml.raw import Notices, RawMeasure
from coach.files.musicxml.tempos import gather_tempos
from coach.files.musicxml.written import Written
from coach.music.piece import Piece


class Unfit(Exception):
    """A tree that is well-formed and yet no piece; the text says why, without the name of the file."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A part as it stands in the file: its header and its measure elements."""

    header: PartHeader
    measures: list[etree._Element]

    @property
    def has_notes(self) -> bool:
        """Whether anything in it is played."""
        return any(
            note.find("rest") is None and (note.find("pitch") is not None or note.find("unpitched") is not None)
            for measure in self.measures
            for note in measure.iterfind("note")
        )


def read_sheets(root: etree._Element) -> list[Sheet]:
    """The parts of a partwise or timewise score, in order. Raises Unfit for anything else."""
    if root.tag not in ("score-partwise", "score-timewise"):
        raise Unfit(f"it is XML, but no MusicXML score (its root is <{str(root.tag)[:40]}>)")
    headers = read_part_list(root)
    _name_parts(root, list(headers))
    music: dict[str, list[etree._Element]] = {}
    if root.tag == "score-partwise":
        for part in root.iterfind("part"):
            music.setdefault(part.get("id") or "", []).extend(part.iterfind("measure"))
    else:
        for measure in root.iterfind("measure"):
            for part in measure.iterfind("part"):
                for name, value in measure.attrib.items():
                    if name != "id":  # that of the part says which it is
                        part.set(name, value)
                music.setdefault(part.get("id") or "", []).append(part)
    parts = [(headers.get(name, PartHeader(name, "")), measures) for name, measures in music.items() if measures]
    return [Sheet(_named(header, k), measures) for k, (header, measures) in enumerate(parts, 1)]


def _name_parts(root: etree._Element, announced: list[str]) -> None:
    """Parts without an id are those of the list, in its order."""
    for parent in [root] if root.tag == "score-partwise" else root.findall("measure"):
        for k, part in enumerate(parent.findall("part")):
            if not part.get("id"):
                part.set("id", announced[k] if k < len(announced) else f"P{k + 1}")


def _named(header: PartHeader, number: int) -> PartHeader:
    return header if header.name else replace(header, name=f"Part {number}")


def read_tree(root: etree._Element, wanted: str | None, written: Written | None = None) -> Piece:
    """The piece, the wanted part chosen; `written` learns where its notes stand. Raises Unfit, Malformed, or what
    `choose` raises."""
    notices = Notices()
    sheets = read_sheets(root)
    playable = [sheet.has_notes for sheet in sheets]
    if not any(playable):
        raise Unfit("it holds no notes to practise")
    chosen = choose([sheet.header for sheet in sheets], playable, wanted)
    concert = root.find("defaults/concert-score") is not None
    found = [notices if k == chosen else Notices() for k in range(len(sheets))]
    raws = [walk_part(sheet.measures, concert, found[k]) for k, sheet in enumerate(sheets)]
    grid = lay_grid(raws, chosen, notices)
    tempos = gather_tempos([raws[chosen], *raws], grid.onsets, notices)
    written = Written() if written is None else written
    parts = [
        build_part(sheet.header, raws[k], grid, found[k], k == chosen, written if k == chosen else None)
        for k, sheet in enumerate(sheets)
    ]
    written.part = sheets[chosen].header.id
    written.measures.update(
        (measure.id, element) for measure, element in zip(parts[chosen].measures, sheets[chosen].measures, strict=False)
    )
    for k, sheet in enumerate(sheets):
        if k != chosen:
            notices.take(found[k], sheet.header.name)
    take_census(root, sheets[chosen].header.id, {sheet.header.id: sheet.header.name for sheet in sheets}, notices)
    return Piece(
        title=read_title(root),
        composer=read_composer(root),
        part=parts[chosen],
        others=tuple(part for k, part in enumerate(parts) if k != chosen),
        tempos=tempos,
        notices=notices.all(),
        rights=read_rights(root),
    )


__all__ = ["Malformed", "RawMeasure", "Sheet", "Unfit", "read_sheets", "read_tree"]
