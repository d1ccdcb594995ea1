"""Columns by their distinct texts: the quick way by letters finds what a plain look-up finds."""

import polars as pl
import pytest
from hypothesis import given, strategies as st

from wattwright.record.readers import distinct as module
from wattwright.record.readers.distinct import Distinct, distinct, split


def plain(texts: list[str]) -> tuple[list[str], list[int], list[int]]:
    """The distinct texts, the code of each row and where each first stands, one row at a time."""
    known: dict[str, int] = {}
    codes, first = [], []
    for row, text in enumerate(texts):
        key = text.strip()
        if key not in known:
            known[key] = len(known)
            first.append(row)
        codes.append(known[key])
    return list(known), codes, first


def told(found: Distinct) -> tuple[list[str], list[int], list[int]]:
    return found.texts, found.codes.tolist(), found.first


@given(st.lists(st.text(alphabet="0123:é/ APM", max_size=9), min_size=1, max_size=40), st.integers(1, 7))
def test_as_a_plain_look_up(texts: list[str], chunk: int) -> None:
    """Whatever letters and widths the texts have, and however they are cut into chunks."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "_CHUNK", chunk)
        assert told(distinct(pl.Series(texts, dtype=pl.String))) == plain(texts)


@given(st.lists(st.text(alphabet="0123456789abcdef", min_size=12, max_size=12), min_size=2, max_size=60))
def test_texts_that_differ_in_too_many_ways(texts: list[str]) -> None:
    """Where the letters leave more ways than a table holds, the texts are looked up one by one, with the same answer."""
    assert told(distinct(pl.Series(texts))) == plain(texts)


@pytest.mark.parametrize(
    ("stamps", "days", "clocks"),
    [
        (["2025-03-01 00:00", "2025-03-01 00:01", "2025-03-02 00:00"], ["2025-03-01", "2025-03-02"], ["00:00", "00:01"]),
        (["3/9/2025 11:59 PM", "3/10/2025 1:00 AM"], ["3/9/2025", "3/10/2025"], ["11:59 PM", "1:00 AM"]),
        (["1/10/2025 1:00", "10/1/2025 1:00"], ["1/10/2025", "10/1/2025"], ["1:00"]),
        (["20250301T0000Z", "20250301T0100Z"], ["20250301"], ["T0000Z", "T0100Z"]),
        (["1 Mar 2025 00:00", "11 Mar 2025 1:00"], ["1 Mar 2025", "11 Mar 2025"], ["00:00", "1:00"]),
        (["1 März 2025 00:00", "2 März 2025 00:00"], ["1 März 2025", "2 März 2025"], ["00:00"]),
        (["2025-03-01 00:00", "2025-03-02T00:00"], ["2025-03-01", "2025-03-02"], ["00:00", "T00:00"]),
        (["2025-03-01 00:00", "nothing"], ["2025-03-01", ""], ["00:00", ""]),
        (["no stamp at all", "2025-03-01 00:00"], ["", "2025-03-01"], ["", "00:00"]),
    ],
)
def test_stamps_are_cut_into_date_and_time(stamps: list[str], days: list[str], clocks: list[str]) -> None:
    """Stamps of one width, of several widths, with blanks in the date or none at all; what is no stamp gives empty texts."""
    day, clock = split(pl.Series(stamps))
    assert (day.texts, clock.texts) == (days, clocks)
    assert [days[code] for code in day.codes] == [next((d for d in days if d and one.startswith(d)), "") for one in stamps]
