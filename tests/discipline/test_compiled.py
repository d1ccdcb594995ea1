"""Tests marked ``kernel`` run twice, compiled and as plain Python; this is what tells the two passes apart."""

import os

import numba
import numpy as np
import pytest


@pytest.mark.kernel
def test_pass_is_the_one_it_says() -> None:
    """With NUMBA_DISABLE_JIT=1 a decorated function stays plain, so its lines are seen; without it, it compiles."""

    @numba.njit
    def total(values):
        result = 0.0
        for value in values:
            result += value
        return result

    assert total(np.array([1.0, 2.0, 4.0])) == 7.0  # 1 + 2 + 4
    plain = os.environ.get("NUMBA_DISABLE_JIT") == "1"
    assert hasattr(total, "signatures") is not plain
