"""The command line: reads arguments, asks the rooms, shows what they say. No arithmetic here."""
