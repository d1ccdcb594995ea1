"""Comparisons with something outside the project, each registered once."""
