"""A saving in money: the bill of what would have been used less that of what was, and the demand with it."""

import pytest

from tests.proof.invented import BEGIN_S, CLOCK, Grain, before_and_after
from wattwright.core.series import of_values
from wattwright.proof.choose import baseline
from wattwright.proof.costs import cost_saved
from wattwright.proof.savings import savings
from wattwright.tariff.bill import bill
from wattwright.tariff.load import parse_tariff
from wattwright.tariff.usage import Usage

HEAD = '[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n'
FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'


@pytest.fixture(scope="module")
def case():
    """Eight weeks of a site with working hours before, and eight after with a fifth saved in each hour."""
    before, after = before_and_after(Grain.HOUR, days=56, heating_w=0.0, saved=0.2)
    return baseline(before), after


def test_money_of_one_price_is_the_energy(case):
    """At one price, money saved is energy saved times it, and its band that of the energy, but for what chance draws."""
    found, after = case
    told, energy = cost_saved(found, after, parse_tariff(HEAD + FLAT).tariff(), CLOCK), savings(found, after)
    assert told.used_money == pytest.approx(0.2 * energy.used_kwh, rel=1e-9)
    assert told.saved_money == pytest.approx(0.2 * energy.saved_kwh, rel=0.01)
    assert told.low_money == pytest.approx(0.2 * energy.bootstrap.low_kwh, rel=0.03)
    assert told.high_money == pytest.approx(0.2 * energy.bootstrap.high_kwh, rel=0.03)
    assert told.currency == "EUR"


def test_what_was_used_is_billed_as_the_exact_bill_does(case):
    """The money of what was used is the exact bill of the same hours, to a cent for each line."""
    found, after = case
    tariff = parse_tariff(HEAD + FLAT).tariff()
    exact = bill(tariff, Usage(of_values(BEGIN_S + 56 * 86_400, 3600, after.energy_kwh * 1000)), CLOCK)
    assert cost_saved(found, after, tariff, CLOCK).used_money == pytest.approx(float(exact.money.amount), abs=0.05)


def test_the_highest_hour_falls_with_the_use(case):
    """A fifth less in each hour takes about a fifth off the highest, 1.4 kW and its noise: within the band."""
    found, after = case
    told = cost_saved(found, after, parse_tariff(HEAD + FLAT).tariff(), CLOCK)
    truth = after.energy_kwh.max() * 1000 * 0.25
    assert told.maximum_low_w <= truth <= told.maximum_high_w
    assert told.maximum_low_w <= told.maximum_saved_w <= told.maximum_high_w


def test_days_make_no_bill():
    """A price by the hour cannot be put on days."""
    before, after = before_and_after(Grain.DAY, days=56)
    with pytest.raises(ValueError, match="hours"):
        cost_saved(baseline(before), after, parse_tariff(HEAD + FLAT).tariff(), CLOCK)
