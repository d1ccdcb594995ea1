"""The invented property. Every name, reading and price in it is made up."""
