"""What a mean over an interval hides: the peaks behind it, as calibrated bands."""
