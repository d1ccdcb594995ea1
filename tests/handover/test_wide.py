"""Cells of figures: the text that is shown, the number itself, and how many decimals stand in the text."""

import pytest

from wattwright.core.show import Show
from wattwright.handover.wide import short


@pytest.mark.parametrize(
    ("value", "least", "text", "decimals"),
    [
        (3.0, 0.0, "3", 0), (3.6, 0.0, "3.6", 1), (0.004, 0.01, "< 0.01", 2), (0.0, 0.01, "0", 0), (0.25, 0.01, "0.25", 2),
        (1500.0, 0.0, "1,500", 0),
    ],
)  # fmt: skip
def test_a_short_cell_has_no_nought_at_its_end_and_claims_no_nought(value, least, text, decimals):
    """What a load used is not told as 0.00 kWh where it ran; the number stays whole for a workbook."""
    cell = short(Show(), value, least)
    assert (cell.text, cell.value, cell.decimals) == (text, value, decimals)


def test_a_short_cell_counts_decimals_whatever_the_mark():
    """A comma divides the figure in other languages."""
    assert (short(Show("de_DE"), 3.6).text, short(Show("de_DE"), 3.6).decimals) == ("3,6", 1)
