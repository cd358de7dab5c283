"""Breath: where to breathe, planned exactly."""
