"""Columns parsed as numbers at once: only where the decimal mark is beyond doubt, and with the same outcome as through text."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.writing import Write
from wattwright.core.clock import SiteClock
from wattwright.core.errors import RecordError
from wattwright.record.read import read_record
from wattwright.record.readers.door import open_path
from wattwright.record.readers.table import Table
from wattwright.record.spec import LayoutSpec


def lines(numbers: list[str], sign: str = ";", date: str = "13.06.2025") -> str:
    return "\n".join([f"Stamp{sign}P [W]", *(f"{date} 00:{m:02d}{sign}{n}" for m, n in enumerate(numbers)), ""])


def table(path: Path, said: LayoutSpec | None = None) -> Table:
    data = open_path(path, said or LayoutSpec(), SiteClock("UTC")).pieces[0].data
    assert isinstance(data, Table)
    return data


@pytest.mark.parametrize(
    ("numbers", "sign", "date", "mark"),
    [
        (["1,5", "2,25", "0,5"], ";", "13.06.2025", ","),
        (["1.5", "2.25", "0.5"], ";", "13.06.2025", "."),
        (["1.5", "2.25", "0.5"], ",", "13.06.2025", "."),
        (["1,234", "0,5", "2,125"], ";", "2025-06-13", ","),
        (["1.5", "", "0.5"], ";", "13.06.2025", "."),
        (["1.5", "NA", "0.5"], ";", "13.06.2025", ""),
        (["1.5", "inf", "0.5"], ";", "13.06.2025", ""),
        (["1.5", "1e999", "0.5"], ";", "13.06.2025", ""),
        (["1.234,5", "2,25", "0,5"], ";", "13.06.2025", ""),
        (["1,234", "2,250", "1,500"], ";", "13.06.2025", ""),
        (["1.234", "2.250", "1.500"], ";", "13.06.2025", ""),
        (["1.5", "2,25", "0.5"], ";", "13.06.2025", ""),
        (["15", "25", "5"], ";", "13.06.2025", ""),
    ],
)
def test_only_beyond_doubt(write: Write, numbers: list[str], sign: str, date: str, mark: str) -> None:
    """The mark is certain where the other is absent and one number shows it; anything odd falls back to text."""
    found = table(write(lines(numbers, sign, date)))
    assert (found.decimal, found.is_typed(1)) == (mark, bool(mark))


def test_a_person_who_says_the_mark_is_heard(write: Write) -> None:
    """With a decimal mark said, the numbers are read by it, as text."""
    path = write(lines(["1.5", "2.25", "0.5"]))
    assert not table(path, LayoutSpec(decimal=",")).is_typed(1)
    with pytest.raises(RecordError):
        read_record(path, "UTC", LayoutSpec(decimal=","))


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_same_as_through_text(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """A quoted number sends the file through text: both ways give the same bits, the same marks and the same findings."""
    mark = data.draw(st.sampled_from([",", "."]))
    digits = data.draw(st.integers(1, 4))
    numbers = data.draw(st.lists(st.integers(-(10**7), 10**7), min_size=3, max_size=40))
    texts = [f"{n / 10**digits:.{digits}f}".replace(".", mark) for n in numbers]
    blank = data.draw(st.integers(0, len(texts) - 1))
    texts[blank] = data.draw(st.sampled_from(["", texts[blank]]))
    folder = tmp_path_factory.mktemp("typed")
    outcomes = []
    for name, shown in (("plain", texts), ("quoted", [f'"{texts[0]}"', *texts[1:]])):
        path = folder / name / "m.csv"
        path.parent.mkdir()
        path.write_text(lines(shown))
        try:
            record = read_record(path, "UTC")
        except RecordError as error:
            outcomes.append(str(error))
            continue
        told = [(f.code, {k: v for k, v in f.data.items() if k != "found"}) for f in record.findings]
        outcomes.append(
            (record.channels[0].series.raw.tobytes(), record.layout.decimal, told, np.nansum(record.channels[0].series.raw))
        )
    assert outcomes[0] == outcomes[1]
