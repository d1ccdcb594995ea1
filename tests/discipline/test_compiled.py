"""Tests marked ``kernel`` run twice, compiled and as plain Python; this is what tells the two passes apart."""

import os
from pathlib import Path

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


def test_the_plain_pass_reads_every_file_with_such_tests(request: pytest.FixtureRequest) -> None:
    """``make unit`` finds the files of marked tests by these words, so a test may be marked in no other way."""
    marked = {item.path for item in request.session.items if item.get_closest_marker("kernel")}
    assert Path(__file__) in marked
    assert [path for path in sorted(marked) if "mark.kernel" not in path.read_text(encoding="utf-8")] == []
