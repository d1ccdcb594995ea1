"""Sizes a thousand or a million times too small, and loans beyond the years looked at, are refused where they stand."""

import pytest

from tests.job.test_file import HEAD, spec
from wattwright.core.errors import JobError

PV = "tilt_deg = 30.0\nazimuth_deg = 180.0\n"
POWERS = 'charge_power = "2 kW"\ndischarge_power = "2 kW"\n'


@pytest.mark.parametrize(
    ("text", "field", "found", "wanted"),
    [
        (f'[[quote.pv]]\npeak = "3 mW"\n{PV}', "quote.pv[1].peak", "3 mW", "at least 10000 mW"),
        (f'[[pv]]\npeak = "9.9 W"\n{PV}', "pv[1].peak", "9.9 W", "at least 10 W"),
        (f'[[pv]]\npeak = "3 kW"\nlimit = "3 mW"\n{PV}', "pv[1].limit", "3 mW", "at least 10000 mW"),
        (f'[battery]\ncapacity = "5 mWh"\n{POWERS}', "battery.capacity", "5 mWh", "at least 10000 mWh"),
        ('[inverter]\nrating = "4 mVA"\n', "inverter.rating", "4 mVA", "at least 10000 mVA"),
    ],
)
def test_a_capital_letter_left_out_is_no_size(text, field, found, wanted):
    """A module of 10 Wp is among the smallest sold (common practice, no source): milli is meant as mega or kilo."""
    with pytest.raises(JobError) as refused:
        spec(HEAD + text)
    (fault,) = refused.value.faults
    assert (fault.place.field, fault.found) == (field, f'"{found}"')
    assert fault.wanted == f"a value of {wanted}"


def test_the_least_sizes_pass():
    """Ten of each are a size."""
    made = spec(
        f'{HEAD}[battery]\ncapacity = "10 Wh"\n{POWERS}[inverter]\nrating = "10 VA"\n[[pv]]\npeak = "10 W"\nlimit = "10 W"\n{PV}'
    )
    assert (made.battery.capacity_wh, made.inverter.rating_va, made.pv[0].peak_w) == (10.0, 10.0, 10.0)


def test_a_loan_beyond_the_years_is_told_at_its_own_years():
    """Its years and the horizon are named, on the line of the loan's years; as long as the horizon it passes."""
    text = HEAD + '[quote.money]\nyears = 10\n[quote.money.loan]\namount = "5000"\nrate = "3 %"\nyears = {}\n'
    with pytest.raises(JobError) as refused:
        spec(text.format(15))
    (fault,) = refused.value.faults
    assert (fault.place.field, fault.found) == ("quote.money.loan.years", "15")
    assert fault.wanted == "a loan paid back within the 10 years looked at"
    assert fault.place.line == text.count("\n")
    assert spec(text.format(10)).quote.money.loan.years == 10
