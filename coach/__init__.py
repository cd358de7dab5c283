"""A practice-session coach for wind players: reads the part, plays the model, runs the drills, remembers."""

__version__ = "0.1.0"
