"""Drawings: sheets with frame and title block, wiring of each load, single-line diagram; drawn from the wiring as data."""
