"""Shed in time: whether an order to shed comes before the supply trips, and what becomes of the supply where it fails."""
