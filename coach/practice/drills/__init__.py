"""Drills: recipes that turn a few notes of a piece into something small to play, a piece of its own."""
