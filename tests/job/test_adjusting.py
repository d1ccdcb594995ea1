"""What is said of adjustments: a note on each that was applied, and a word on one that touches no day that was read."""

import pytest

from tests.proof.invented import CLOCK, Grain, before_and_after
from wattwright.core.show import Show
from wattwright.job import adjusting
from wattwright.proof.measurement import AdjustmentSpec

AFTER = before_and_after(Grain.DAY, days=28)[1]
"""28 days from 30 January 2023 on."""


@pytest.mark.parametrize(
    ("first", "until", "code"),
    [
        ("2023-02-10", "2023-02-12", "proof.adjusted"),
        ("2023-01-20", "2023-01-31", "proof.adjusted"),
        ("2023-01-20", "2023-01-30", "job.adjusts-nothing"),
        ("2023-02-27", "2023-03-10", "job.adjusts-nothing"),
        ("2024-02-10", "2024-02-12", "job.adjusts-nothing"),
    ],
)
def test_an_adjustment_beside_the_record_is_told(first, until, code):
    """One that lies before the first day that was read, after the last, or in another year changes nothing, and that is said."""
    event = {"from": first, "until": until, "leave_out": True, "why": "a loan", "agreed_by": "both"}
    agreed = [AdjustmentSpec.model_validate(event)]
    (told,) = adjusting.findings(AFTER, agreed, CLOCK)
    assert told.code == code
    assert "a loan" in told.says(Show())
    assert (len(adjusting.adjusted(AFTER, agreed, CLOCK)) < len(AFTER)) is (code == "proof.adjusted")
    assert len(adjusting.told(AFTER, agreed, CLOCK)) == (code == "proof.adjusted")
