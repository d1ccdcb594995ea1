"""Small programs the Makefile calls; none of them is part of the package."""
