"""Invented sites for the tests of proof: hours of a made-up place whose truth is written here."""

from datetime import date

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.proof.models.record import Grain, use_record

CLOCK = SiteClock("Europe/Athens")
BEGIN_S = int(CLOCK.midnights_s(date(2023, 1, 2), 1)[0])


def hours_c(days, seed=1):
    """Outdoor temperature of each hour, degC: a season, a day and a weather."""
    hour = np.arange(24 * days)
    weather = np.repeat(np.random.default_rng(seed).normal(0, 2.5, days), 24)
    return 14 + 9 * np.cos(2 * np.pi * (hour / 24 - 200) / 365) + 4 * np.cos(2 * np.pi * (hour - 15) / 24) + weather


def site(days, seed=1, heating_w=80.0, office_w=400.0, noise_w=100.0):
    """Power and temperature: 1 kW, so many W for each kelvin of an hour under 15 degC, and more from 8 to 18 on working days."""
    outside = hours_c(days, seed)
    local = CLOCK.parts(BEGIN_S + 3600 * np.arange(24 * days))
    office = (local.minute >= 480) & (local.minute < 1080) & (local.weekday < 5)
    noise = np.random.default_rng([seed, 2]).normal(0, noise_w, len(outside)) if noise_w else 0.0
    power = 1000 + heating_w * np.maximum(15 - outside, 0) + office_w * office + noise
    return of_values(BEGIN_S, 3600, power), of_values(BEGIN_S, 3600, outside)


def before_and_after(grain, days=364, saved=0.0, **given):
    """Records of as many days before and after, the later ones less by a share."""
    power, outside = site(2 * days, **given)
    middle = BEGIN_S + days * 86_400
    after = power.part(middle, power.end_s)
    after = of_values(middle, 3600, after.values * (1 - saved))
    return use_record(power.part(BEGIN_S, middle), CLOCK, grain, outside), use_record(after, CLOCK, grain, outside)


__all__ = ["BEGIN_S", "CLOCK", "Grain", "before_and_after", "hours_c", "site"]
