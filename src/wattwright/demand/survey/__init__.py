"""Whether a survey of loads adds up to what was measured."""
