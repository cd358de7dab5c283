"""Ornaments: graces, turns, mordents and trills as exact notes, in two styles, with their reasons and alternatives."""
