"""Engraving: the practised part drawn by verovio, for the terminal as shapes and for paper as pages.

verovio is imported in `toolkit.py` alone.
"""
