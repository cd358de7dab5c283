"""Where a score comes from: a file, or the open scores that ship with music21 (`corpus:`)."""

import importlib.util
import os
import stat
from pathlib import Path, PurePosixPath

from coach.errors import ScoreError

CORPUS = "corpus:"
_LARGEST_BYTES = 128 * 1024 * 1024
_SUFFIXES = (
    ".mxl",
    ".musicxml",
    ".xml",
    ".abc",
    ".krn",
    ".mid",
    ".midi",
    ".md",
    ".rntxt",
    ".rntext",
    ".capx",
    ".mei",
    ".nwctxt",
)


def locate(source: str | Path) -> Path:
    """The file that a source names. Raises ScoreError if there is none."""
    text = str(source)
    if text.startswith(CORPUS):
        return _in_corpus(text)
    if not text or "\0" in text:
        raise ScoreError("A score needs the name of a file; none was given.")
    return Path(text).expanduser()


def read_bytes(path: Path) -> bytes:
    """The content of a score file. Raises ScoreError, one sentence, for whatever is in the way."""
    try:
        with open(path, "rb") as file:
            status = os.fstat(file.fileno())
            if not stat.S_ISREG(status.st_mode):
                raise ScoreError(f"{path} is no ordinary file; name a score file.")
            if status.st_size > _LARGEST_BYTES:
                raise ScoreError(f"{path} is larger than {_LARGEST_BYTES >> 20} MB; save one piece to a file.")
            data = file.read(_LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise ScoreError(f"{path} does not exist; check the name and the folder.") from None
    except IsADirectoryError:
        raise ScoreError(f"{path} is a folder; name a score file inside it.") from None
    except PermissionError:
        kind = (
            "is a folder; name a score file inside it" if path.is_dir() else "may not be read; change its permissions"
        )
        raise ScoreError(f"{path} {kind}.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ScoreError(f"{path} cannot be opened ({reason}); check the name and the disk.") from None
    if not data.strip():
        raise ScoreError(f"{path} is empty; export the score again.")
    return data


def _in_corpus(text: str) -> Path:
    folder = corpus_folder()
    name = PurePosixPath(text[len(CORPUS) :].replace("\\", "/"))
    if name.is_absolute() or ".." in name.parts or ":" in str(name) or not name.parts:
        raise ScoreError(f"{text} names no score in the corpus; write it like corpus:weber/concertino_clarinet.")
    exact = folder.joinpath(*name.parts)
    if exact.is_file():
        return exact
    for suffix in _SUFFIXES:
        candidate = exact.with_name(exact.name + suffix)
        if candidate.is_file():
            return candidate
    raise ScoreError(
        f"{text} is not in the corpus; its composers are folders of music21's corpus, such as weber or haydn."
    )


def corpus_folder() -> Path:
    """The folder of open scores inside the installed music21, found without importing it. Raises ScoreError."""
    spec = importlib.util.find_spec("music21")
    for place in (spec.submodule_search_locations or ()) if spec is not None else ():
        folder = Path(place) / "corpus"
        if folder.is_dir():
            return folder
    raise ScoreError("The corpus is not installed; install the package music21 to use corpus: names.")
