"""JSON and JSON Lines in the shapes that exports have, and random series read back."""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.writing import Write
from wattwright.core.errors import RecordError
from wattwright.core.quantity import Quantity
from wattwright.record.read import read_record, read_records
from wattwright.record.record import Form
from wattwright.record.spec import ColumnSpec, LayoutSpec

ZONE = "Europe/Athens"
START = int(datetime(2025, 6, 12, 22, tzinfo=UTC).timestamp())
"""01:00 in Athens on 13 June 2025."""
HOURS = [f"2025-06-13T0{h}:00" for h in range(1, 5)]
KW = [1.5, 0.25, 3, 2.125]
SHAPES: dict[str, Any] = {
    "objects": [{"time": t, "P [kW]": v} for t, v in zip(HOURS, KW, strict=True)],
    "objects with an offset": [{"time": f"{t}:00+03:00", "P [kW]": v} for t, v in zip(HOURS, KW, strict=True)],
    "objects with seconds": [{"time": START + 3600 * i, "P [kW]": v} for i, v in enumerate(KW)],
    "objects with thousandths": [{"time": 1000 * (START + 3600 * i), "P [kW]": v} for i, v in enumerate(KW)],
    "objects with parts of seconds": [{"time": START + 3600 * i + 0.0, "P [kW]": v} for i, v in enumerate(KW)],
    "numbers as text": [{"time": t, "P [kW]": f"{v}"} for t, v in zip(HOURS, KW, strict=True)],
    "numbers as text with commas": [{"time": t, "P [kW]": f"{v}".replace(".", ",")} for t, v in zip(HOURS, KW, strict=True)],
    "unit beside": [{"time": t, "value": v, "unit": "kW"} for t, v in zip(HOURS, KW, strict=True)],
    "unit beside seconds": [{"time": START + 3600 * i, "value": v, "unit": "kW"} for i, v in enumerate(KW)],
    "objects within": [{"time": t, "load": {"value": v, "unit": "kW"}} for t, v in zip(HOURS, KW, strict=True)],
    "named objects within": [{"time": t, "main": {"P [kW]": v}} for t, v in zip(HOURS, KW, strict=True)],
    "under a name": {"site": "none", "readings": [{"time": t, "P [kW]": v} for t, v in zip(HOURS, KW, strict=True)]},
    "under two names": {"a": {"b": [{"time": t, "P [kW]": v} for t, v in zip(HOURS, KW, strict=True)]}},
    "lists by name": {"time": HOURS, "P [kW]": KW},
    "lists by name within": {"meter": "m", "data": {"time": HOURS, "P [kW]": KW}},
    "pairs with names": [["time", "P [kW]"], *([t, v] for t, v in zip(HOURS, KW, strict=True))],
    "names apart": {"columns": ["time", "P [kW]"], "data": [[t, v] for t, v in zip(HOURS, KW, strict=True)]},
}


@pytest.mark.parametrize("name", SHAPES)
def test_shapes(write: Write, name: str) -> None:
    """Four hours from 01:00 in Athens of 1.5, 0.25, 3 and 2.125 kW, in whatever shape."""
    series = read_record(write(json.dumps(SHAPES[name])), ZONE).channels[0].series
    assert (series.start_s, series.step_s, series.values.tolist()) == (START, 3600, [1500, 250, 3000, 2125])


def test_lines(write: Write) -> None:
    """An object in each line, some with a name that others lack, blank lines between."""
    rows = [{"time": t, "P [kW]": v} | ({"U [V]": 230} if v == 3 else {}) for t, v in zip(HOURS, KW, strict=True)]
    record = read_record(write("\n\n".join(json.dumps(row) for row in rows) + "\n"), ZONE)
    assert record.channels[0].series.values.tolist() == [1500, 250, 3000, 2125]
    assert record.channels[1].series.present.tolist() == [False, False, True, False]
    assert record.layout.encoding == "JSON Lines in utf-8"


def test_pairs_without_names(write: Write) -> None:
    """Pairs of milliseconds and a number: a person says what the second is."""
    said = ColumnSpec(column="2", quantity=Quantity.ACTIVE_POWER, form=Form.MEAN, unit="kW")
    pairs = {"data": [[1000 * (START + 3600 * i), v] for i, v in enumerate(KW)]}
    record = read_record(write(json.dumps(pairs)), ZONE, LayoutSpec(columns=(said,)))
    assert record.channels[0].series.values.tolist() == [1500, 250, 3000, 2125]


def test_nothing_is_missing(write: Write) -> None:
    """What is null, NaN or left out is missing; truth values are contacts."""
    text = '[{"t":"2025-06-13T01:00","kW":1,"on":true},{"t":"2025-06-13T02:00","kW":null,"on":false},'
    text += '{"t":"2025-06-13T03:00","kW":NaN,"on":true},{"t":"2025-06-13T04:00"}]'
    record = read_record(write(text), ZONE)
    assert record.channels[0].series.present.tolist() == [True, False, False, False]
    assert record.channels[1].meaning.quantity is Quantity.CONTACT
    assert record.channels[1].series.values[:3].tolist() == [1, 0, 1]


@pytest.mark.parametrize("shape", ["names", "objects"])
def test_two_meters(write: Write, shape: str) -> None:
    """Lists under two names, or objects that each hold a list, are two records."""
    rows = {m: [{"time": t, "P [kW]": v + i} for t, v in zip(HOURS, KW, strict=True)] for i, m in enumerate(("House", "Barn"))}
    document = rows if shape == "names" else [{"meter": m, "readings": r} for m, r in rows.items()]
    path = write(json.dumps(document))
    records = read_records(path, ZONE)
    found = [(r.channels[0].meter, r.channels[0].series.values[0]) for r in records]
    assert found == [("House", 1500), ("Barn", 2500)]
    assert read_record(path, ZONE, LayoutSpec(part="Barn")).channels[0].series.values[0] == 2500


def test_fault_names_the_item(write: Write) -> None:
    """A text among numbers is told with its item, a line of JSON Lines with its line."""
    rows = [{"time": t, "P [kW]": v} for t, v in zip(HOURS, [1.5, "fault", 3, 2], strict=True)]
    for text, place in ((json.dumps(rows), "item 2"), ("\n".join(map(json.dumps, rows)), "line 2")):
        with pytest.raises(RecordError, match=r"column P \[kW\]") as caught:
            read_record(write(text), ZONE)
        assert caught.value.faults[0].code == "record.number"
        assert place in str(caught.value.faults[0].place)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_random_series_come_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Any floats at any step, as objects, lists, pairs or lines, by seconds or by text in UTC, come back exactly.

    A number that loggers write for want of a reading may be taken out where the file has no codes of quality, but never silently.
    """
    step = data.draw(st.sampled_from([60, 300, 900, 1800, 3600]))
    floats = st.floats(-1e6, 1e6, allow_nan=False) | st.integers(-(10**6), 10**6) | st.none()
    values = [1.5, *data.draw(st.lists(floats, min_size=1, max_size=50)), 2.5]
    start = START // step * step
    times: list[object] = [start + step * i for i in range(len(values))]
    if data.draw(st.booleans()):
        times = [datetime.fromtimestamp(t, UTC).isoformat() for t in times]
    pairs = list(zip(times, values, strict=True))
    rows = [{"time": t, "P [W]": v} for t, v in pairs]
    shapes = [json.dumps(rows), json.dumps(rows, indent=1), "\n".join(map(json.dumps, rows)), json.dumps({"a": {"b": rows}}),
              json.dumps({"time": times, "P [W]": values}), json.dumps([["time", "P [W]"], *pairs])]  # fmt: skip
    path: Path = tmp_path_factory.mktemp("json") / "m.json"
    path.write_text(data.draw(st.sampled_from(shapes)))
    record = read_record(path, ZONE)
    series = record.channels[0].series
    assert (series.start_s, series.step_s) == (start, step)
    held = np.array([np.nan if v is None else v for v in values], float)
    np.testing.assert_array_equal(series.raw, held)
    marked = [one.data["value"] for one in record.findings if one.code == "record.marked-missing"]
    np.testing.assert_array_equal(series.values, np.where(np.isin(held, marked), np.nan, held))
