"""PV quoted on the days of one season: money of a year that rests on it stops the quote."""

from dataclasses import replace

import pytest

from tests.supply.sizing.sites import asking, way
from tests.supply.sizing.test_quote import BACKUP
from wattwright.supply.sizing.answer import LostOnRoof
from wattwright.supply.sizing.losses import season_of_sun
from wattwright.supply.sizing.quote import quote

YEAR = (LostOnRoof("roof", 365.0, 4000.0, (), 3650.0),)
"""A roof that gives 10 kWh on the mean day of a year."""


@pytest.fixture(scope="module")
def made():
    """A quote of some days, whatever they are."""
    return quote(asking(BACKUP, outage_s=3600.0, steps=4), way(), None)


def giving(made, kwh_a_day, days=45.0):
    """The same, of so many days in which its PV gives so much a day beside what was there."""
    there = made.bare.balance.pv
    told = made.usual or made.quoted
    told = replace(told, balance=replace(told.balance, pv=there + kwh_a_day * days))
    return replace(made, usual=told, stretch_days=days)


@pytest.mark.parametrize(("kwh_a_day", "stops"), [(12.9, True), (7.0, True), (10.9, False), (9.1, False), (0.0, False)])
def test_a_season_unlike_the_year_stops_the_quote(made, kwh_a_day, stops):
    """By hand: 12.9 beside 10 kWh a day is 29 % more, 7 is 30 % less; a tenth is let pass, and no PV has no season."""
    found = season_of_sun(giving(made, kwh_a_day), YEAR)
    assert [(one.code, one.data["now"], one.data["mean"]) for one in found] == (
        [("supply.sun-of-season", pytest.approx(kwh_a_day), pytest.approx(10.0))] if stops else []
    )


def test_a_year_has_no_season_and_weather_of_weeks_knows_none(made):
    """A quote on 352 days and more rests on a year; where the weather itself holds 45 days nobody knows the others."""
    assert season_of_sun(giving(made, 12.9, 352.0), YEAR) == ()
    assert season_of_sun(giving(made, 12.9), ()) == ()
    weeks = tuple(replace(one, days=45.0, given_kwh=450.0) for one in YEAR)
    assert [one.code for one in season_of_sun(giving(made, 10.0), weeks)] == ["supply.sun-of-part-year"]
