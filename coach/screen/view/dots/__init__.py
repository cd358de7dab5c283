"""Engraved music in braille dots: a staff space is four dots high, every sign is set dot by dot."""
