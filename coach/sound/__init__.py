"""Sound: what is played, when, and the process that plays it.

`performance`, `clicks`, `compile`, `timeline` and `transport` are pure (standard library only). `voice` makes samples
(NumPy). Only `engine` and what it imports touches an audio device or a MIDI port; `rtmidi` is imported in `port` alone.
"""
