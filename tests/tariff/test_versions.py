"""A bill whose month has two versions of a tariff is one bill: maxima, blocks, netting and free shares go on through it."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.tariff.strategies import ZONE, of_data, usages, written
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.tariff.bill import bill
from wattwright.tariff.compiled import compile_tariff, cost
from wattwright.tariff.lines import Group
from wattwright.tariff.load import parse_tariff
from wattwright.tariff.schema import TariffSpec
from wattwright.tariff.tariff import joined
from wattwright.tariff.usage import Usage

D = Decimal
CLOCK = SiteClock(ZONE)
FREE = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0"\n'


def versions(first: str, second: str = "", head: str = ""):
    """A tariff that changes on 16 June 2025, from one text to another or to the same."""
    days = ("to = 2025-06-15", "from = 2025-06-16")
    texts = zip(days, (first, second or first), strict=True)
    return parse_tariff(
        "".join(f'[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n{head}{day}\n{text}' for day, text in texts)
    ).tariff()


def june(second, halves):
    """Hours of June 2025: two means in W, one before and one after the change."""
    return Usage(of_values(second("2025-06-01"), 3600, np.repeat(np.array(halves, np.float64), 360)))


def compiled_total(tariff, usage, clock) -> float:
    """The same bill from the compiled tariff."""
    found = compile_tariff(tariff, usage.imported.times_s, usage.imported.step_s, clock)
    return cost(found, usage.imported.values, None if usage.exported is None else usage.exported.values).total


def demand(rest: str) -> str:
    """A demand charge and free energy."""
    return f'{FREE}[[tariff.demand]]\nlabel = "Demand"\nwindow = "60 min"\n{rest}\n'


WHOLE = 'part_month = "whole"\nprice = "5"'


@pytest.mark.kernel
@pytest.mark.parametrize(
    ("first", "second_text", "total"),
    [
        (WHOLE, WHOLE, "50"),  # 10 kW for one month at 5
        ('price = "5"', 'price = "5"', "50"),
        (WHOLE, WHOLE.replace("5", "7"), "60"),  # 15 of 30 days at 5, 15 at 7: 10 x (2.5 + 3.5)
        (WHOLE, WHOLE + '\nminimum = "12"', "55"),  # 10 x 0.5 x 5 + 12 x 0.5 x 5
        (WHOLE.replace("whole", "by days"), WHOLE.replace("5", "1"), "30"),  # 10 x (2.5 + 0.5)
    ],
)
def test_demand_of_the_whole_bill(athens, second, first: str, second_text: str, total: str) -> None:
    """10 kW in the first half, 1 kW in the second: the maximum is the bill's, each price for its share of the days."""
    tariff, usage = versions(demand(first), demand(second_text)), june(second, [10_000, 1000])
    one = bill(tariff, usage, athens)
    assert one.total == D(total)
    assert [figure.measured for figure in one.demands] == [D(10), D(10)]
    assert compiled_total(tariff, usage, athens) == pytest.approx(float(total))


def test_part_of_a_month_in_two_versions_charged_whole(athens, second) -> None:
    """10 to 19 June: 6 of its 10 days under 5, 4 under 10, at 2 kW, charged whole: 2 x (0.6 x 5 + 0.4 x 10) = 14."""
    tariff = versions(demand(WHOLE), demand(WHOLE.replace("5", "10")))
    usage = Usage(of_values(second("2025-06-10"), 3600, np.full(240, 2000.0)))
    assert bill(tariff, usage, athens).total == D(14)


def test_record_of_two_seconds(athens, second) -> None:
    """A second on each side of the change rounds to no day at all: the minimum of 1 kW is still charged once, 5."""
    usage = Usage(of_values(second("2025-06-16") - 1, 1, np.ones(2)))
    assert bill(versions(demand(WHOLE + '\nminimum = "1"')), usage, athens).total == D(5)


@pytest.mark.kernel
def test_demand_counts_where_its_charge_holds(athens, second) -> None:
    """The charge begins on the 16th: the 10 kW before it do not count, 1 kW for half the month at 5 is 2.50."""
    tariff, usage = versions(FREE, demand(WHOLE)), june(second, [10_000, 1000])
    assert bill(tariff, usage, athens).total == D("2.50")
    assert compiled_total(tariff, usage, athens) == pytest.approx(2.5)


@pytest.mark.kernel
def test_rolling_window_over_the_change(athens, second) -> None:
    """4 kW from 23:30 to 00:30 at the change, measured over rolling hours: 4 kW, not the 2 kW of a window cut in two."""
    power = np.zeros(1440)
    power[15 * 48 - 1 : 15 * 48 + 1] = 4000.0
    usage = Usage(of_values(second("2025-06-01"), 1800, power))
    tariff = versions(demand('price = "1"\nalign = "rolling"'))
    one = bill(tariff, usage, athens)
    assert [figure.measured for figure in one.demands] == [D(4), D(4)]
    assert compiled_total(tariff, usage, athens) == pytest.approx(4.0)


def test_power_factor_of_the_whole_month(athens, second) -> None:
    """4 kW with 6 kvar, then none: 2880 kWh and 2160 kvarh are a factor of 0.8, so 4 x 0.90 / 0.8 = 4.5 kW at 1."""
    usage = june(second, [4000, 4000])
    usage = replace(usage, reactive=june(second, [6000, 0]).imported)
    one = bill(versions(demand('price = "1"\ntarget_power_factor = "0.90"')), usage, athens)
    assert one.total == D("4.5")


def test_leading_var_are_not_set_against_lagging_ones(athens, second) -> None:
    """4 kW with 6 kvar lagging, then 6 kvar leading: the factor is 0.8 again, not 1; so 4.5 kW at 1."""
    usage = june(second, [4000, 4000])
    usage = replace(usage, reactive=june(second, [6000, -6000]).imported)
    one = bill(versions(demand('price = "1"\ntarget_power_factor = "0.90"')), usage, athens)
    assert one.total == D("4.5")
    leading = replace(usage, reactive=june(second, [-3000, -3000]).imported)
    assert bill(versions(demand('price = "1"\ntarget_power_factor = "0.90"')), leading, athens).total == D(4)


def half_past(second, watts, start="2025-05-31 22:30"):
    """Hours that begin at half past, the second of which is cut by the turn to June."""
    return of_values(second(start), 3600, np.array(watts, np.float64))


def test_demand_of_an_interval_cut_by_the_bill(athens, second) -> None:
    """Hours 22:30, 23:30, 00:30: 9 kW in the middle one are the maximum of both months.

    The record's hours are as long as the window, so each is a window of its own.
    """
    usage = Usage(half_past(second, [1000, 9000, 1000]))
    one = bill(versions(demand('price = "1"')), usage, athens)
    assert [(figure.month, figure.measured) for figure in one.demands] == [("2025-05", D(9)), ("2025-06", D(9))]
    assert [figure.at_s for figure in one.demands] == [second("2025-05-31 23:30"), second("2025-06-01")]


def test_last_hour_of_a_bill_is_not_on_the_next(athens, second) -> None:
    """9 kW in the last hour of May, 1 kW before and after: May's maximum is 9 kW, June's 1 kW."""
    usage = Usage(of_values(second("2025-05-31 22:00"), 3600, np.array([1000.0, 9000.0, 1000.0])))
    one = bill(versions(demand('price = "1"')), usage, athens)
    assert [figure.measured for figure in one.demands] == [D(9), D(1)]


@pytest.mark.kernel
def test_demand_after_netting_within_the_interval(athens, second) -> None:
    """3 kW drawn and 1 sent at once are 2 kW where the version nets each interval (from the 16th), 3 kW where it does not.

    Before the change 2.5 kW are drawn, so the bill's maximum is 2.5 kW; with netting in the first half only it is 3 kW.
    """
    usage = replace(june(second, [2500, 3000]), exported=june(second, [0, 1000]).imported)
    charge, free = demand('price = "1"'), '[tariff.export]\nlabel = "Export"\nprice = "0"\n'
    for first, after, kw in (("none", "each interval", "2.5"), ("each interval", "none", "3")):
        tariff = versions(*(f'{charge}{free}netting = "{rule}"\n' for rule in (first, after)))
        assert bill(tariff, usage, athens).total == D(kw)
        assert compiled_total(tariff, usage, athens) == pytest.approx(float(kw))


def test_window_over_an_interval_cut_by_the_bill(athens, second) -> None:
    """Intervals of 30 min from 22:45: the clock's hour from 23:00 has 15 min at 2, 30 at 4 and 15 at 8 kW, 4.5 kW in all.

    June's first hour has 15 min at 8 kW, 30 at 0 and 15 at 4: 3 kW.
    """
    series = of_values(second("2025-05-31 22:45"), 1800, np.array([2000.0, 4000.0, 8000.0, 0.0, 4000.0]))
    one = bill(versions(demand('price = "1"')), Usage(series), athens)
    assert [figure.measured for figure in one.demands] == [D("4.5"), D(3)]


def test_reactive_energy_of_an_interval_cut_by_the_bill(athens, second) -> None:
    """Three kvar from 22:30 to 01:30 are 4.5 kvarh in each month, like the energy beside them."""
    text = FREE + '[[tariff.reactive]]\nlabel = "Reactive"\nprice = "1"\n'
    active, reactive = (half_past(second, [watts] * 3) for watts in (1000, 3000))
    one = bill(versions(text), Usage(active, reactive=reactive), athens)
    kvarh = [(line.month, line.quantity) for line in one.lines if line.group is Group.REACTIVE]
    assert kvarh == [("2025-05", D("4.500")), ("2025-06", D("4.500"))]
    assert [month.energy_kwh for month in one.by_month] == [D("1.5"), D("1.5")]


def blocks(rule: str = "", low: str = "0.10", high: str = "0.20") -> str:
    """Energy in two blocks of 400 kWh and above, with more rules."""
    text = f'blocks = [{{ upto_kwh = "400", price = "{low}" }}, {{ price = "{high}" }}]\n{rule}\n'
    return FREE.replace('price = "0"\n', text)


@pytest.mark.kernel
@pytest.mark.parametrize(
    ("first", "second_text", "total"),
    [
        # 288 kWh, then 432: 288 + 112 at 0.10, the other 320 at 0.20.
        (blocks('part_month = "whole"'), "", "104"),
        (blocks(), "", "104"),
        (blocks("block_days = 30"), "", "104"),
        # The second version's prices: 28.80 for the first half, 112 at 0.20 and 320 at 0.40.
        (blocks(), blocks(low="0.20", high="0.40"), "179.2"),
        # One price first: 288 at 0.10; the blocks then begin at 288 kWh.
        (FREE.replace('"0"', '"0.10"'), blocks(low="0.20", high="0.40"), "179.2"),
    ],
)
def test_blocks_go_on_through_the_bill(athens, second, first: str, second_text: str, total: str) -> None:
    """0.8 kW and then 1.2 kW, 288 and 432 kWh, in blocks that a change of version does not begin anew."""
    tariff, usage = versions(first, second_text), june(second, [800, 1200])
    assert bill(tariff, usage, athens).total == D(total)
    assert compiled_total(tariff, usage, athens) == pytest.approx(float(total))


@pytest.mark.kernel
def test_blocks_of_some_periods_go_on(athens, second) -> None:
    """Blocks of the night only (8 of 24 hours): 96 and 144 kWh of 100 in the lower block: 96 + 4 at 0.10, 140 at 0.20."""
    head = 'rest = "day"\n'
    text = '[[tariff.window]]\nperiod = "night"\nfrom = "22:00"\nto = "06:00"\n' + blocks('periods = ["night"]').replace(
        "400", "100"
    )
    tariff = versions(text + FREE + 'periods = ["day"]\n', head=head)
    usage = june(second, [800, 1200])
    assert bill(tariff, usage, athens).total == D("38")
    assert compiled_total(tariff, usage, athens) == pytest.approx(38.0)


def test_free_reactive_energy_of_the_whole_bill(athens, second) -> None:
    """360 kWh and 288 kvarh, then 360 kWh and none; 0.20 free: 288 - 144 = 144 kvarh at 0.10, all in the first version."""
    text = FREE + '[[tariff.reactive]]\nlabel = "Reactive"\nprice = "0.10"\nfree_share = "0.20"\n'
    usage = replace(june(second, [1000, 1000]), reactive=june(second, [800, 0]).imported)
    one = bill(versions(text, text.replace("0.10", "0.50")), usage, athens)
    assert [line.amount for line in one.lines if line.group is Group.REACTIVE] == [D("14.4"), D(0)]
    # A third of the kvarh in the second half: 96 of the 144 kvarh at 0.10 and 48 at 0.50 (192 and 96 kvarh read).
    usage = replace(usage, reactive=june(second, [192_000 / 360, 96_000 / 360]).imported)
    assert bill(versions(text, text.replace("0.10", "0.50")), usage, athens).total == D("33.6")


def net(price: str = "0.30", credit: str = "0.10", rule: str = 'netting = "each bill"') -> str:
    """Energy and export set against each other, with more rules."""
    return f'{FREE.replace("0", price)}[tariff.export]\nlabel = "Export"\nprice = "{credit}"\n{rule}\n'


@pytest.mark.kernel
@pytest.mark.parametrize(
    ("first", "second_text", "halves", "total"),
    [
        # 360 kWh in and 360 out, in either order: nothing is left.
        (net(), "", (1000, -1000), "0"),
        (net(), "", (-1000, 1000), "0"),
        # 720 in and 360 out: the first 360 in are set off, 360 remain at the second version's 0.50.
        (net(), net("0.50"), (1000, 1000), "180"),
        # 360 in and 720 out: 360 are paid, at the second version's 0.20.
        (net(), net("0.30", "0.20"), (1000, -2000), "-72"),
        (net(), net(rule='netting = "each bill"\nsurplus = "lost"'), (1000, -2000), "0"),
        # Carried to the end of the record, then paid once.
        (net(rule='netting = "each bill"\nsurplus = "carried"'), "", (-2000, 1000), "-36"),
        (net(rule='netting = "each bill"\nsurplus = "carried"\nsettlement_month = 6'), "", (-2000, 1000), "-36"),
        # Only the second version nets: the first half stands apart, 108 for 360 kWh in; 360 kWh out are paid 36.
        (net(rule='netting = "none"'), net(), (1000, -1000), "72"),
    ],
)
def test_netting_over_the_whole_bill(athens, second, first: str, second_text: str, halves, total: str) -> None:
    """Import and export of one month are netted over both versions, by hand."""
    tariff, usage = versions(first, second_text), june(second, halves)
    if halves == (1000, 1000):
        usage = replace(usage, exported=june(second, [0, 1000]).imported)
    one = bill(tariff, usage, athens)
    assert (one.total, one.carried_kwh) == (D(total), D(0))
    assert compiled_total(tariff, usage, athens) == pytest.approx(float(total), abs=1e-9)


@pytest.mark.kernel
def test_surplus_of_a_period_that_ends(athens, second) -> None:
    """120 kWh sent at night (8 of 24 hours), a period the second version has not: paid at the first one's 0.10, -12.

    The 240 kWh sent by day before the change are set against the 360 kWh drawn in "day" after it: 120 at 0.50 remain, 60.
    """
    window = 'rest = "day"\n[[tariff.window]]\nperiod = "night"\nfrom = "22:00"\nto = "06:00"\n'
    tariff, usage = versions(window + net(), 'rest = "day"\n' + net("0.50")), june(second, [-1000, 1000])
    assert bill(tariff, usage, athens).total == D(48)
    assert compiled_total(tariff, usage, athens) == pytest.approx(48.0)


def by_label(lines, amounts) -> dict[tuple[str, str], float]:
    """Amounts added together by label and bill."""
    found: dict[tuple[str, str], float] = {}
    for line, amount in zip(lines, amounts, strict=True):
        found[line.name, line.month] = found.get((line.name, line.month), 0.0) + float(amount)
    return found


def compiled_lines(tariff, usage) -> dict[tuple[str, str], float]:
    """Compiled amounts by label and bill."""
    found = compile_tariff(tariff, usage.imported.times_s, usage.imported.step_s, CLOCK)
    sent = None if usage.exported is None else usage.exported.values
    return by_label(found.lines, cost(found, usage.imported.values, sent).by_line)


@pytest.mark.kernel
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    written(rounding={"when": "never"}, billing={"energy_decimals": 6, "demand_decimals": 6, "start_day": 1})
    | written(rounding={"when": "never"}, billing={"energy_decimals": 6, "demand_decimals": 6, "start_day": 15}),
    usages(),
    st.integers(0, 70),
    st.integers(0, 70),
)
def test_equal_versions_are_one_tariff(data, usage, first, second_day) -> None:
    """A tariff cut in three equal versions on any two days costs the same as whole, charge by charge, exact and compiled.

    The exact bill rounds kWh to six decimals once per version, period and day: at most 33 days of 3 periods, half a millionth
    each, twice, at up to 1 per kWh on up to four lines; 25 % of value added tax on top. The shares of days have nine decimals.
    """
    start = CLOCK.day_of(usage.start_s)
    cuts = sorted({start + timedelta(days=first), start + timedelta(days=second_day)})
    edges = zip([None, *cuts], [*cuts, None], strict=True)
    dated = [{**data, "from": low, "to": high and high - timedelta(days=1)} for low, high in edges]
    whole, split = of_data(data), joined([TariffSpec.model_validate(one) for one in dated])[0]
    bills = [bill(tariff, usage, CLOCK) for tariff in (whole, split)]
    expected, found = (by_label(one.lines, [line.amount for line in one.lines]) for one in bills)
    for name in expected | found:
        assert found.get(name, 0.0) == pytest.approx(expected.get(name, 0.0), abs=33 * 3 * 0.5e-6 * 2 * 4 * 1.25), name
    assert float(bills[1].carried_kwh) == pytest.approx(float(bills[0].carried_kwh), abs=1e-4)
    compiled = compiled_lines(whole, usage)
    assert compiled_lines(split, usage) == {name: pytest.approx(amount, abs=1e-6) for name, amount in compiled.items()}
