"""The practice log on disk. `sqlite3` is imported here alone."""
