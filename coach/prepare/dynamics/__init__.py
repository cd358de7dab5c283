"""Dynamics: the level and the colour of every note, from what is printed and marked, and the shaping that a good player
adds."""
