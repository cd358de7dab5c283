"""Files of the player's, written whole or not at all."""

import os
import tempfile
from pathlib import Path

from coach.errors import StoreError


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it is either the old one or the new one, never half. Raises StoreError."""
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(temporary, path)
    except OSError as error:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        raise StoreError(
            f"{path} cannot be written ({error.strerror}); "
            "make room there, mend its permissions or choose another place."
        ) from error
