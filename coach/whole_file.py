"""Files of the player's, written whole or not at all."""

import os
from pathlib import Path
from uuid import uuid4

from coach.errors import StoreError


def write_whole(path: Path, data: bytes, *, folders: bool = False) -> None:
    """Write a file so that a reader sees the old one or the new one, never a part. A device or a pipe is written into.

    `folders` makes the folders it belongs in. Raises StoreError naming the file and the reason; then what was there
    before is still there.
    """
    try:
        if folders:
            path.parent.mkdir(parents=True, exist_ok=True)
        target = Path(os.path.realpath(path))
        if target.exists() and not target.is_file() and not target.is_dir():
            target.write_bytes(data)
            return
        _replace(target, data)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StoreError(
            f"{path} cannot be written ({reason}); make room there, or choose another folder or name."
        ) from error


def _replace(target: Path, data: bytes) -> None:
    if target.is_dir():
        raise IsADirectoryError(0, "it is a folder")
    # Not a name from tempfile: those are private, and a player's file gets the permissions of any new file.
    beside = target.with_name(f".{uuid4().hex}.part")
    try:
        with beside.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(beside, target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
