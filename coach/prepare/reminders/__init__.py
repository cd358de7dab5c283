"""Reminders: the accidentals that will be forgotten."""
