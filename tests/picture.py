"""Draws the picture in README.md from the program itself: the demo piece on the Stand, a measure looped and sounding.

python -m tests.picture             writes content/pictures/stand.svg
"""

import asyncio
import re
import sys
import tempfile
from pathlib import Path

from tests.screen.sitting import demo_home, sitting

PICTURE = Path(__file__).parent.parent / "content" / "pictures" / "stand.svg"
SIZE = (100, 30)


async def draw(home: Path) -> str:
    """The Stand as an SVG picture."""
    async with sitting(home, size=SIZE, start="demo") as at:
        await at.shows("measure 1 of 30")
        await at.press("right", "l", "equals_sign")
        await at.write("60 %")
        await at.shows("= 30 (60 % of 50)", "loop measure 2")
        await at.press("space")
        await at.shows("count-in")
        at.clock.now_s += 3 * 60 / 30 + 2.5  # a measure counted in, then into the second beat
        await at.until(lambda: at.music.lit == "2.2")
        await at.pilot.pause()
        return _plain(at.app.export_screenshot(title="coach"))


def _plain(svg: str) -> str:
    """The picture without fonts fetched from elsewhere and without a name made anew each time."""
    svg = re.sub(r"\s*@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(r"terminal-\d+", "terminal", svg).rstrip() + "\n"


def main() -> None:
    """Draw the picture and say where it is."""
    with tempfile.TemporaryDirectory() as folder:
        svg = asyncio.run(draw(demo_home(Path(folder))))
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(svg, "utf-8")
    sys.stdout.write(f"Written: {PICTURE}\n")


if __name__ == "__main__":
    main()
