"""The written page: pitch, rhythm, metre, note, measure, part, piece.

Pure: the standard library only, no files, no clock, no chance. Time on the page is exact (`Fraction`, in quarter
notes, names ending in `_q`). Every pitch is the written one; sounding pitch exists at the edge of sound only.
"""
