"""Today: what to work on, and why."""
