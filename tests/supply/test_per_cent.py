"""Shares as findings tell them."""

import pytest

from wattwright.supply.per_cent import per_cent


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.0, 0.0), (1.0, 100.0), (0.8, 80.0), (0.02304, 2.3), (1e-6, 0.1), (0.99999, 99.9), (-0.281, -28.1), (1.5, 150.0)],
)
def test_a_share_has_one_decimal_and_is_never_none_or_all_that_is_not(share, told):
    """By hand."""
    assert per_cent(share) == told
