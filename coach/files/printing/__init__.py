"""The part to put on a stand: engraved pages with the marks, as PDF and as one HTML file."""
