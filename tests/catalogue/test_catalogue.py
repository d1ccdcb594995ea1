"""What gear can be set to: the grid of its settings, and what of a rule it cannot hold."""

import pytest
from hypothesis import given, strategies as st
from pydantic import ValidationError

from wattwright.catalogue.fits import Asked, fits
from wattwright.catalogue.load import generic_gear, load_gear
from wattwright.catalogue.schema import Gear, Grid
from wattwright.core.errors import InputError
from wattwright.core.show import Show

GEAR = {one.id: one for one in generic_gear()}


@pytest.mark.parametrize(
    ("value", "nearest"), [(0.9, 1.0), (1.2, 1.0), (1.25, 1.0), (1.3, 1.5), (1.5, 1.5), (2.0, 2.0), (9.0, 2.0), (-5.0, 1.0)]
)
def test_nearest_setting(value, nearest) -> None:
    """From 1 to 2.2 in steps of 0.5 there are 1, 1.5 and 2; between two the lower, beyond them the last."""
    grid = Grid(least=1.0, most=2.2, step=0.5)
    assert grid.nearest(value) == pytest.approx(nearest)
    assert grid.holds(value) == (value == nearest)


@given(least=st.integers(-50, 50), count=st.integers(0, 400), step=st.sampled_from([0.1, 0.5, 1, 7]), value=st.floats(-500, 5000))
def test_nearest_is_nearest(least, count, step, value) -> None:
    """No value of the grid lies nearer than the nearest, and the nearest can be set."""
    grid = Grid(least=least, most=least + count * step, step=step)
    found = grid.nearest(value)
    assert grid.holds(found)
    assert abs(found - value) <= min(abs(least + k * step - value) for k in range(count + 1)) + 1e-6


WRONG = [
    ("wall-timer", Asked("limit", "site power"), ["cannot", "cannot"]),
    ("wall-timer", Asked("time programme", abilities=frozenset({"sun", "months", "holidays"})), ["cannot"] * 3),
    ("wall-timer", Asked("time programme", entries=29, loads=2), ["too-many", "too-many"]),
    ("wall-timer", Asked("time programme", times_s=[6.5 * 3600, 6.5 * 3600 + 20]), ["cannot-hold"]),
    ("thermostat", Asked("set point", "load value", thresholds={"the set point": 60.3}, differential=0.2), ["cannot-hold"] * 2),
    ("thermostat", Asked("set point", "load value", minimum_s={"the minimum off-time": 90}), ["cannot-hold"]),
    ("current-relay", Asked("limit", "current", delays_s={"the on-delay": 45}), ["cannot-hold"]),
    ("pulse-relay", Asked("repeat-cycle timer", cycle_s={"the time on": 0.5, "the time off": 60}), ["cannot-hold"]),
    ("wall-timer", Asked("time programme", cycle_s={"the time on": 60}), ["cannot"]),
    ("radio-switch", Asked("limit", "site power", interval_s=1.0, report_s=1.0, link_s=1.0), ["too-quick"] * 3),
]


@pytest.mark.parametrize(("gear", "asked", "codes"), WRONG)
def test_what_does_not_fit_is_said(gear, asked, codes) -> None:
    """Each setting that the class cannot hold gives a finding with whole sentences."""
    found = fits(asked, GEAR[gear])
    assert [one.code for one in found] == [f"catalogue.{code}" for code in codes]
    for one in found:
        assert all(text.endswith(".") for text in (one.says(Show()), one.why(Show()), one.do(Show())))


def test_the_nearest_is_named() -> None:
    """60.3 degC on a thermostat in steps of 0.5: the nearest is 60.5."""
    asked = Asked("set point", "outdoor temperature", thresholds={"the set point": 20.3})
    assert "at 20.3 °C; the nearest it can is 20.5." in fits(asked, GEAR["thermostat"])[0].says(Show())


RIGHT = [
    ("wall-timer", Asked("time programme", entries=28, times_s=[23_400, 0, 86_340])),
    ("sun-timer", Asked("time programme", abilities=frozenset({"sun", "months", "holidays"}))),
    ("thermostat", Asked("set point", "load value", thresholds={"the set point": 60.5}, differential=5, minimum_s={"off": 300})),
    ("voltage-relay", Asked("limit", "voltage", thresholds={"pick-up": 253, "drop-out": 250}, delays_s={"on": 0.3}, entries=2)),
    ("priority-relay", Asked("shedding", "current", thresholds={"pick-up": 63}, loads=3, entries=3)),
    ("radio-switch", Asked("limit", "site power", interval_s=10, report_s=5, link_s=2.05)),
    ("programmable", Asked("repeat-cycle timer", cycle_s={"on": 0.3}, thresholds={"none": 1.234})),
]


@pytest.mark.parametrize(("gear", "asked"), RIGHT)
def test_what_fits_gives_no_finding(gear, asked) -> None:
    """Settings on the grid, within what the class sees and takes, fit."""
    assert fits(asked, GEAR[gear]) == ()


def test_generic_classes_say_where_they_come_from() -> None:
    """Each has an id of its own and a source; each kind of rule has a class that works it, and what is seen has an owner."""
    assert len(GEAR) == len(generic_gear())
    assert all(one.source for one in generic_gear())
    worked = {function for one in generic_gear() for function in one.functions}
    assert worked == {"time programme", "repeat-cycle timer", "limit", "set point", "shedding"}
    assert all(set(one.thresholds) <= set(one.sees) for one in generic_gear())


def test_a_file_of_ones_own_is_read(tmp_path) -> None:
    """A user's file replaces the generic one; faults are told with their lines."""
    path = tmp_path / "gear.toml"
    path.write_text('[[gear]]\nid = "mine"\nname = "my timer"\nfunctions = ["time programme"]\nsource = "data sheet"\n')
    assert [one.id for one in load_gear(path)] == ["mine"]
    assert isinstance(load_gear(path)[0], Gear)
    path.write_text('[[gear]]\nid = "mine"\nname = "my timer"\nfunctions = ["coffee"]\nsource = "data sheet"\n')
    with pytest.raises(InputError, match="line 4"):
        load_gear(path)


def test_a_grid_runs_upwards() -> None:
    """A grid whose end lies before its beginning is refused."""
    with pytest.raises(ValidationError, match="Exchange"):
        Grid(least=2, most=1, step=1)
