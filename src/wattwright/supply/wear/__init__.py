"""How batteries age: cycles counted, the years until one must be replaced, and what cold and haste leave of its charge."""
