"""Proof: what a site would have used without the measures, how far that can be told, and what was saved."""
