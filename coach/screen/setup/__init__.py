"""Setup: instrument, sound, click, keys."""
