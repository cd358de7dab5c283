"""MusicXML 2 to 4 into the exact page of `coach.music`, on its own element tree.

`measures` walks the elements of a part into raw measures (`raw`), `lines` chooses the practised line and makes notes of
it, `marks` lays dynamics, hairpins, words and tempos over them, `reader` puts the piece together. `vocabulary` says what
is understood and what is knowingly left aside; `census` reports everything else.
"""
