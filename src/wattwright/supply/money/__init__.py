"""Money over the years: what an investment is worth, when it comes back, and how sure that is."""
