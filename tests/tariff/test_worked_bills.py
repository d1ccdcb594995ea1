"""Published bills come out of the engine, to the cent."""

from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import pytest

from wattwright.core.show import Show
from wattwright.tariff.bill import bill, bill_of_totals
from wattwright.tariff.lines import Group
from wattwright.tariff.load import load_tariff
from wattwright.tariff.usage import Totals

D = Decimal


def of_energy(tariff, first, **energy):
    """Bill for a whole month of known energy."""
    kwh = {name.replace("_", "-"): D(value) for name, value in energy.items()}
    return bill_of_totals(tariff, Totals(first, kwh))


def amounts(one):
    """Amounts of the lines by their labels."""
    return {line.label(Show()): line.amount for line in one.lines}


def test_declining_block_in_winter(examples) -> None:
    """City of Seymour (US), winter, 1200 kWh: 16.00, 22.05, 22.30, 102.00, 7.50, tax 1.70, in all 171.55 (published)."""
    found = of_energy(load_tariff(examples / "worked-bill-1.toml").tariff("winter"), date(2020, 1, 1), all="1200")
    assert amounts(found) == {
        "Base charge": D("7.50"),
        "Distribution, 0 to 250 kWh": D("16.00"),
        "Distribution, 250 to 700 kWh": D("22.05"),
        "Distribution, above 700 kWh": D("22.30"),
        "Power cost": D("102.00"),
        "Tax": D("1.70"),
    }
    assert found.total == D("171.55")


def test_declining_block_in_summer(examples) -> None:
    """City of Seymour (US), summer, 2000 kWh: 26.125 becomes 26.13, tax 2.75, in all 277.88 (published)."""
    found = of_energy(load_tariff(examples / "worked-bill-1.toml").tariff("summer"), date(2020, 7, 1), all="2000")
    assert list(amounts(found).values()) == [D(text) for text in ("7.50", "16.00", "22.05", "26.13", "33.45", "170.00", "2.75")]
    assert found.total == D("277.88")


def test_entered_demand(examples) -> None:
    """Energy Management Handbook, chapter 18: 3.74 + 1661.01 - 302.37 + 262.34 = 1624.72 (published)."""
    found = of_energy(load_tariff(examples / "worked-bill-2.toml").tariff(), date(2020, 6, 1), all="17588")
    assert [line.amount for line in found.lines] == [D("3.74"), D("1661.01"), D("-302.37"), D("262.34")]
    assert found.total == D("1624.72")


@pytest.mark.parametrize(
    ("share", "total", "saving"),
    [("0.45", "96.58", "-7.60"), ("0.35", "88.14", "0.84"), ("0.30", "83.92", "5.07"), ("0.25", "79.70", "9.29")],
)
def test_time_of_day(examples, share: str, total: str, saving: str) -> None:
    """River Falls (US), 675.54 kWh: the printed totals, flat 88.98, and the printed savings, taken before rounding."""
    file = load_tariff(examples / "worked-bill-3.toml")
    flat = of_energy(file.tariff("flat"), date(2020, 9, 1), all="675.54")
    on_peak = D("675.54") * D(share)
    found = of_energy(file.tariff("time-of-day"), date(2020, 9, 1), on_peak=on_peak, off_peak=D("675.54") - on_peak)
    assert flat.total == D("88.98")
    assert found.total == D(total)
    exact = [sum(line.amount for line in one.lines if line.group is not Group.ROUNDING) for one in (flat, found)]
    assert (exact[0] - exact[1]).quantize(D("0.01"), ROUND_HALF_UP) == D(saving)


def test_two_register_readings(examples) -> None:
    """Johnson City (US): 1110 kWh at 0.0951 are 105.56, with 18.48 in all 124.04 (published)."""
    found = of_energy(load_tariff(examples / "worked-bill-4.toml").tariff(), date(2020, 3, 1), all=str(9975 - 8865))
    assert [line.amount for line in found.lines] == [D("18.48"), D("105.56")]
    assert found.total == D("124.04")


def test_flat_month_of_readings(tariff, athens, steady) -> None:
    """1 kW all through January are 744 kWh; at 0.20 each that is 148.80."""
    flat = tariff('[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n')
    found = bill(flat, steady("2025-01-01", "2025-02-01"), athens)
    assert (found.energy_kwh, found.total) == (D("744.000"), D("148.80"))
    assert found.findings == ()
