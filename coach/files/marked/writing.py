"""A prep pencilled into the tree of its score: each kind of mark as the standard elements a player looks for.

A mark that is only suggested stands in square brackets, or its line is dashed, as editors print what is theirs (trade
practice). The breath, the tenuto, the fermata and the ossia can have neither in MusicXML: the signs are grey, and an
ossia says so in words. Shaping in decibels that was computed is for the ear and is not written.
"""

import re
from fractions import Fraction
from pathlib import Path

from lxml import etree

from coach.files.marked.ids import FIELD, PART_FIELD
from coach.files.marked.lines import Lines
from coach.files.marked.mending import mend
from coach.files.marked.ossia import add_ossia
from coach.files.marked.page import Page, holding, made
from coach.files.score import WrittenScore, written_score
from coach.music.pitch import Pitch
from coach.prepare.mark import (
    Alteration,
    Breath,
    Comment,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.prep import Prep
from coach.prepare.written_out import written_out

_LONGEST_WORDS = 80  # of a comment over the music; the whole of it is in the prep
_GLYPHS = {"double-flat": "♭♭", "flat": "♭", "natural": "♮", "sharp": "♯", "double-sharp": "x"}
_ACCIDENTALS = {"double-flat": "flat-flat"}  # MusicXML's own words where they are not ours
_GREY = "#808080"
_ILLEGAL = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, Char


def marked_musicxml(source: str | Path, prep: Prep, *, part: str | None = None) -> bytes:
    """The score as a MusicXML 4.0 document with the marks of a prep that are not struck, and the whole prep inside.

    All parts and everything in them stay as they were. Raises ScoreError, one sentence."""
    from coach.files.prep import prep_text

    score = written_score(source, part=part)
    mend(score.root)
    pencil(score, prep)
    _embed(score.root, {FIELD: prep_text(prep, score.piece.part), PART_FIELD: score.written.part})
    etree.cleanup_namespaces(score.root)
    return etree.tostring(score.root, xml_declaration=True, encoding="UTF-8") + b"\n"


def pencil(score: WrittenScore, prep: Prep) -> None:
    """Put the marks that are not struck into the tree. A mark at a note that is not there stays in the prep alone."""
    writer = _Writer(Page(score))
    for mark in prep.shown:
        if writer.page.has(mark.at):
            writer.write(mark)
    if writer.written:
        add_ossia(score, written_out(score.piece.part, writer.written))


class _Writer:
    """Writes mark after mark; those that write notes out gather in `written` for the ossia."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.written: list[Mark] = []
        self._lines = Lines(page)
        self._suggested = False

    def write(self, mark: Mark) -> None:
        """Put one mark on the page."""
        at = mark.at
        self._suggested = mark.state == "suggested"
        match mark.content:
            case Breath(size):
                self._articulate(at, "breath", "breath-mark", "comma" if size == "full" else "tick", ",")
            case Fingering(choice):
                self._finger(at, "fingering", _line(choice))
            case Swap():
                self._swap(at, mark.content)
            case Reminder(text, of):
                self._remind(at, text, of)
            case Ornament():
                self._write_out(mark)
            case Dynamic():
                self._shape(mark, mark.content)
            case Alteration(pitches):
                self._alter(mark, pitches)
            case Phrase(to, goal):
                self._phrase(at, to, goal)
            case Pace():
                self._pace(at, mark.content)
            case Comment(text):
                self._say(at, "comment", _shortened(_line(text)))

    def _say(self, at: str, kind: str, text: str, *, above: bool = True, italic: bool = False) -> None:
        if text:
            self.page.direct(at, kind, self._words(text, italic), above=above)

    def _words(self, text: str, italic: bool) -> etree._Element:
        said = self._bracketed(text)
        return made("words", said, font_style="italic") if italic else made("words", said)

    def _bracketed(self, text: str) -> str:
        return f"[{text}]" if self._suggested else text

    @property
    def _paint(self) -> dict[str, str]:
        """What a sign has that no brackets can be put around."""
        return {"color": _GREY} if self._suggested else {}

    @property
    def _dash(self) -> dict[str, str]:
        return {"line_type": "dashed"} if self._suggested else {}

    def _articulate(self, at: str, kind: str, tag: str, value: str, plain: str) -> None:
        """An articulation, unless the file prints it there; beside a rest that the file leaves out, in words."""
        if self.page.has_notation(at, f"articulations/{tag}"):
            return
        if not self.page.notate(at, kind, holding("articulations", made(tag, value, **self._paint))):
            self._say(at, kind, plain)

    def _finger(self, at: str, kind: str, text: str, **attributes: str) -> None:
        if not text:
            return
        fingering = made("fingering", self._bracketed(text), placement="above", **attributes)
        if not self.page.notate(at, kind, holding("technical", fingering)):
            self._say(at, kind, text)

    def _swap(self, at: str, swap: Swap) -> None:
        held = self.page.held(at, swap.when_q)
        self._finger(held, "swap", _line(f"{swap.start}-{swap.end}"), substitution="yes")

    def _remind(self, at: str, text: str, of: str) -> None:
        around = "bracket" if self._suggested else "parentheses"
        if of or not self.page.remind(at, _ACCIDENTALS.get(text, text), around):
            self._say(at, "reminder", _line(_GLYPHS.get(text, text)))

    def _write_out(self, mark: Mark) -> None:
        """Over the note as an ossia, with what is said of it in words."""
        self.written.append(mark)
        labels = (one.label for passage in written_out(self.page.piece.part, [mark]) for one in passage)
        said = [*(["ossia"] if self._suggested else []), *filter(None, labels)]
        if said:
            self._say(mark.at, "ossia", " ".join(said), italic=True)

    def _alter(self, mark: Mark, pitches: tuple[Pitch, ...]) -> None:
        """Over the note as an ossia; over a grace, which has no length, as names."""
        if mark.at in self.page.notes:
            self._write_out(mark)
        else:
            self._say(mark.at, "alteration", f"({' '.join(map(_name, pitches))})")

    def _shape(self, mark: Mark, dynamic: Dynamic) -> None:
        at, sign = mark.at, dynamic.sign
        if sign in ("crescendo", "diminuendo"):
            self._lines.draw("wedge", "dynamic", at, dynamic.to or at, start={"type": sign, **self._dash}, above=False)
        elif sign:
            box = {"enclosure": "square"} if self._suggested else {}
            self.page.direct(at, "dynamic", holding("dynamics", made(sign), **box), above=False)
        elif mark.origin != "computed":  # a computed level on every note is for the ear, not for the page
            self._say(at, "dynamic", _level(dynamic), above=False)

    def _phrase(self, at: str, to: str, goal: str) -> None:
        hooks = {"line_end": "down"}
        self._lines.draw("bracket", "phrase", at, to or at, start={"type": "start", **hooks, **self._dash}, stop=hooks)
        if self.page.has(goal):
            self._say(goal, "goal", "goal", italic=True)

    def _pace(self, at: str, pace: Pace) -> None:
        if pace.shape == "tenuto":
            self._articulate(at, "pace", "tenuto", "", "ten.")
        elif pace.shape == "fermata":
            printed = self.page.has_notation(at, "fermata")
            if not printed and not self.page.notate(at, "pace", made("fermata", type="upright", **self._paint)):
                self._say(at, "pace", "fermata")
        elif pace.to and self.page.has(pace.to):
            words = self._words(pace.shape, italic=True)
            self._lines.draw("dashes", "pace", at, pace.to, words, start={"type": "start"})
        else:
            self._say(at, "pace", pace.shape, italic=True)
        if pace.length_q is not None:
            self._say(at, "pace", f"hold {self._beats(at, pace.length_q)}")

    def _beats(self, at: str, length_q: Fraction) -> str:
        metre = self.page.metre_at(at)
        count = length_q / (metre.beat_q if metre is not None else 1)
        whole, rest = divmod(count, 1)
        number = " ".join(str(one) for one in (whole, rest) if one) or "0"
        return f"{number} {'beat' if count <= 1 else 'beats'}"


def _name(pitch: Pitch) -> str:
    return pitch.name.replace("#", "♯").replace("b", "♭")


def _level(dynamic: Dynamic) -> str:
    said = [] if dynamic.level_db is None else [f"{dynamic.level_db:+g} dB".replace("-", "−")]
    if dynamic.colour is not None and not 1 / 3 < dynamic.colour < 2 / 3:
        said.append("dark" if dynamic.colour < 1 / 2 else "bright")
    return ", ".join(said)


def _line(text: str) -> str:
    """A text on one line, in characters that XML may hold."""
    return " ".join(_ILLEGAL.sub("\ufffd", text).split())


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_WORDS else text[: _LONGEST_WORDS - 1].rstrip() + "…"


def _embed(root: etree._Element, texts: dict[str, str]) -> None:
    """Put texts into the file, in fields that other programs keep and do not show."""
    identification = root.find("identification")
    if identification is None:
        identification = made("identification")
        after = [one for one in root if one.tag in ("work", "movement-number", "movement-title")]
        root.insert(root.index(after[-1]) + 1 if after else 0, identification)
    fields = identification.find("miscellaneous")
    if fields is None:
        fields = etree.SubElement(identification, "miscellaneous")
    fields.extend(made("miscellaneous-field", _ILLEGAL.sub("\ufffd", text), name=name) for name, text in texts.items())
