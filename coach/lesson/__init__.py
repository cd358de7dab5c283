"""The use cases that both front ends call: put a piece on the stand, play, drill, log, see what holds."""
