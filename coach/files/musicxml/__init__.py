"""MusicXML 2 to 4 into the exact page of `coach.music`, on its own element tree.

`measures` walks the elements of a part into raw measures (`raw`); `grid` lays the measures of all parts; `lines`
chooses the practised line, `marks` lays dynamics, hairpins and words over it, `building` makes notes of it, and
`reader` puts the piece together. `understood` says what is understood and what is knowingly left aside; `census`
reports everything else.
"""
