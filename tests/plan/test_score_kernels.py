"""Sums in one pass over a run: as written plainly."""

from itertools import groupby

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.plan.score_kernels import longest_below


@pytest.mark.kernel
@given(values=st.lists(st.sampled_from([50.0, 59.0, 60.0, 71.5]), max_size=40), limit=st.sampled_from([40.0, 59.0, 60.0, 80.0]))
def test_the_longest_row_below_a_limit(values, limit):
    """As many in a row as a plain grouping counts; what stands at the limit is not below it, and none are of nothing."""
    wanted = max((len(list(ones)) for below, ones in groupby(one < limit for one in values) if below), default=0)
    assert longest_below(np.array(values, np.float64), limit) == wanted
    # A reader asks load by load for what was written step by step: every other value of a longer row.
    assert longest_below(np.repeat(np.array(values, np.float64), 2)[::2], limit) == wanted
