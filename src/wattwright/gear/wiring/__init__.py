"""Wiring: which terminal is joined to which, as data from which drawing, terminal schedule and cable schedule are made."""
