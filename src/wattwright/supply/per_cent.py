"""Shares as findings tell them: no more digits than anybody would say."""


def per_cent(share: float) -> float:
    """Return a share of 1 in per cent with one decimal at most; what is not quite none or all of it is not told as that.

    Raises nothing.
    """
    told = round(100.0 * share, 1)
    if 0.0 < share < 1.0:
        return min(max(told, 0.1), 99.9)
    return told
