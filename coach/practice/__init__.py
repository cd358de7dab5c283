"""Practice: reps, spots, ladders, what holds and what to work on today.

Pure: computes from what it is given; time and chance are arguments. Entries in, standings out.
"""
