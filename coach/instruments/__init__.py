"""What hands and air can do: an instrument's chart, its tone holes, what sounds between two fingerings (pure).

Nothing here knows any particular instrument: all that is the clarinet's or the saxophone's own stands in
`content/instruments`. Pitches are written MIDI numbers.
"""
