"""Money over the years against tables of factors, documented examples of a library, and closed forms."""

from collections.abc import Callable
from functools import partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.fields import Held
from wattwright.supply.money.loan import payments
from wattwright.supply.money.measures import irrs, npv, payback, present
from wattwright.supply.money.risk import risk
from wattwright.supply.money.spec import Investment, Loan
from wattwright.supply.money.spread import Spread
from wattwright.supply.money.terms import nominal_rate
from wattwright.supply.money.worth import Worth, worth

_FACTORS = "present value factors, worked out from (1 + d)^-n; rounded as in NIST Handbook 135"
_LIBRARY = "documented example of numpy-financial"


def _single(years: int) -> float:
    return npv(np.eye(1, years + 1, years)[0], 0.03)


def _uniform(years: int) -> float:
    return npv(np.concatenate(([0.0], np.ones(years))), 0.03)


def _recovered(rate: float, years: int) -> float:
    """Return the capital recovery factor, from the payment of a loan of a thousand million."""
    loan = Loan(amount=10**9, rate=Held(rate), years=years)
    return float(payments(loan, "EUR")[0].paid) / 1e9


def _roof(**changed: object) -> Worth:
    """Return the worth of 10 000, then 1200 a year that grow by 2 % and fade by 0.5 %, at 5 % over 25 years."""
    plain: dict[str, object] = {
        "name": "roof",
        "currency": "EUR",
        "years": 25,
        "terms": "nominal",
        "inflation": "0 %",
        "rate": "5 %",
        "parts": [{"name": "array", "cost": "10000", "life_years": 25}],
        "saving": {"first_year": "1200", "change": "2 %", "fade": "0.5 %"},
    }
    return worth(Investment.model_validate({**plain, **changed}))


def _kwh_cost() -> float:
    parts = [{"name": "array", "cost": "6000", "life_years": 25}]
    saving = {"first_year": "1200", "fade": "0.5 %"}
    return float(_roof(parts=parts, operation=100, yield_kwh=5000.0, saving=saving).energy_cost or 0.0)


def _simple_kwh_cost() -> float:
    parts = [{"name": "plant", "cost": "1200", "life_years": 30}]
    found = _roof(years=30, rate="7 %", parts=parts, operation=15, yield_kwh=8760 * 0.2, saving={"first_year": "1"})
    return float(found.energy_cost or 0.0)


def _growing(change: float) -> float:
    """Return the modified uniform present value factor of 20 years at 3 %, a unit growing by ``change`` from year 0 on."""
    return npv(np.concatenate(([0.0], (1 + change) ** np.arange(1.0, 21.0))), 0.03)


def _drawn_mean() -> float:
    """Return the mean worth over 4000 draws of 10 000 at 90 to 130 % that saves 1000 in each of 20 years at 80 to 120 %."""
    bought = Investment.model_validate(
        {
            "name": "roof",
            "currency": "EUR",
            "years": 20,
            "terms": "nominal",
            "inflation": "0 %",
            "rate": "5 %",
            "parts": [{"name": "array", "cost": "10000", "life_years": 20}],
            "saving": {"first_year": "1000"},
        }
    )
    weather = {"low": "80 %", "likely": "100 %", "high": "120 %"}
    cost = {"low": "90 %", "likely": "100 %", "high": "130 %"}
    return risk(bought, Spread.model_validate({"weather": weather, "cost": cost}), 1, 16).mean


def _rate(amounts: tuple[float, ...], place: int) -> float:
    return irrs(np.array(amounts))[place]


for _years, _spv, _upv in ((1, 0.971, 0.97), (5, 0.863, 4.58), (10, 0.744, 8.53), (20, 0.554, 14.88), (30, 0.412, 19.60)):
    for _name, _value, _digits, _factor in (("single", _spv, 0.0005, _single), ("uniform", _upv, 0.005, _uniform)):
        register(
            f"money.{_name}-{_years}",
            f"{_name} present value factor, 3 % a year, {_years} years",
            unit="",
            source=_FACTORS,
            confidence=Confidence.CLOSED_FORM,
            published=_value,
            tolerance=_digits,
            why="rounded in the table",
            ours=partial(_factor, _years),
        )
for _percent, _years, _value in ((3, 10, 0.117231), (3, 20, 0.067216), (7, 10, 0.142378), (7, 25, 0.085811)):
    register(
        f"money.recovery-{_percent}-{_years}",
        f"capital recovery factor, {_percent} % a year, {_years} years, from the first payment of a loan",
        unit="",
        source="i (1 + i)^n / ((1 + i)^n - 1), the formula as NASA prints it",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=6e-7,
        why="six decimals",
        ours=partial(_recovered, _percent / 100, _years),
    )
for _percent, _value in ((-1, 13.542), (0, 14.877), (2, 18.081), (3, 20.000), (5, 24.626)):
    register(
        f"money.growing-{_percent}".replace("--", "-minus-"),
        f"modified uniform present value factor, 3 %, 20 years, prices changing by {_percent} % a year",
        unit="",
        source="(1 + e) / (d - e) (1 - ((1 + e) / (1 + d))^n), formula of a US federal design manual",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=0.0005,
        why="three decimals",
        ours=partial(_growing, _percent / 100),
    )

_EXAMPLES: tuple[tuple[str, tuple[float, ...], float, float], ...] = (
    ("npv-small", (-100.0, 39.0, 59.0, 55.0, 20.0), 0.281, -0.008479),
    ("npv-large", (-40_000.0, 5000.0, 8000.0, 12_000.0, 30_000.0), 0.08, 3065.2227),
)
for _id, _amounts, _at, _value in _EXAMPLES:
    register(
        f"money.{_id}",
        f"net present value of {_amounts} at {100 * _at:g} %",
        unit="",
        source=_LIBRARY,
        confidence=Confidence.REFERENCE_LIBRARY,
        published=_value,
        tolerance=5e-5,
        why="printed to four decimals or more",
        ours=partial(npv, np.array(_amounts), _at),
    )

_RATES: tuple[tuple[str, tuple[float, ...], int, float, str, Confidence], ...] = (
    ("irr-plain", (-100.0, 39.0, 59.0, 55.0, 20.0), 0, 0.280948, _LIBRARY, Confidence.REFERENCE_LIBRARY),
    ("irr-loss", (-100.0, 100.0, 0.0, -7.0), -1, -0.083300, _LIBRARY, Confidence.REFERENCE_LIBRARY),
    ("irr-gain", (-100.0, 100.0, 0.0, 7.0), 0, 0.062058, _LIBRARY, Confidence.REFERENCE_LIBRARY),
    ("irr-first-of-two", (-100.0, 230.0, -132.0), 0, 0.1, "roots of a square: 1/1.1 and 1/1.2", Confidence.CLOSED_FORM),
    ("irr-second-of-two", (-100.0, 230.0, -132.0), 1, 0.2, "roots of a square: 1/1.1 and 1/1.2", Confidence.CLOSED_FORM),
)
for _id, _amounts, _place, _value, _source, _sure in _RATES:
    register(
        f"money.{_id}",
        f"internal rate of return of {_amounts}",
        unit="",
        source=_source,
        confidence=_sure,
        published=_value,
        tolerance=6e-7,
        why="six decimals",
        ours=partial(_rate, _amounts, _place),
    )

_ROOF = "sum of a geometric row, worked by hand"
_Case = tuple[str, str, str, str, float, float, Callable[[], float]]
_CASES: tuple[_Case, ...] = (
    ("roof-npv", "net present value of the worked roof", "", _ROOF, 9575.587, 0.0005, lambda: _roof().npv),
    ("roof-irr", "internal rate of return of the worked roof", "", _ROOF, 0.125951, 6e-7, lambda: _roof().irr or 0.0),
    ("roof-sum", "sum of the worked roof, not discounted", "", _ROOF, 26_030.27, 0.005, lambda: float(_roof().total.sum())),
    ("roof-back", "discounted payback of the worked roof", "years", _ROOF, 10.18, 0.005, lambda: _roof().discounted_years or 0.0),
    ("back", "payback of 10 000 at 1500 a year", "years", "10 000 / 1500", 6.667, 0.0005,
     lambda: payback(np.array([-10_000.0, *[1500.0] * 20])) or 0.0),
    ("back-discounted", "the same, discounted at 5 %", "years", "-ln(1 - 10 000 x 0.05 / 1500) / ln 1.05", 8.310, 0.01,
     lambda: payback(present(np.array([-10_000.0, *[1500.0] * 20]), 0.05)) or 0.0),
    ("kwh", "cost of a kWh: 6000, 100 a year, 5000 kWh that fade by 0.5 %, 5 %, 25 years", "/kWh",
     "discounted cost over discounted kWh, both geometric rows", 0.110217, 6e-7, _kwh_cost),
    ("kwh-simple", "cost of a kWh: 1200 per kW, 15 a year, 7 %, 30 years, capacity factor 0.2", "/kWh",
     "(capital x recovery factor + upkeep) / (8760 x capacity factor), formula of NREL", 0.063758, 6e-7, _simple_kwh_cost),
    ("fisher", "nominal rate of 3 % real with 2 % inflation", "", "Fisher: 1.03 x 1.02 - 1", 0.0506, 1e-12,
     lambda: nominal_rate(0.03, 0.02, "real")),
)  # fmt: skip
for _id, _what, _unit, _source, _value, _most, _ours in _CASES:
    register(
        f"money.{_id}",
        _what,
        unit=_unit,
        source=_source,
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=_most,
        why="flow is even within a year here, continuous there" if _id == "back-discounted" else "rounded as printed",
        ours=_ours,
    )
register(
    "money.drawn-mean",
    "mean worth of 4000 draws: 10 000 at 90, 100 or 130 %, 1000 a year at 80 to 120 %, 20 years, 5 %",
    unit="",
    source="worth of the means, as it is linear in both: 1000 x 12.46221 - 10 000 x 320 / 300",
    confidence=Confidence.CLOSED_FORM,
    published=1795.54,
    tolerance=70.0,
    why="about five standard errors of 4000 draws, of which one is 850 / sqrt(4000) for the cost and less for the weather",
    ours=_drawn_mean,
)
