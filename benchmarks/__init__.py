"""Speed as ratios: ours against a plain reference doing the same within one run, so that the machine cancels out."""
