"""Reference evapotranspiration against the worked examples of FAO-56 and another library."""

import numpy as np
import pandas as pd
import pyet
import pytest

from wattwright.loads.evapotranspiration import extraterrestrial_mj_m2, net_radiation_mj_m2, reference_mm_day, saturation_kpa


def one(*values: float) -> list[np.ndarray]:
    return [np.array([value]) for value in values]


def test_brussels_is_example_18() -> None:
    """6 July, 50.80 N, 100 m: 3.9 mm/d (FAO-56, example 18, from memory; two libraries give 3.88); Ra 41.09 MJ/m2."""
    vapour = (saturation_kpa(np.array([12.3])) * 0.84 + saturation_kpa(np.array([21.5])) * 0.63) / 2
    assert vapour[0] == pytest.approx(1.4086, abs=0.0005)
    found = reference_mm_day(*one(12.3, 21.5), vapour, *one(2.078, 22.07, 187), 50.80, 100.0)
    assert found[0] == pytest.approx(3.88, abs=0.01)
    assert extraterrestrial_mj_m2(50.80, np.array([187.0]))[0] == pytest.approx(41.088, abs=0.01)


def test_lyon_is_example_20() -> None:
    """July, 45.72 N, 200 m, with humidity and sun estimated: 4.56 mm/d (FAO-56, example 20, from memory)."""
    vapour = saturation_kpa(np.array([14.8]))
    found = reference_mm_day(*one(14.8, 26.6), vapour, *one(2.0, 0.16 * np.sqrt(11.8) * 40.6, 196), 45.72, 200.0)
    assert found[0] == pytest.approx(4.56, abs=0.02)


def test_a_year_is_that_of_the_other_library() -> None:
    """A year of seeded days at 37 N and 300 m lies within 0.02 mm/d of pyet's FAO-56 equation."""
    draws, days = np.random.default_rng(3), pd.date_range("2025-01-01", periods=365)
    low = 8 + 8 * np.sin(2 * np.pi * (np.arange(365) - 110) / 365) + draws.normal(0, 2, 365)
    high, wind = low + draws.uniform(4, 14, 365), draws.uniform(0.5, 5, 365)
    vapour = draws.uniform(0.5, 1.0, 365) * saturation_kpa(low)
    outside = extraterrestrial_mj_m2(37.0, np.arange(1.0, 366.0))
    sun = outside * draws.uniform(0.25, 0.75, 365)
    column = {
        name: pd.Series(values, days)
        for name, values in {"low": low, "high": high, "wind": wind, "sun": sun, "ea": vapour}.items()
    }
    theirs = pyet.pm_fao56(
        tmean=(column["low"] + column["high"]) / 2, wind=column["wind"], rs=column["sun"], tmax=column["high"],
        tmin=column["low"], ea=column["ea"], elevation=300.0, lat=np.radians(37.0),
    )  # fmt: skip
    ours = reference_mm_day(low, high, vapour, wind, sun, np.arange(1.0, 366.0), 37.0, 300.0)
    assert ours == pytest.approx(theirs.to_numpy(), abs=0.02)


def test_polar_night_is_no_failure() -> None:
    """At 75 N the sun does not rise at midwinter and does not set at midsummer; nothing is lost to division."""
    night, noon = extraterrestrial_mj_m2(75.0, np.array([355.0, 172.0]))
    assert night == pytest.approx(0.0, abs=1e-9)
    assert noon > 40
    found = net_radiation_mj_m2(*one(0.0, 0.0, -30.0, -20.0, 0.03), 0.0)
    assert np.isfinite(found).all()
    assert reference_mm_day(*one(-30.0, -20.0, 0.03, 2.0, 0.0, 355.0), 75.0)[0] >= 0.0
