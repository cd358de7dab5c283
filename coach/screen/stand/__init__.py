"""The Stand: the music, measure by measure."""
