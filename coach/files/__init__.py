"""Files: scores in, and their readings kept.

`score` is the way in. MusicXML is read on its own tree (`musicxml`); `music21` is imported in `foreign` alone.
"""
