"""What contacts do, held to tables written by hand from what relays, timers and controllers of each kind do."""

import tomllib
from pathlib import Path

import pytest

from tests.control.stories import LOADS, Site, at, told_at
from wattwright.control.rules import Control

pytestmark = pytest.mark.kernel
TABLES = sorted((Path(__file__).parent / "tables").glob("*.toml"))


def rows():
    for path in TABLES:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        for number, row in enumerate(table["rows"], 1):
            yield pytest.param(table, row, id=f"{path.stem}-{number}")


def control(table, row) -> Control:
    """The settings of the table, with those of the row written over its first rule, actuator or what it is about."""
    given = {
        key: table[key] for key in ("rule", "actuator", "interlock", "override", "shedding", "stagger", "returns") if key in table
    }
    about = table["about"]
    if about in ("rule", "actuator", "interlock", "override"):
        first, *others = given.get(about, [{}])
        given[about] = [{**first, **row.get("set", {})}, *others]
    elif about == "shedding":
        given[about] = {**given[about], **row.get("set", {})}
    return Control.model_validate({**given, **row.get("also", {})})


@pytest.mark.parametrize(("table", "row"), list(rows()))
def test_row(table, row) -> None:
    """Every second of its story each contact is as the row says."""
    site = Site(control(table, row))
    wanted = row["contact"] if isinstance(row["contact"], dict) else {"a": row["contact"]}
    for second in range(row.get("until", 60)):
        site.step(second, told_at(row.get("story", {}), second))
        found = {load: "closed" if closed else "open" for load, closed in zip(LOADS, site.contacts(), strict=True)}
        for load, text in wanted.items():
            assert found[load] == at(text, second), f"{row['says']}: {load} at {second} s, because of {site.why()}"


def test_tables_are_long_enough() -> None:
    """There are at least 150 rows in all, and no two rows of a table say the same."""
    every = [param.values for param in rows()]
    assert len(every) >= 150
    assert len({(table["title"], row["says"]) for table, row in every}) == len(every)
