"""Progress: what holds and what needs work."""
