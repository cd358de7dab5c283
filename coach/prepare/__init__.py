"""Decisions made before practising, pencilled into the part: marks and the prep. No files, no clock, no chance."""
