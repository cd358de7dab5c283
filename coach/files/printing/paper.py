"""Sheets of paper and how large the music stands on them."""

from dataclasses import dataclass

# From the top to the bottom line. Parts are engraved at 7 to 8.5 mm (trade practice, from memory); 8 reads at arm's
# length, with a stand between.
STAFF_MM = 8.0
PX_PER_MM = 72 / STAFF_MM  # verovio's staff is 72 of its pixels high
POINTS_PER_MM = 72 / 25.4


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet in millimetres, with margins that printers can keep. `foot_mm` holds the page number."""

    name: str
    width_mm: float
    height_mm: float
    side_mm: float = 13.0
    top_mm: float = 12.0
    foot_mm: float = 14.0

    @property
    def line_mm(self) -> float:
        """The width of the music."""
        return self.width_mm - 2 * self.side_mm

    @property
    def music_mm(self) -> float:
        """The height for music on a page without a title."""
        return self.height_mm - self.top_mm - self.foot_mm


PAPERS = {"a4": Paper("a4", 210.0, 297.0), "letter": Paper("letter", 215.9, 279.4)}
