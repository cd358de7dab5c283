"""Drill: one spot up its ladder."""
