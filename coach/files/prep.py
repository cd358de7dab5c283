"""The prep file: the marks of a piece as TOML that a person can read and edit. Format version 1.

Every mistake in a file is told in one sentence with file, line and remedy, and the rest is kept. What the player wrote
into it by hand (comments, fields, even tables that could not be read) stays when the program writes it.
"""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote

from coach.errors import StoreError
from coach.files.prep_reading import LARGEST, Page, read_page
from coach.files.prep_writing import page_text
from coach.music.part import Part
from coach.prepare.follow import follow
from coach.prepare.merge import rebase
from coach.prepare.prep import Prep
from coach.whole_file import write_whole


@dataclass(frozen=True, slots=True)
class Parsed:
    """A prep as it was read, what was wrong with its file (a sentence each), and the file's text; `broken` if some of
    it is no TOML. `joined` tells that a file changed by hand meanwhile was joined with what was written."""

    prep: Prep
    faults: tuple[str, ...] = ()
    text: str = ""
    broken: bool = False
    joined: bool = False


def prep_text(prep: Prep, part: Part, before: str = "") -> str:
    """The text of a prep's file, always the same for the same prep. `before` is the text until now, whose hand-written
    comments, unknown fields and unread tables are kept. Raises StoreError if that is no prep, or a newer coach's."""
    return page_text(prep, part, _page(before) if before.strip() else None)


def parse_prep(text: str, name: str) -> Parsed:
    """The prep in a text; `name` is told in the faults. Raises StoreError, one sentence, for what is no prep or was
    written by a newer coach; such a file must not be overwritten."""
    page = read_page(text, name)
    return Parsed(page.prep, tuple(page.faults), text, page.broken)


def prep_path(folder: Path, piece: str) -> Path:
    """The file of a piece's marks. An id that came from elsewhere is made fit to be the name of a file."""
    name = quote(piece, safe="").replace(".", "%2E")
    return folder / f"{name}.toml"


def read_prep(path: Path) -> Parsed:
    """The prep in a file; an empty one where there is no file. Raises StoreError if it cannot be read, is no prep, or a
    newer coach's."""
    text = _text(path)
    return parse_prep(text, str(path)) if text is not None else Parsed(Prep())


def write_prep(path: Path, prep: Prep, part: Part, read: Parsed | None = None) -> Parsed:
    """Write a prep, whole or not at all, and return the file as it then is.

    `read` is the file as it was last read or written. If it was changed by hand since, both changes are joined
    (`merge.rebase`) and `joined` is set; without `read` whatever the file holds is kept. A file that is no TOML is
    copied beside itself first. Raises StoreError; then the file is as it was.
    """
    base = read or Parsed(Prep())
    text = _text(path)
    there = base if text is None or text == base.text else parse_prep(text, str(path))
    joined = there is not base and bool(there.prep.marks or there.prep.unplaced or base.text)
    if joined:
        theirs, old = (follow(one, part, prep.score_hash) for one in (there.prep, base.prep))
        prep = rebase(old, theirs, prep)
    if text is not None and there.broken:
        _copy_beside(path, text)
    page = _page(there.text, str(path)) if there.text.strip() else None
    written = page_text(prep, part, page)
    if written != text:
        write_whole(path, written.encode("utf-8"), folders=True)
    # Where all could be read before, all can be read now; only old mistakes have new lines to be told with.
    after = parse_prep(written, str(path)) if there.faults else Parsed(prep, text=written)
    faults = (*(there.faults if joined or there.broken else ()), *after.faults)
    return replace(after, faults=tuple(dict.fromkeys(faults)), prep=prep, joined=joined)


def _page(text: str, name: str = "the marks until now") -> Page:
    return read_page(text, name)


def _text(path: Path) -> str | None:
    try:
        if path.stat().st_size > LARGEST:
            raise StoreError(f"{path} is larger than {LARGEST >> 20} MB, which no prep is; move it away.")
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StoreError(f"{path} cannot be read ({reason}); mend its permissions or move it away.") from error
    except UnicodeDecodeError as error:
        raise StoreError(
            f"{path} is no UTF-8 text (byte {error.start}); save it as UTF-8 in your editor, or move it away."
        ) from error


def _copy_beside(path: Path, text: str) -> None:
    """Keep a broken file as it was, under a name that its content gives."""
    digest = hashlib.sha256(text.encode("utf-8")).hexdigest()[:8]
    copy = path.with_name(f"{path.stem}.broken-{digest}.txt")
    if not copy.exists():
        write_whole(copy, text.encode("utf-8"))
