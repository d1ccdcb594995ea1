"""Equipment to buy, by ratings only.

The generic range that comes with the program, and the user's own beside or instead of it.
"""
