"""A MusicXML document as compressed MusicXML (.mxl), an archive as MusicXML 4.0 describes it; always the same bytes."""

import zipfile
from io import BytesIO

_DAY = (1980, 1, 1, 0, 0, 0)  # the first that an archive can hold; the time of writing says nothing
_CONTAINER = """<?xml version="1.0" encoding="UTF-8"?>
<container><rootfiles>
<rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>
</rootfiles></container>
"""


def compressed(document: bytes) -> bytes:
    """The archive with the document in it."""
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, data in (("META-INF/container.xml", _CONTAINER.encode()), ("score.musicxml", document)):
            archive.writestr(zipfile.ZipInfo(name, _DAY), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()
