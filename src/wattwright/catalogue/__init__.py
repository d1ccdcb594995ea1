"""Generic equipment: what classes of controllers and gear can be set to."""
