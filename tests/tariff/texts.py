"""Pieces of tariff files that several tests use."""

WINDOWS = """rest = "day"
[[tariff.window]]
period = "night"
from = "22:00"
to = "06:00"
"""
DAY_AND_NIGHT = f'{WINDOWS}[[tariff.energy]]\nlabel = "Energy"\nprices = {{ day = "0.20", night = "0.10" }}\n'
