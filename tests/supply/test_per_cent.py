"""Shares and amounts as findings tell them."""

import pytest

from wattwright.supply.per_cent import per_cent, significant, two_digits


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.0, 0.0), (1.0, 100.0), (0.8, 80.0), (0.02304, 2.3), (1e-6, 0.1), (0.99999, 99.9), (-0.281, -28.1), (1.5, 150.0)],
)
def test_a_share_has_one_decimal_and_is_never_none_or_all_that_is_not(share, told):
    """By hand."""
    assert per_cent(share) == told


@pytest.mark.parametrize(
    ("share", "beside", "told"),
    [
        (0.0103, None, 1.0), (0.0103, 0.01, 1.03), (0.01, 0.0103, 1.0), (0.01042, 0.0104, 1.042), (0.0104, 0.01042, 1.04),
        (0.0016, None, 0.16), (0.1234, None, 12.0), (0.1234, 0.1234, 12.0), (0.05, 0.01, 5.0), (0.0, 0.0, 0.0), (0.0, 0.01, 0.0),
        (1e-6, 0.0, 0.1), (0.99999, None, 99.9), (1.0, None, 100.0), (-0.326, None, -33.0), (0.01 + 1e-12, 0.01, 1.0),
    ],
)  # fmt: skip
def test_a_share_has_two_digits_and_as_many_more_as_tell_it_from_another(share, beside, told):
    """By hand: 1.03 % of 1 % that was asked is not told as 1 %."""
    assert two_digits(share, beside) == told


@pytest.mark.parametrize(("value", "told"), [(3186.4, 3186.0), (31.864, 32.0), (3.1864, 3.2), (0.0, 0.0), (-0.0316, -0.032)])
def test_an_amount_has_two_digits_and_its_whole_part(value, told):
    """By hand."""
    assert significant(value) == told
