"""From the start of the engraving process to the first system, with and without what is kept; and painting systems as
pictures, beside verovio's own drawing of them.

Run it with `python -m tests.bench.bench_pictures`. Each line is `name | ours | reference | ratio`, in milliseconds, the
best of several. The reference of a kept start is the start with nothing kept. Nothing is asserted: a wall clock proves
nothing on a shared machine.
"""

import io
import statistics
import tempfile
import time
from pathlib import Path

from PIL import Image

from coach.files.engraving.client import Engraving
from coach.files.engraving.kept import engraver_of
from coach.files.engraving.picture import picture
from coach.files.score import read_score
from coach.files.source import locate
from coach.music.engraved import Paint
from tests.bench.bench_reading import best_ms

WEBER = "corpus:weber/concertino_clarinet"
DEMO = Path(__file__).parents[2] / "content" / "pieces" / "demo.musicxml"
COLUMNS = 120
SPACES = (2 * COLUMNS - 1) / 4
PAINT = Paint(10, 20, "#e9e4da", "#17191b", "#8fb0a9")
Row = tuple[str, float, float]


def first_system(source: str | Path, folder: Path | None) -> None:
    """Start the process, lay the part out, have its first system, end the process."""
    engraving = Engraving() if folder is None else Engraving(folder / "readings", folder / "engraving")
    engraving.system(engraving.lay(source, None, "", SPACES), 0)
    engraving.close()


def starts() -> list[Row]:
    """The first system of a piece opened again, against that of one with nothing kept."""
    rows = []
    for name, source in (("weber", WEBER), ("demo", DEMO)):
        with tempfile.TemporaryDirectory() as text:
            folder = Path(text)
            read_score(locate(source), cache=folder / "readings")  # as opening the piece does
            first_system(source, folder)
            kept = best_ms(lambda source=source, folder=folder: first_system(source, folder), 5)  # type: ignore[misc]
        rows.append((f"first system, {name}, kept", kept, best_ms(lambda source=source: first_system(source, None), 5)))  # type: ignore[misc]
    return rows


def paintings() -> list[Row]:
    """Painting every system of the Weber part, and sixels of one, against verovio's drawing."""
    from textual_image._sixel import image_to_sixels

    layout = engraver_of(WEBER, None, None).lay(None, SPACES)
    drawing, painting = [], []
    for number in range(len(layout.systems)):
        start = time.perf_counter()
        svg = layout.svg(number)
        between = time.perf_counter()
        made = picture(svg, PAINT)
        drawing.append(1000 * (between - start))
        painting.append(1000 * (time.perf_counter() - between))
    image = Image.open(io.BytesIO(made.png)).convert("RGB")
    median, p95 = statistics.median(drawing), statistics.quantiles(drawing, n=20)[-1]
    return [
        ("a picture, median", statistics.median(painting), median),
        ("a picture, 95th percentile", statistics.quantiles(painting, n=20)[-1], p95),
        ("a picture as sixels", best_ms(lambda: image_to_sixels(image), 3), median),
    ]


if __name__ == "__main__":
    for name, ours, reference in (*starts(), *paintings()):
        print(f"{name} | {ours:.0f} ms | {reference:.0f} ms | {ours / reference:.2f}")
