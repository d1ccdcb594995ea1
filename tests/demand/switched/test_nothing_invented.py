"""No load where none is: flat records, noise, wandering, and sites with nothing that switches."""

import numpy as np
import pytest

from tests.demand.switched.pace import PLAIN
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.demand.switched.analyse import in_series

UTC = SiteClock("UTC")
DAYS = 4 if PLAIN else 30
MINUTES = DAYS * 1440
HOURS = 60 * 24 if PLAIN else 365 * 24


def wandering(draws, count, size):
    """A random walk kept above nought by turning it back."""
    return np.abs(2000 + np.cumsum(draws.normal(0, size, count)))


def returning(draws, count, size):
    """A walk that is drawn back to its middle, as a load of many small parts is."""
    values, now = np.empty(count), 0.0
    for k, step in enumerate(draws.normal(0, size, count)):
        now = 0.98 * now + step
        values[k] = 1500 + now
    return np.abs(values)


def clouded(draws, day):
    """Half a wave by day whose height changes from reading to reading."""
    return np.maximum(0, -3000 * np.cos(day * 2 * np.pi)) * draws.uniform(0.3, 1, len(day))


MADE = {
    "flat": lambda draws, count: np.full(count, 300.0),
    "nothing": lambda draws, count: np.zeros(count),
    "noise": lambda draws, count: 300 + draws.normal(0, 20, count),
    "wide noise": lambda draws, count: np.abs(draws.normal(1500, 600, count)),
    "skewed noise": lambda draws, count: draws.exponential(500, count),
    "random walk": lambda draws, count: wandering(draws, count, 15),
    "returning walk": lambda draws, count: returning(draws, count, 60),
    "levels at random": lambda draws, count: np.repeat(draws.gamma(1, 600, count // 15 + 1), 15)[:count],
    "day's wave": lambda draws, count: 1000 + 800 * np.sin(np.arange(count) / 1440 * 2 * np.pi) + draws.normal(0, 5, count),
    "sun behind clouds": lambda draws, count: clouded(draws, np.arange(count) / 1440),
}  # fmt: skip


@pytest.mark.parametrize("name", MADE)
@pytest.mark.parametrize("seed", [1] if PLAIN else [1, 2, 3])
def test_no_load_is_found_in_minutes_where_none_is(name, seed) -> None:
    """Nothing that only wanders, waves or trembles passes for a load; the finding says so."""
    found = in_series(of_values(0, 60, MADE[name](np.random.default_rng(seed), MINUTES)), UTC)
    assert found.loads == ()
    assert found.findings[0].code == "demand.switched-none"


@pytest.mark.parametrize("name", MADE)
@pytest.mark.parametrize("seed", [1] if PLAIN else [1, 2, 3])
def test_no_load_is_found_in_hours_where_none_is(name, seed) -> None:
    """The same for a year of hours."""
    values = MADE[name](np.random.default_rng(seed), HOURS)
    assert in_series(of_values(0, 3600, values), UTC).loads == ()


@pytest.mark.parametrize("values", [[], [500.0], [500.0, 700.0], [np.nan] * 50, [500.0, np.nan] * 50])
def test_a_record_of_next_to_nothing_holds_no_load(values) -> None:
    """Empty records and those that are all gaps are told plainly, not refused."""
    assert in_series(of_values(0, 60, np.array(values)), UTC).loads == ()
