"""How sure the money is: against closed forms, and the same whoever does the work."""

import numpy as np
import pytest
from pydantic import ValidationError

from wattwright.core.errors import Cancelled, UsageError
from wattwright.supply.money.risk import BLOCK, Risk, risk
from wattwright.supply.money.spec import Investment
from wattwright.supply.money.spread import Spread
from wattwright.supply.money.worth import worth
from wattwright.work.processes import Processes

ROOF = Investment.model_validate(
    {
        "name": "invented roof", "currency": "EUR", "years": 20, "terms": "nominal", "inflation": "2 %", "rate": "5 %",
        "parts": [{"name": "array", "cost": "8000", "life_years": 25}, {"name": "inverter", "cost": "1500", "life_years": 12}],
        "saving": {"first_year": "900"},
    }
)  # fmt: skip


def span(low, likely, high) -> dict:
    """A range in per cent."""
    return {"low": f"{low} %", "likely": f"{likely} %", "high": f"{high} %"}


def spread(**given) -> Spread:
    return Spread.model_validate({source: span(*one) for source, one in given.items()})


ALL = {"demand": (80, 100, 110), "weather": (85, 100, 115), "prices": (-2, 0, 3), "life": (70, 100, 120), "cost": (90, 100, 130)}


def test_the_mean_is_that_of_the_means() -> None:
    """Worth is linear in demand, weather and cost drawn apart, so its mean is the worth of their means (within 4.5 errors)."""
    found = risk(ROOF, spread(demand=ALL["demand"], weather=ALL["weather"], cost=ALL["cost"]), 11, 16)
    saved = 900 * 290 / 300 * (1 - 1.05**-20) / 0.05  # means: (80 + 100 + 110) / 3 % of demand, 100 % of weather
    # the inverter is bought again in year 12, its price rising with nothing as terms are nominal
    paid = 320 / 300 * (9500 + 1500 / 1.05**12)
    assert found.mean == pytest.approx(saved - paid, abs=4.5 * found.mean_error)
    assert found.mean_error < 20
    assert len(found.npv) == 16 * BLOCK


def test_band_of_one_range_by_closed_form() -> None:
    """With cost alone unsure, from 90 to 110 %, a percentile of the worth is that of a symmetric triangle."""
    found = risk(ROOF, spread(cost=(90, 100, 110)), 5, 16)
    plain = worth(ROOF).npv
    # below 5 % of a triangle from -1 to 1: (1 + x)^2 / 2 = 0.05; the worth of a whole cost is this
    edge = 1 - np.sqrt(0.1)
    price = 9500 + 1500 / 1.05**12
    assert (found.low, found.middle, found.high) == pytest.approx(
        (plain - edge * 0.1 * price, plain, plain + edge * 0.1 * price), abs=0.004 * price
    )
    # chance that cost times c passes what is saved: the upper tail of the same triangle
    even = (plain + price) / price
    chance = (1.1 - even) ** 2 / (2 * 0.1**2) if even > 1 else 1 - (even - 0.9) ** 2 / (2 * 0.1**2)
    assert found.loss_share == pytest.approx(chance, abs=4.5 * max(found.loss_error, 1e-3))


def test_prices_by_hand() -> None:
    """A sure rise of 3 % more a year multiplies year t by 1.03^(t - 1), and nothing is spread."""
    found = risk(ROOF, spread(prices=(3, 3, 3)), 1, 1)
    saved = 900 * (1 - (1.03 / 1.05) ** 20) / (1.05 - 1.03)
    assert (found.low, found.high) == pytest.approx((saved - 9500 - 1500 / 1.05**12,) * 2)
    assert (found.mean_error, found.loss_share, found.loss_error) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_lives_by_hand() -> None:
    """A sure 75 % of life: array after 19 years (18.75 rounded), inverter after 9 and 18."""
    found = risk(ROOF, spread(life=(75, 75, 75)), 1, 1)
    saved = 900 * (1 - 1.05**-20) / 0.05
    assert found.middle == pytest.approx(saved - 9500 - 8000 / 1.05**19 - 1500 / 1.05**9 - 1500 / 1.05**18)


def test_weather_evens_out_and_demand_does_not() -> None:
    """The same range told of each year by itself is narrower than told of all years alike; the widest bar stands first."""
    found = risk(ROOF, spread(**{**ALL, "weather": ALL["demand"]}), 3)
    widths = {bar.source: bar.high - bar.low for bar in found.tornado}
    assert set(widths) == set(ALL)
    assert widths["weather"] < widths["demand"] / 2
    assert list(widths.values()) == sorted(widths.values(), reverse=True)
    assert all(bar.low <= bar.middle <= bar.high for bar in found.tornado)
    assert found.high - found.low > max(widths.values())


def told(found: Risk) -> tuple:
    return found.npv.tobytes(), found.tornado, found.mean, found.loss_share


def test_the_same_whoever_does_the_work() -> None:
    """Two processes find to the bit what one finds; another seed finds other draws; an added range leaves the draws of others."""
    wide = spread(**ALL)
    alone = risk(ROOF, wide, 7, 2)
    with Processes(2) as two:
        assert told(risk(ROOF, wide, 7, 2, labour=two)) == told(alone)
    assert told(risk(ROOF, wide, 8, 2)) != told(alone)
    only = risk(ROOF, spread(cost=ALL["cost"]), 7, 2)
    assert only.tornado[0] in alone.tornado


def test_it_can_be_stopped() -> None:
    """Progress is told after each block, and what it raises stops the work."""
    heard = []

    class Stops:
        def at(self, what, done, total):
            heard.append((done, total))
            if done == 2:
                raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        risk(ROOF, spread(cost=ALL["cost"]), 7, 3, progress=Stops())
    assert heard == [(0, 6), (1, 6), (2, 6)]


@pytest.mark.parametrize("given", [{}, {"cost": (0, 100, 110)}, {"demand": (100, 90, 110)}])
def test_what_makes_no_sense_is_refused(given) -> None:
    """No range at all, a cost of nought, and a range out of order are refused, each with what to do."""
    with pytest.raises(ValidationError, match=r"\|"):
        spread(**given)


def test_no_draws_are_refused() -> None:
    """Less than one block of draws is a contradiction."""
    with pytest.raises(UsageError, match="at least one"):
        risk(ROOF, spread(cost=(90, 100, 110)), 7, 0)
