"""Census (placeholder until the vocabulary is complete)."""

from lxml import etree
from coach.files.musicxml.raw import Notices


def take_census(root: etree._Element, part: str, notices: Notices) -> None:
    return None
