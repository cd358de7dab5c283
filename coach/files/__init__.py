"""Files: scores in, and their readings kept. `music21` is imported in `foreign` alone; MusicXML is read on its own tree."""
