"""The compiled cost is the exact bill without its roundings, and both agree with a plain twin."""

import math
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from tests.tariff import twin
from tests.tariff.strategies import ZONE, of_data, tariffs, usages, written
from tests.tariff.texts import DAY_AND_NIGHT
from wattwright.core.clock import SiteClock
from wattwright.core.errors import TariffError
from wattwright.tariff.bill import bill
from wattwright.tariff.compiled import compile_tariff, cost
from wattwright.tariff.lines import Group
from wattwright.tariff.schema import TariffSpec
from wattwright.tariff.tariff import joined
from wattwright.tariff.usage import PriorDemand

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


DEMAND = '[[tariff.demand]]\nlabel = "Demand"\nprice = "2"\nwindow = "60 min"\n'
KVA = 'quantity = "kVA"\n'
VAT = '[[tariff.levy]]\nlabel = "Levy"\nprice = "0.05"\n[[tariff.levy]]\nlabel = "VAT"\npercent = "10"\n'


def grid(usage):
    """Starts and step of a usage."""
    return usage.imported.times_s, usage.imported.step_s


@pytest.mark.kernel
def test_cost_by_hand(tariff, athens, steady) -> None:
    """1 kW all June: 16 x 30 kWh at 0.20, 8 x 30 at 0.10, 2 for the demand, 12 entered; 720 x 0.05; 10 % of 170: 187."""
    usage = steady("2025-06-01", "2025-07-01")
    fee = '[[tariff.entered]]\nlabel = "Fee"\namount = "12"\n'
    found = cost(compile_tariff(tariff(DAY_AND_NIGHT + DEMAND + fee + VAT), *grid(usage), athens), usage.imported.values)
    assert found.by_line == pytest.approx([96.0, 24.0, 2.0, 12.0, 36.0, 17.0])
    assert found.total == pytest.approx(187.0)
    assert found.by_month == pytest.approx([187.0])


@pytest.mark.kernel
def test_ratchet_with_months_before(tariff, athens, steady) -> None:
    """10 kW in the November before at 80 % over two months: 8 kW in December and January, 1 kW measured in February."""
    text = DAY_AND_NIGHT + DEMAND + 'ratchet = { share = "0.80", months = 2 }\n'
    usage = steady("2024-12-01", "2025-03-01")
    prior = (PriorDemand("Demand", "2024-11", Decimal(10)), PriorDemand("Demand", "2023-01", Decimal(99)))
    found = cost(compile_tariff(tariff(text), *grid(usage), athens, prior), usage.imported.values)
    # January looks back to November, February to December and January, whose measured demand was 1 kW.
    demand = [found.by_line[index] for index in (2, 5, 8)]
    assert demand == pytest.approx([16.0, 16.0, 2.0])


def test_price_of_one_more_kwh(tariff, athens, steady) -> None:
    """Day 0.20 and night 0.10, 0.05 more per kWh, 10 % on all: 0.275 and 0.165; exported 0.08 with the 10 %: 0.088."""
    usage = steady("2025-06-03", "2025-06-04")
    text = DAY_AND_NIGHT + '[tariff.export]\nlabel = "Export"\nprice = "0.08"\n' + VAT
    compiled = compile_tariff(tariff(text), *grid(usage), athens)
    assert compiled.import_price == pytest.approx([0.165] * 6 + [0.275] * 16 + [0.165] * 2)
    assert compiled.export_price == pytest.approx([0.088] * 24)
    netted = compile_tariff(tariff(text.replace('price = "0.08"', 'price = "0.08"\nnetting = "each bill"')), *grid(usage), athens)
    assert netted.export_price == pytest.approx(netted.import_price)


@pytest.mark.kernel
@pytest.mark.parametrize(("rule", "billed"), [("", 4.0), ('target_power_factor = "0.90"\n', 4.5), (KVA, 5.0)])
def test_power_factor_only_as_assumed(tariff, athens, steady, rule: str, billed: float) -> None:
    """4 kW at an assumed power factor of 0.8: 4 kW, 4 x 0.90 / 0.8 kW, or 5 kVA, at 2 each for a whole month."""
    usage = steady("2025-06-01", "2025-07-01", 4000.0)
    found = cost(
        compile_tariff(tariff(DAY_AND_NIGHT + DEMAND + 'assumed_power_factor = "0.8"\n' + rule), *grid(usage), athens),
        usage.imported.values,
    )
    assert found.by_line[2] == pytest.approx(2 * billed)


@pytest.mark.parametrize(
    ("text", "start", "step_s", "code"),
    [
        (DAY_AND_NIGHT.replace("22:00", "22:30"), "2025-06-03", 3600, "tariff.cut"),
        (DAY_AND_NIGHT, "2025-06-03 00:30", 3600, "tariff.cut"),
        (DAY_AND_NIGHT + DEMAND.replace("60", "15"), "2025-06-03", 600, "tariff.cut-window"),
        (DAY_AND_NIGHT + DEMAND.replace("60", "15") + KVA, "2025-06-03", 900, "tariff.no-reactive"),
        (DAY_AND_NIGHT + '[[tariff.reactive]]\nlabel = "Reactive"\nprice = "1"\n', "2025-06-03", 900, "tariff.compile-reactive"),
    ],
)
def test_what_cannot_be_compiled_is_refused(tariff, athens, second, text: str, start: str, step_s: int, code: str) -> None:
    """Cut intervals, cut windows and charges on power nobody plans are refused with a sentence, never priced wrongly."""
    starts_s = second(start) + step_s * np.arange(86_400 // step_s)
    with pytest.raises(TariffError) as caught:
        compile_tariff(tariff(text), starts_s, step_s, athens)
    assert [fault.code for fault in caught.value.faults] == [code]
    assert code == "tariff.cut" or "tariff.toml, line " in caught.value.faults[0].sentence()


@pytest.mark.parametrize("starts", [[], [0, 3600, 10_800]])
def test_intervals_must_follow_one_another(tariff, athens, starts: list[int]) -> None:
    """No interval, or a hole between two, is no grid."""
    with pytest.raises(TariffError, match="follow one another"):
        compile_tariff(tariff(DAY_AND_NIGHT), np.array(starts), 3600, athens)


def test_series_must_fit_the_grid(tariff, athens, steady) -> None:
    """A power series of another length is refused."""
    usage = steady("2025-06-03", "2025-06-04")
    compiled = compile_tariff(tariff(DAY_AND_NIGHT), *grid(usage), athens)
    with pytest.raises(ValueError, match="24 intervals"):
        cost(compiled, np.zeros(23))
    with pytest.raises(ValueError, match="24 intervals"):
        cost(compiled, np.zeros(24), np.zeros(23))


@pytest.mark.kernel
@SLOW
@given(written(rounding={"when": "never"}, billing={"energy_decimals": 6, "demand_decimals": 6}), usages(missing=False))
def test_two_versions_within_the_record(data, usage) -> None:
    """With versions changing on four days, the compiled lines are still those of the exact bill."""
    switches = [date(2025, 4, 1), date(2025, 5, 20), date(2025, 10, 20), date(2026, 1, 15)]
    edges = zip([None, *switches], [*switches, None], strict=True)
    charges = [
        {**data["energy"][0], "prices": {name: str(Decimal(price) / 2) for name, price in data["energy"][0]["prices"].items()}}
    ]
    versions = []
    for index, (first, after) in enumerate(edges):
        one = {**data, "from": first, "to": after and after - timedelta(days=1)}
        versions.append(TariffSpec.model_validate({**one, "energy": charges} if index % 2 else one))
    tariff = joined(versions)[0]
    exact = exact_lines(bill(tariff, usage, CLOCK))
    found, _ = compiled_lines(tariff, usage)
    assert set(exact) <= set(found)
    for name, amount in found.items():
        assert abs(float(sum(exact.get(name, []))) - amount) <= 4e-4, name


NET = """[[tariff.energy]]
label = "Energy"
price = "0.30"
[tariff.export]
label = "Export"
price = "0.10"
netting = "each bill"
"""


@pytest.mark.kernel
@pytest.mark.parametrize(
    ("rule", "amounts"),
    [
        # 100 kWh sent in January, 60 drawn in February, 90 in March.
        ('surplus = "carried"\n', [0.0, 0.0, 15.0]),
        ('surplus = "carried"\nsettlement_month = 1\n', [-10.0, 18.0, 27.0]),
        ('surplus = "carried"\nsettlement_month = 2\nat_settlement = "lost"\n', [0.0, 0.0, 27.0]),
        ('surplus = "paid"\n', [-10.0, 18.0, 27.0]),
        ('surplus = "lost"\n', [0.0, 18.0, 27.0]),
    ],
)
def test_carried_by_hand(tariff, athens, second, rule: str, amounts: list[float]) -> None:
    """What is sent more than drawn is carried, paid or lost, by hand at 0.30 and 0.10."""
    edges = [second(f"2025-0{month}-01") for month in (1, 2, 3, 4)]
    counts = np.diff(edges) // 3600
    power = np.repeat(1000.0 * np.array([-100, 60, 90]) / counts, counts)
    compiled = compile_tariff(tariff(NET + rule), edges[0] + 3600 * np.arange(len(power)), 3600, athens)
    assert cost(compiled, power).by_month == pytest.approx(amounts, abs=1e-9)
