"""The compiled cost is the exact bill without its roundings, and both agree with a plain twin."""

import math
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from tests.tariff import twin
from tests.tariff.strategies import ZONE, of_data, tariffs, usages, written
from wattwright.core.clock import SiteClock
from wattwright.tariff.bill import bill
from wattwright.tariff.compiled import compile_tariff, cost
from wattwright.tariff.lines import Group

CLOCK = SiteClock(ZONE)
HOLIDAYS = [date(2025, 3, 25), date(2025, 5, 1), date(2025, 10, 28), date(2025, 12, 25), date(2026, 1, 6)]
SLOW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def compiled_lines(tariff, usage):
    """Compiled cost by what each line is; blocks and parts are told apart by their order."""
    compiled = compile_tariff(tariff, usage.imported.times_s, usage.imported.step_s, CLOCK)
    found = cost(compiled, usage.imported.values, None if usage.exported is None else usage.exported.values)
    summed: dict[tuple[str, str, str, str], float] = {}
    for key, amount in zip(compiled.lines, found.by_line, strict=True):
        name = (key.name, key.group, key.period, key.month)
        summed[name] = summed.get(name, 0.0) + amount
    return summed, found


def exact_lines(one):
    """Amounts and numbers of lines of a bill, by what each line is."""
    summed: dict[tuple[str, str, str, str], list[Decimal]] = {}
    for line in one.lines:
        if line.group is not Group.ROUNDING:
            summed.setdefault((line.name, line.group, line.period, line.month), []).append(line.amount)
    return summed


@pytest.mark.kernel
@SLOW
@given(tariffs(rounding={"when": "never"}, billing={"energy_decimals": 6, "demand_decimals": 6}), usages())
def test_same_as_exact_before_rounding(tariff, usage) -> None:
    """Every line agrees within what six decimals of kWh and kW can do; prices are at most 10 per unit.

    A month has at most 31 days of 3 periods, each rounded by at most half a millionth, priced at most 1 per kWh; a levy of
    25 % on all lines adds a quarter of what those lines are off by.
    """
    slack = 31 * 3 * 0.5e-6 * 1.0 * 4
    exact = exact_lines(bill(tariff, usage, CLOCK))
    found, _ = compiled_lines(tariff, usage)
    assert set(exact) <= set(found)
    for name, amount in found.items():
        assert abs(float(sum(exact.get(name, []))) - amount) <= slack, name


@pytest.mark.kernel
@SLOW
@given(tariffs(rounding={"when": "each line"}, billing={"energy_decimals": 6, "demand_decimals": 6}), usages())
def test_within_half_a_cent_a_line(tariff, usage) -> None:
    """Rounded to the cent, each line of the exact bill lies within half a cent of the compiled one.

    Lines added together count each; a levy per cent also carries its share of the half cents of the lines it is taken of.
    """
    one = bill(tariff, usage, CLOCK)
    exact = exact_lines(one)
    found, _ = compiled_lines(tariff, usage)
    for name, amount in found.items():
        lines = max(1, len(exact.get(name, [])))
        base = sum(line.month == name[3] for line in one.lines) if name[0] == "VAT" else 0
        assert abs(float(sum(exact.get(name, []))) - amount) <= 0.005 * (lines + 0.25 * base) + 5e-4, name


@pytest.mark.kernel
@SLOW
@given(tariffs(), usages())
def test_months_and_lines_add_up(tariff, usage) -> None:
    """The compiled total is the sum of its lines and of its months."""
    _, found = compiled_lines(tariff, usage)
    assert math.isclose(found.total, math.fsum(found.by_line), abs_tol=1e-6)
    assert math.isclose(found.total, float(np.sum(found.by_month)), abs_tol=1e-6)


def by_first_day(amounts, start_day):
    """Amounts by (label, month), the month named as on the bill."""
    found: dict[tuple[str, str], float] = {}
    for (label, first), amount in amounts.items():
        found[label, f"{first:%Y-%m}" if start_day == 1 else first.isoformat()] = amount
    return found


@pytest.mark.kernel
@SLOW
@given(
    written(rounding={"when": "never"}, billing={"energy_decimals": 6, "demand_decimals": 6, "start_day": 1})
    | written(rounding={"when": "never"}, billing={"energy_decimals": 6, "demand_decimals": 6, "start_day": 15}),
    usages(),
)
def test_plain_twin_agrees(data, usage) -> None:
    """Compiled and exact amounts of each charge in each month are those of a plain walk over the intervals."""
    if (data["export"] or {}).get("netting") == "each bill":
        data = {**data, "export": {**data["export"], "netting": "none", "surplus": "paid"}}
    data = {**data, "holidays": {"add": HOLIDAYS}}
    tariff = of_data(data)
    sent = None if usage.exported is None else usage.exported.values
    plain = twin.costs(
        data, usage.start_s, usage.imported.step_s, usage.imported.values.tolist(), sent, ZONE, frozenset(HOLIDAYS)
    )
    plain = by_first_day(plain, data["billing"]["start_day"])
    compiled, exact = {}, {}
    for (name, _, _, month), amount in compiled_lines(tariff, usage)[0].items():
        compiled[name, month] = compiled.get((name, month), 0.0) + amount
    for (name, _, _, month), lines in exact_lines(bill(tariff, usage, CLOCK)).items():
        exact[name, month] = exact.get((name, month), 0.0) + float(sum(lines))
    assert set(plain) == set(compiled)
    for name, amount in plain.items():
        assert compiled[name] == pytest.approx(amount, abs=1e-6, rel=1e-7), name
        assert exact.get(name, 0.0) == pytest.approx(amount, abs=4e-4), name
