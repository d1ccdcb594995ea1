"""Gear: circuits by rule set, and equipment selected with reasons."""
