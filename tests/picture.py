"""Draws the picture in README.md from the program itself: the demo piece on the Stand, a measure looped and sounding;
and the Stand in the sizes and colours that tests/screen/test_snapshots.py compares.

python -m tests.picture             writes content/pictures/stand.svg and tests/screen/snapshots/*.txt
python -m tests.picture FOLDER      writes pictures of the snapshots to a folder, to be looked at
"""

import asyncio
import re
import sys
import tempfile
from pathlib import Path

from coach.lesson.engraving import engraving
from tests.screen.shots import SHOTS, SNAPSHOTS, shoot
from tests.screen.sitting import demo_home, sitting

PICTURE = Path(__file__).parent.parent / "content" / "pictures" / "stand.svg"
SIZE = (100, 34)


async def draw(home: Path) -> str:
    """The Stand as an SVG picture."""
    async with sitting(home, size=SIZE, start="demo", engraving=engraving) as at:
        await at.shows("measure 1 of 30")
        await at.until(lambda: at.music.engraved)
        await at.press("right", "l", "equals_sign")
        await at.write("60 %")
        await at.shows("= 30 (60 % of 50)", "loop measure 2")
        await at.press("space")
        await at.shows("count-in")
        at.clock.now_s += 3 * 60 / 30 + 2.5  # a measure counted in, then into the second beat
        await at.until(lambda: at.music.lit == "2.2" and at.music.page and "2.2" in at.music.page.notes)
        await at.pilot.pause()
        return _plain(at.app.export_screenshot(title="coach"))


def _plain(svg: str) -> str:
    """The picture without fonts fetched from elsewhere and without a name made anew each time."""
    svg = re.sub(r"\s*@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(r"terminal-\d+", "terminal", svg).rstrip() + "\n"


def main() -> None:
    """Draw the pictures and say where they are."""
    with tempfile.TemporaryDirectory() as folder:
        home = demo_home(Path(folder) / "demo")
        shots = [asyncio.run(shoot(shot, Path(folder) / shot.name, home)) for shot in SHOTS]
        if sys.argv[1:]:
            for shot, (_, svg) in zip(SHOTS, shots, strict=True):
                (Path(sys.argv[1]) / f"{shot.name}.svg").write_text(svg, "utf-8")
            return
        svg = asyncio.run(draw(home))
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(svg, "utf-8")
    sys.stdout.write(f"Written: {PICTURE}\n")
    SNAPSHOTS.mkdir(exist_ok=True)
    for shot, (text, _) in zip(SHOTS, shots, strict=True):
        (SNAPSHOTS / f"{shot.name}.txt").write_text(text, "utf-8")
    sys.stdout.write(f"Written: {len(SHOTS)} snapshots in {SNAPSHOTS}\n")


if __name__ == "__main__":
    main()
