"""Hand-computed charges: fixed, blocks, demand, reactive energy, export, levies."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest

from tests.tariff.texts import WINDOWS
from wattwright.core.basis import Basis
from wattwright.core.clock import SiteClock
from wattwright.core.errors import TariffError
from wattwright.core.series import of_values
from wattwright.tariff.bill import bill, bill_of_totals, summed
from wattwright.tariff.lines import Group
from wattwright.tariff.load import parse_tariff
from wattwright.tariff.usage import PriorDemand, Totals, Usage

D = Decimal
FREE = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0"\n'
BLOCKS = """[[tariff.energy]]
label = "Energy"
blocks = [{ upto_kwh = "200", price = "0.03" }, { upto_kwh = "500", price = "0.05" }, { price = "0.08" }]
"""


def demand(rest=""):
    """A demand charge of 1 per kW and month, with more rules."""
    return f'{FREE}[[tariff.demand]]\nlabel = "Demand"\nprice = "1"\n{rest}'


def of_group(one, group):
    """Lines of one group."""
    return [line for line in one.lines if line.group is group]


def test_rising_blocks(tariff) -> None:
    """3 c to 200, 5 c to 500, 8 c above: 600 kWh are 6 + 15 + 8 = 29.00 (structure published, sum by hand)."""
    one = bill_of_totals(tariff(BLOCKS), Totals(date(2025, 4, 1), {"all": D(600)}))
    assert [line.amount for line in one.lines] == [D("6.00"), D("15.00"), D("8.00")]
    assert one.total == D("29.00")


def test_blocks_shrink_with_the_days_billed(tariff, athens, steady) -> None:
    """600 kWh in 15 of April's 30 days: ends 100 and 250, so 3.00 + 7.50 + 28.00; whole blocks keep 29.00."""
    half = steady("2025-04-01", "2025-04-16", 600_000 / 360)
    assert bill(tariff(BLOCKS), half, athens).total == D("38.50")
    assert bill(tariff(BLOCKS + 'part_month = "whole"\n'), half, athens).total == D("29.00")


def test_printed_bill_is_a_whole_one(tariff) -> None:
    """A printed bill over 15 days keeps its blocks, unless they are for 30 days: then ends 100 and 250 again, 38.50."""
    printed = Totals(date(2025, 4, 1), {"all": D(600)}, days=15)
    assert bill_of_totals(tariff(BLOCKS), printed).total == D("29.00")
    assert bill_of_totals(tariff(BLOCKS + "block_days = 30\n"), printed).total == D("38.50")


def test_blocks_for_thirty_days(tariff) -> None:
    """Blocks for 30 days in a bill of 31: ends 206.667 and 516.667, so 600 kWh are 6.20 + 15.50 + 6.67 (6.66664)."""
    one = bill_of_totals(tariff(BLOCKS + "block_days = 30\n"), Totals(date(2025, 5, 1), {"all": D(600)}))
    assert [line.quantity for line in one.lines] == [D("206.667"), D("310.000"), D("83.333")]
    assert one.total == D("28.37")


def test_blocks_of_each_day(tariff, athens, second) -> None:
    """10 kWh a day at 0.10, above that 0.50: days of 24 and 6 kWh are 16 kWh at 0.10 and 14 at 0.50, 8.60."""
    text = FREE.replace('price = "0"', 'blocks = [{ upto_kwh = "10", price = "0.10" }, { price = "0.50" }]\nblocks_per = "day"')
    power = np.repeat([1000.0, 250.0], 24)
    one = bill(tariff(text), Usage(of_values(second("2025-06-03"), 3600, power)), athens)
    assert [line.quantity for line in one.lines] == [D(16), D(14)]
    assert one.total == D("8.60")


def test_blocks_of_one_period_beside_time_of_use(tariff) -> None:
    """Day 100 kWh at 0.20; night in blocks: 50 at 0.10, the other 30 at 0.05: 20 + 5 + 1.50; 0.01 on all 180 comes on top."""
    text = (
        WINDOWS
        + """[[tariff.energy]]
label = "Energy"
periods = ["day"]
price = "0.20"
[[tariff.energy]]
label = "Energy"
periods = ["night"]
blocks = [{ upto_kwh = "50", price = "0.10" }, { price = "0.05" }]
[[tariff.energy]]
label = "Grid"
price = "0.01"
"""
    )
    one = bill_of_totals(tariff(text), Totals(date(2025, 4, 1), {"day": D(100), "night": D(80)}))
    assert [line.amount for line in one.lines] == [D(20), D(5), D("1.5"), D("1.8")]
    assert [line.period for line in one.lines] == ["day", "night", "night", ""]


@pytest.mark.parametrize(
    ("entry", "amount"),
    [
        ('per = "day"', "310.00"),  # 31 days
        ('per = "month"', "10.00"),
        ('per = "bill"', "10.00"),
        ('per = "year"', "0.85"),  # 10 x 31 / 365 = 0.849
        ('per = "year"\npart_month = "whole"', "0.83"),  # 10 / 12 = 0.833
        ('per = "month"\nof = "contracted kW"', "250.00"),  # 25 kW
        ('per = "day"\nof = "contracted kVA"', "9300.00"),  # 30 kVA x 31 days
    ],
)
def test_fixed_charges(tariff, athens, steady, entry: str, amount: str) -> None:
    """A price of 10 over the whole of January 2025, by hand."""
    text = f'contracted = {{ kw = "25", kva = "30" }}\n{FREE}[[tariff.fixed]]\nlabel = "Fixed"\nprice = "10"\n{entry}\n'
    assert bill(tariff(text), steady("2025-01-01", "2025-02-01"), athens).total == D(amount)


@pytest.mark.parametrize(("entry", "amount"), [("", "5.00"), ('part_month = "whole"', "10.00")])
def test_month_billed_in_part(tariff, athens, steady, entry: str, amount: str) -> None:
    """15 of the 30 days of June at 10 a month: half of it by days, or all of it; and the bill says it is a part."""
    text = f'{FREE}[[tariff.fixed]]\nlabel = "Fixed"\nprice = "10"\nper = "month"\n{entry}\n'
    one = bill(tariff(text), steady("2025-06-01", "2025-06-16"), athens)
    assert one.total == D(amount)
    assert not one.by_month[0].whole
    assert [finding.code for finding in one.findings] == ["tariff.part-month"]


def test_bills_from_the_fifteenth(tariff, athens, steady) -> None:
    """Bills that begin on the 15th: 10 January to 20 March touches four, of 5, 31, 28 and 6 days, two of them whole."""
    text = f'billing = {{ start_day = 15 }}\n{FREE}[[tariff.fixed]]\nlabel = "Fixed"\nprice = "1"\nper = "day"\n'
    one = bill(tariff(text), steady("2025-01-10", "2025-03-21"), athens)
    assert [(month.month, month.days, month.whole) for month in one.by_month] == [
        ("2024-12-15", D(5), False),
        ("2025-01-15", D(31), True),
        ("2025-02-15", D(28), True),
        ("2025-03-15", D(6), False),
    ]
    assert one.total == D(70)


def year(second, peaks_w):
    """Readings of hours: 1 kW, with one hour of each month at its peak."""
    months = [second(f"{2025 + i // 12}-{i % 12 + 1:02d}-01") for i in range(len(peaks_w) + 1)]
    power = np.full((months[-1] - months[0]) // 3600, 1000.0)
    for start, peak in zip(months, peaks_w, strict=False):
        power[(start - months[0]) // 3600 + 30] = peak
    return Usage(of_values(months[0], 3600, power))


def test_ratchet(tariff, athens, second) -> None:
    """1000 kW once, 80 % over 11 months: at least 800 kW for 11 months (a US national laboratory's page), then 100 kW."""
    text = demand('window = "60 min"\nratchet = { share = "0.80", months = 11 }\n')
    one = bill(tariff(text), year(second, [1_000_000.0] + [100_000.0] * 12), athens)
    assert [figure.billed for figure in one.demands] == [D(1000)] + [D(800)] * 11 + [D(100)]
    assert [figure.measured for figure in one.demands] == [D(1000)] + [D(100)] * 12
    assert [finding.code for finding in one.findings] == ["tariff.ratchet-history"]


def test_ratchet_from_the_months_before_the_record(tariff, athens, second) -> None:
    """500 kW in the December before, 80 %, one month: 400 kW in January, and nothing left to ask for."""
    text = demand('window = "60 min"\nratchet = { share = "0.80", months = 1 }\n')
    usage = replace(year(second, [100_000.0, 100_000.0]), prior=(PriorDemand("Demand", "2024-12", D(500)),))
    one = bill(tariff(text), usage, athens)
    assert [figure.billed for figure in one.demands] == [D(400), D(100)]
    assert one.findings == ()


@pytest.mark.parametrize(
    ("rule", "billed"),
    [('minimum = "20"', "20"), ('minimum_share = "0.65"', "26"), ('minimum_share = "0.1"', "10")],  # 0.65 x 40 kW
)
def test_minimum_demand(tariff, athens, second, rule: str, billed: str) -> None:
    """A measured 10 kW against a minimum in kW or as a share of 40 contracted kW."""
    text = 'contracted = { kw = "40" }\n' + demand(f'window = "60 min"\n{rule}\n')
    assert bill(tariff(text), year(second, [10_000.0]), athens).demands[0].billed == D(billed)


def minutes(second, start, *powers):
    """Readings of a minute each from 10:00 on 3 June 2025."""
    return of_values(second(f"2025-06-03 {start}"), 60, np.repeat(powers, 5).astype(float))


@pytest.mark.parametrize(("align", "kw"), [("clock", "4"), ("rolling", "6")])
def test_rolling_against_clock_windows(tariff, athens, second, align: str, kw: str) -> None:
    """6 kW from 10:05 to 10:20: the clock's quarters hold 10 and 5 min of it (4 and 2 kW), a rolling one all of it (6 kW)."""
    series = minutes(second, "10:00", 0, 6000, 6000, 6000, 0, 0)
    one = bill(tariff(demand(f'align = "{align}"\npart_month = "whole"\n')), Usage(series), athens)
    assert one.demands[0].measured == D(kw)
    assert one.demands[0].at_s == second("2025-06-03 10:00" if align == "clock" else "2025-06-03 10:05")
    assert one.total == D(kw)


def test_window_with_a_missing_reading_does_not_count(tariff, athens, second) -> None:
    """The quarter with the peak lacks a minute, so the other's 1 kW is billed; without any full one a finding says so."""
    series = minutes(second, "10:00", 9000, 9000, 9000, 1000, 1000, 1000)
    series.values[3] = np.nan
    one = bill(tariff(demand('part_month = "whole"\n')), Usage(series), athens)
    assert one.demands[0].measured == D(1)
    series.values[20] = np.nan
    none = bill(tariff(demand('part_month = "whole"\n')), Usage(series), athens)
    assert (none.demands[0].measured, none.demands[0].at_s) == (D(0), None)
    assert [finding.code for finding in none.findings] == ["tariff.unpriced", "tariff.part-month", "tariff.demand-none"]
    # Two quarters of an hour lack one minute each; both lie in June.
    assert none.missing_s == 120


def test_demand_of_some_hours_only(tariff, athens, second) -> None:
    """5 kW at night do not count where only the day is charged, whose highest is 2 kW."""
    power = np.full(24, 2000.0)
    power[2] = 5000.0
    usage = Usage(of_values(second("2025-06-03"), 3600, power))
    one = bill(tariff(WINDOWS + demand('window = "60 min"\nperiods = ["day"]\n')), usage, athens)
    assert one.demands[0].measured == D(2)


def hours(second, watts, **others):
    """One hour of readings, and one of each other quantity."""
    start = second("2025-06-03 10:00")
    return Usage(
        of_values(start, 3600, np.array([watts])),
        **{name: of_values(start, 3600, np.array([value])) for name, value in others.items()},
    )


@pytest.mark.parametrize(
    ("rule", "others", "billed"),
    [
        ('quantity = "kVA"', {"reactive": 3000.0}, "5"),  # hypot(4, 3)
        ('quantity = "kVA"', {"apparent": 4600.0}, "4.6"),
        ('quantity = "kVA"\nassumed_power_factor = "0.8"', {}, "5"),  # 4 / 0.8
        ('target_power_factor = "0.90"', {"reactive": 3000.0}, "4.5"),  # pf 0.8: 4 x 0.90 / 0.8
        ('target_power_factor = "0.90"', {"apparent": 5000.0}, "4.5"),
        ('target_power_factor = "0.75"', {"reactive": 3000.0}, "4"),  # pf above the target
        ('target_power_factor = "0.90"\nassumed_power_factor = "0.80"', {}, "4.5"),
    ],
)
def test_power_factor(tariff, athens, second, rule: str, others: dict[str, float], billed: str) -> None:
    """4 kW with 3 kvar are 5 kVA at a power factor of 0.8; D x (0.90 / pf) is the rider of a US tariff (stored exercise)."""
    one = bill(tariff(demand(f'window = "60 min"\n{rule}\n')), hours(second, 4000.0, **others), athens)
    assert one.demands[0].measured == D(billed)
    codes = [finding.code for finding in one.findings]
    assert ("tariff.power-factor-assumed" in codes) == (not others)


@pytest.mark.parametrize("rule", ['quantity = "kVA"', 'target_power_factor = "0.90"'])
def test_power_factor_unknown(tariff, athens, second, rule: str) -> None:
    """Without var, VA or an assumed power factor the bill is refused with what to do."""
    with pytest.raises(TariffError, match="assumed_power_factor") as caught:
        bill(tariff(demand(f'window = "60 min"\n{rule}\n')), hours(second, 4000.0), athens)
    assert caught.value.faults[0].code == "tariff.no-reactive"
    # The head has four lines, the energy three.
    assert str(caught.value.faults[0].place) == 'tariff.toml, line 8, tariff "one", charge "Demand", assumed_power_factor'


def test_no_energy_has_a_perfect_power_factor(tariff, athens, second) -> None:
    """Nothing drawn: the power factor is not a division by nought, and nothing is billed."""
    one = bill(tariff(demand('window = "60 min"\ntarget_power_factor = "0.9"\n')), hours(second, 0.0, reactive=0.0), athens)
    assert one.demands[0].billed == 0


def test_record_coarser_than_the_window(tariff, athens, second) -> None:
    """Hourly readings under a 15-min charge: the hour's mean is billed and the person is told."""
    one = bill(tariff(demand()), hours(second, 4000.0), athens)
    assert one.demands[0].measured == D(4)
    assert "tariff.demand-coarse" in [finding.code for finding in one.findings]


def test_rolling_needs_whole_steps(tariff, athens, second) -> None:
    """Steps of 7 min do not make a rolling quarter of an hour; a record shorter than one has none."""
    series = of_values(second("2025-06-03"), 420, np.full(9, 1000.0))
    with pytest.raises(TariffError, match=r'tariff\.toml, line 8, tariff "one", charge "Demand", window: found .* 420 s'):
        bill(tariff(demand('align = "rolling"\n')), Usage(series), athens)
    short = of_values(second("2025-06-03"), 300, np.full(2, 1000.0))
    assert bill(tariff(demand('align = "rolling"\n')), Usage(short), athens).demands[0].at_s is None


def test_excess_reactive_energy(tariff, athens, second) -> None:
    """4 kWh and 3 kvarh, 0.40 kvarh per kWh free: 1.4 kvarh at 0.5 are 0.70; unread var are said, not guessed."""
    text = FREE + '[[tariff.reactive]]\nlabel = "Reactive"\nprice = "0.5"\nfree_share = "0.40"\n'
    one = bill(tariff(text), hours(second, 4000.0, reactive=3000.0), athens)
    assert [(line.quantity, line.amount) for line in of_group(one, Group.REACTIVE)] == [(D("1.400"), D("0.70"))]
    assert of_group(bill(tariff(text), hours(second, 4000.0, reactive=1000.0), athens), Group.REACTIVE)[0].amount == 0
    unread = bill(tariff(text), hours(second, 4000.0), athens)
    assert of_group(unread, Group.REACTIVE) == []
    assert "tariff.reactive-unread" in [finding.code for finding in unread.findings]


EXPORT = """[[tariff.energy]]
label = "Energy"
price = "0.30"
[tariff.export]
label = "Export"
price = "0.10"
"""


@pytest.mark.parametrize(
    ("rule", "lines"),
    [
        ('netting = "none"', [("3", "0.90"), ("4", "-0.40")]),
        # 3 - 1 = 2 kWh drawn in the first hour, 3 sent in the second
        ('netting = "each interval"', [("2", "0.60"), ("3", "-0.30")]),
        ('netting = "each bill"', [("1", "-0.10")]),  # 3 against 4
        ('netting = "each bill"\nsurplus = "lost"', []),
    ],
)
def test_netting(tariff, athens, second, rule: str, lines: list[tuple[str, str]]) -> None:
    """3 kW drawn and 1 sent, then 0 drawn and 3 sent, an hour each: 3 kWh and 4 kWh, set off in three ways."""
    start = second("2025-06-03 10:00")
    usage = Usage(of_values(start, 3600, np.array([3000.0, 0.0])), of_values(start, 3600, np.array([1000.0, 3000.0])))
    one = bill(tariff(EXPORT + rule), usage, athens)
    assert [(line.quantity, line.amount) for line in one.lines] == [(D(q), D(a)) for q, a in lines]


def test_net_meter_shows_export_as_negative(tariff, athens, second) -> None:
    """A net reading of 2 kW and then -3 kW is 2 kWh drawn and 3 kWh sent; without a rule nothing is paid, and that is said."""
    usage = Usage(of_values(second("2025-06-03 10:00"), 3600, np.array([2000.0, -3000.0])))
    assert [line.amount for line in bill(tariff(EXPORT), usage, athens).lines] == [D("0.60"), D("-0.30")]
    unpaid = bill(tariff(EXPORT[: EXPORT.index("[tariff.export]")]), usage, athens)
    assert unpaid.total == D("0.60")
    assert [finding.code for finding in unpaid.findings] == ["tariff.part-month", "tariff.export-unpaid"]


def months_of_net(second, *kwh):
    """A net reading whose months from January 2025 add up to so many kWh."""
    edges = [second(f"2025-{month:02d}-01") for month in range(1, len(kwh) + 2)]
    hours_in = np.diff(edges) // 3600
    return Usage(
        of_values(edges[0], 3600, np.concatenate([np.full(n, e * 1000 / n) for n, e in zip(hours_in, kwh, strict=True)]))
    )


@pytest.mark.parametrize(
    ("rule", "amounts", "carried"),
    [
        # 100 sent in January; February draws 60, all of it set off; March draws 90: 40 left, so 50 at 0.30.
        ("", {"2025-01": "0", "2025-02": "0", "2025-03": "15.00"}, 0),
        # Settled after January: 100 at 0.10, then 60 and 90 at 0.30.
        ("settlement_month = 1", {"2025-01": "-10.00", "2025-02": "18.00", "2025-03": "27.00"}, 0),
        ('settlement_month = 2\nat_settlement = "lost"', {"2025-01": "0", "2025-02": "0", "2025-03": "27.00"}, 0),
    ],
)
def test_carrying_over(tariff, athens, second, rule: str, amounts: dict[str, str], carried: int) -> None:
    """Net metering with kWh carried to the next bills until they are settled, by hand."""
    one = bill(
        tariff(EXPORT + f'netting = "each bill"\nsurplus = "carried"\n{rule}'), months_of_net(second, -100, 60, 90), athens
    )
    assert {month.month: month.amount for month in one.by_month} == {name: D(text) for name, text in amounts.items()}
    assert one.carried_kwh == carried


def test_settled_once_in_a_month_of_two_versions(second, athens) -> None:
    """Sent 100 kWh in January, settled after it: a change of version within the month does not settle it twice or too early.

    Until the 15th 100 kWh are sent and kept; from the 16th 30 are drawn and set off; 70 are paid at 0.10.
    """
    rule = 'netting = "each bill"\nsurplus = "carried"\nsettlement_month = 1\n'
    text = "".join(
        f'[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n{days}\n{EXPORT}{rule}'
        for days in ("to = 2025-01-15", "from = 2025-01-16")
    )
    hours_w = np.concatenate([np.full(15 * 24, -100_000 / 360), np.full(16 * 24, 30_000 / 384)])
    one = bill(parse_tariff(text).tariff(), Usage(of_values(second("2025-01-01"), 3600, hours_w)), athens)
    assert [(line.quantity, line.amount) for line in one.lines] == [(D(70), D(-7))]


@pytest.mark.parametrize(
    ("watts", "decimals", "kwh"),
    [(1.5, 3, "0.002"), (1.4, 3, "0.001"), (2675.0, 2, "2.68"), (2500.0, 0, "3"), (1234.5678, 6, "1.234568")],
)
def test_quantities_are_rounded_half_up(tariff, athens, second, watts: float, decimals: int, kwh: str) -> None:
    """An hour of some watts in kWh at the decimals the tariff states, halves up although no float holds 2.675."""
    text = f"billing = {{ energy_decimals = {decimals} }}\n" + FREE
    assert bill(tariff(text), hours(second, watts), athens).energy_kwh == D(kwh)


def test_carried_beyond_the_last_bill(tariff, athens, second) -> None:
    """Settled only in March: after February 40 kWh are still carried, and said."""
    one = bill(
        tariff(EXPORT + 'netting = "each bill"\nsurplus = "carried"\nsettlement_month = 3'),
        months_of_net(second, -100, 60),
        athens,
    )
    assert (one.total, one.carried_kwh) == (D(0), D(40))
    assert [finding.code for finding in one.findings] == ["tariff.carried"]


def test_levies_in_their_order(tariff) -> None:
    """100 kWh at 0.20 and 10 fixed; 0.01 per kWh; 5 % of energy; 10 % of all before: (20 + 10 + 1 + 1) x 0.1 = 3.20."""
    text = """[[tariff.fixed]]
label = "Standing"
price = "10"
per = "bill"
[[tariff.energy]]
label = "Energy"
price = "0.20"
[[tariff.levy]]
label = "Levy"
price = "0.01"
[[tariff.levy]]
label = "Municipal"
percent = "5"
of = ["Energy"]
[[tariff.levy]]
label = "VAT"
percent = "10"
basis = "published"
source = "a law"
"""
    one = bill_of_totals(tariff(text), Totals(date(2025, 4, 1), {"all": D(100)}))
    levies = of_group(one, Group.LEVY)
    assert [(line.quantity, line.unit, line.rate, line.amount) for line in levies] == [
        (D(100), "kWh", D("0.01"), D("1.00")),
        (D(20), "EUR", D("0.05"), D("1.00")),
        (D(32), "EUR", D("0.1"), D("3.20")),
    ]
    assert [(line.basis, line.source) for line in levies][1:] == [(Basis.ASSUMED, ""), (Basis.PUBLISHED, "a law")]
    assert one.total == D("35.20")


@pytest.mark.parametrize(
    ("rule", "amounts", "total"),
    [
        # 2.5 kWh x 0.01 = 0.025, three times; half up 0.03, half even 0.02
        ("", ["0.03", "0.03", "0.03"], "0.09"),
        ('rule = "half even"', ["0.02", "0.02", "0.02"], "0.06"),
        ('when = "each bill"', ["0.025", "0.025", "0.025", "0.005"], "0.08"),
        ('when = "each bill", unit = "0.05"', ["0.025", "0.025", "0.025", "0.025"], "0.10"),
        ('when = "each bill", unit = "0.025"', ["0.025", "0.025", "0.025"], "0.075"),
        ('when = "never"', ["0.025", "0.025", "0.025"], "0.075"),
    ],
)
def test_rounding(tariff, rule: str, amounts: list[str], total: str) -> None:
    """Three lines of 0.025, rounded line by line, on the bill, or not at all; the lines always add up to the total."""
    text = f"rounding = {{ {rule} }}\n" + "".join(
        f'[[tariff.energy]]\nlabel = "{name}"\nprice = "0.01"\n' for name in ("First", "Second", "Third")
    )
    one = bill_of_totals(tariff(text), Totals(date(2025, 4, 1), {"all": D("2.5")}))
    assert [line.amount for line in one.lines] == [D(text) for text in amounts]
    assert one.total == D(total) == sum(line.amount for line in one.lines)


def test_months_summed_line_by_line(tariff, athens, steady) -> None:
    """Two months at one price become one line of 31 + 28 days of 24 kWh; 1416 x 0.20 = 283.20."""
    one = bill(tariff('[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'), steady("2025-01-01", "2025-03-01"), athens)
    together = summed(one.lines)
    assert [(line.month, line.quantity, line.amount) for line in together] == [("", D(1416), D("283.20"))]


def test_whole_numbers_need_no_quotes(tariff) -> None:
    """A price written 2 is two; a sum in words of the file stays exact."""
    one = bill_of_totals(tariff(FREE.replace('"0"', "2")), Totals(date(2025, 4, 1), {"all": D(3)}))
    assert (one.lines[0].rate, one.total) == (D(2), D(6))


def test_day_that_never_was(tariff, second) -> None:
    """Samoa skipped 30 December 2011: the bill of 29 to 31 December there counts two days of 24 hours."""
    zone = "Pacific/Apia"
    start, end = second("2011-12-29", zone), second("2012-01-01", zone)
    text = FREE + '[[tariff.fixed]]\nlabel = "Standing"\nprice = "1"\nper = "day"\n'
    usage = Usage(of_values(start, 3600, np.full((end - start) // 3600, 1000.0)))
    one = bill(tariff(text), usage, SiteClock(zone))
    assert (end - start) // 3600 == 48
    assert (one.energy_kwh, one.total) == (D(48), D(2))


def test_series_of_a_usage_share_a_grid(second) -> None:
    """A usage without intervals, or with series that do not fit, is refused."""
    series = of_values(0, 3600, np.ones(3))
    with pytest.raises(ValueError, match="same start"):
        Usage(series, of_values(0, 3600, np.ones(2)))
    with pytest.raises(ValueError, match="at least one"):
        Usage(of_values(0, 3600, np.ones(0)))
