"""Bills against published worked bills, worked out from the tariff files in the examples."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache, partial

from wattwright.checks.examples import example
from wattwright.checks.registry import Confidence, register
from wattwright.tariff.bill import Bill, bill_of_totals
from wattwright.tariff.lines import Group
from wattwright.tariff.load import load_tariff, parse_tariff
from wattwright.tariff.usage import PriorDemand, Totals

_SEYMOUR = "worked bill of the City of Seymour (US), residential, declining block"
_HANDBOOK = "Energy Management Handbook, chapter 18, general service, June"
_RIVER_FALLS = "municipal utility of River Falls (US), time-of-day comparison, September 2020"
_JOHNSON = "worked bill of the electric utility of Johnson City (US)"


@lru_cache(maxsize=64)
def _bill(file: str, id_: str, energy: tuple[tuple[str, str], ...], first: date) -> Bill:
    totals = Totals(first, {period: Decimal(kwh) for period, kwh in energy})
    return bill_of_totals(load_tariff(example(f"tariffs/{file}.toml")).tariff(id_), totals)


def _line(bill: Bill, name: str, number: int = 0) -> str:
    return f"{[line for line in bill.lines if line.name == name][number].amount:.2f}"


def _winter() -> Bill:
    return _bill("worked-bill-1", "winter", (("all", "1200"),), date(2020, 1, 1))


def _summer() -> Bill:
    return _bill("worked-bill-1", "summer", (("all", "2000"),), date(2020, 7, 1))


_LINES: Mapping[str, tuple[tuple[str, str, int, str], ...]] = {
    "winter": (
        ("first block", "Distribution", 0, "16.00"),
        ("second block", "Distribution", 1, "22.05"),
        ("third block", "Distribution", 2, "22.30"),
        ("power cost", "Power cost", 0, "102.00"),
        ("base charge", "Base charge", 0, "7.50"),
        ("tax", "Tax", 0, "1.70"),
    ),
    "summer": (
        ("first block", "Distribution", 0, "16.00"),
        ("second block", "Distribution", 1, "22.05"),
        ("third block, 26.125 rounded half up", "Distribution", 2, "26.13"),
        ("fourth block", "Distribution", 3, "33.45"),
        ("power cost", "Power cost", 0, "170.00"),
        ("base charge", "Base charge", 0, "7.50"),
        ("tax", "Tax", 0, "2.75"),
    ),
}
_BILLS = {"winter": _winter, "summer": _summer}


def _season_line(season: str, name: str, number: int) -> str:
    return _line(_BILLS[season](), name, number)


def _season_total(season: str) -> str:
    return f"{_BILLS[season]().total:.2f}"


for _season, _lines in _LINES.items():
    for _index, (_what, _name, _number, _amount) in enumerate(_lines, 1):
        register(
            f"tariff.seymour-{_season}-{_index}",
            f"Seymour {_season} bill, {_what}, USD",
            unit="USD",
            source=_SEYMOUR,
            confidence=Confidence.PUBLISHED,
            published=_amount,
            ours=partial(_season_line, _season, _name, _number),
        )

for _season, _total in (("winter", "171.55"), ("summer", "277.88")):
    register(
        f"tariff.seymour-{_season}-total",
        f"Seymour {_season} bill, total, USD",
        unit="USD",
        source=_SEYMOUR,
        confidence=Confidence.PUBLISHED,
        published=_total,
        ours=partial(_season_total, _season),
    )


def _handbook() -> Bill:
    return _bill("worked-bill-2", "general-service", (("all", "17588"),), date(2000, 6, 1))


def _handbook_line(name: str) -> str:
    return _line(_handbook(), name)


for _index, (_named, _printed) in enumerate(
    (("Customer charge", "3.74"), ("Energy", "1661.01"), ("Energy adjustment", "-302.37")), 1
):
    register(
        f"tariff.handbook-{_index}",
        f"general service bill, {_named.lower()}, USD",
        unit="USD",
        source=_HANDBOOK,
        confidence=Confidence.PUBLISHED,
        published=_printed,
        ours=partial(_handbook_line, _named),
    )
register(
    "tariff.handbook-total",
    "general service bill, total with the demand amount entered, USD",
    unit="USD",
    source=_HANDBOOK,
    confidence=Confidence.PUBLISHED,
    published="1624.72",
    ours=lambda: f"{_handbook().total:.2f}",
)

_USE = Decimal("675.54")


def _time_of_day(share: str) -> Bill:
    peak = _USE * Decimal(share)
    energy = (("on-peak", str(peak)), ("off-peak", str(_USE - peak)))
    return _bill("worked-bill-3", "time-of-day", energy, date(2020, 9, 1))


def _flat() -> Bill:
    return _bill("worked-bill-3", "flat", (("all", str(_USE)),), date(2020, 9, 1))


def _time_of_day_total(share: str) -> str:
    return f"{_time_of_day(share).total:.2f}"


def _saving_at(share: str) -> float:
    return float(_flat().total - _time_of_day(share).total)


register(
    "tariff.river-falls-flat",
    "one price, 675.54 kWh, USD",
    unit="USD",
    source=_RIVER_FALLS,
    confidence=Confidence.PUBLISHED,
    published="88.98",
    ours=lambda: f"{_flat().total:.2f}",
)
for _share, _total, _saving in (
    ("0.45", "96.58", "-7.60"),
    ("0.35", "88.14", "0.84"),
    ("0.30", "83.92", "5.07"),
    ("0.25", "79.70", "9.29"),
):
    register(
        f"tariff.river-falls-{_share}",
        f"time of day, {float(_share):.0%} on peak, USD",
        unit="USD",
        source=_RIVER_FALLS,
        confidence=Confidence.PUBLISHED,
        published=_total,
        ours=partial(_time_of_day_total, _share),
    )
    register(
        f"tariff.river-falls-saving-{_share}",
        f"saving against one price, {float(_share):.0%} on peak, USD",
        unit="USD",
        source=_RIVER_FALLS,
        confidence=Confidence.PUBLISHED,
        published=float(_saving),
        tolerance=0.011,
        why="the printed savings are differences of unrounded bills, ours of bills rounded to the cent",
        ours=partial(_saving_at, _share),
    )


def _johnson() -> Bill:
    return _bill("worked-bill-4", "residential", (("all", "1110"),), date(2000, 1, 1))


register(
    "tariff.johnson-energy",
    "1110 kWh at 0.0951, USD",
    unit="USD",
    source=_JOHNSON,
    confidence=Confidence.PUBLISHED,
    published="105.56",
    ours=lambda: _line(_johnson(), "Energy"),
)
register(
    "tariff.johnson-total",
    "energy and customer charge, USD",
    unit="USD",
    source=_JOHNSON,
    confidence=Confidence.PUBLISHED,
    published="124.04",
    ours=lambda: f"{_johnson().total:.2f}",
)

_BLOCKS = """
[[tariff]]
id = "blocks"
name = "Inclining blocks"
currency = "USD"
[[tariff.energy]]
label = "Energy"
blocks = [{ upto_kwh = "200", price = "0.03" }, { upto_kwh = "500", price = "0.05" }, { price = "0.08" }]
"""
_RATCHET = """
[[tariff]]
id = "ratchet"
name = "Ratchet"
currency = "USD"
[[tariff.energy]]
label = "Energy"
price = "0.10"
[[tariff.demand]]
label = "Demand"
price = "10"
ratchet = { share = "0.80", months = 11 }
"""


def _blocks() -> Bill:
    return bill_of_totals(parse_tariff(_BLOCKS).tariff(), Totals(date(2020, 6, 1), {"all": Decimal(600)}))


def _ratchet() -> float:
    """Return the demand billed for 300 kW half a year after a month with 1000 kW."""
    totals = Totals(date(2020, 7, 1), {"all": Decimal(1000)}, demand={"Demand": Decimal(300)})
    bill = bill_of_totals(parse_tariff(_RATCHET).tariff(), totals, (PriorDemand("Demand", "2020-01", Decimal(1000)),))
    return float(next(line.quantity for line in bill.lines if line.group is Group.DEMAND))


register(
    "tariff.inclining-blocks",
    "600 kWh at 3 c to 200, 5 c to 500, 8 c above, USD",
    unit="USD",
    source="published block structure; 6 + 15 + 8 by hand",
    confidence=Confidence.CLOSED_FORM,
    published="29.00",
    ours=lambda: f"{_blocks().total:.2f}",
)
register(
    "tariff.ratchet",
    "demand billed in a month of 300 kW after one of 1000 kW, ratchet of 80 % over 11 months",
    unit="kW",
    source="a national laboratory's description of ratchets: 1000 kW once bills at least 800 kW for 11 months",
    confidence=Confidence.PUBLISHED,
    published=800.0,
    ours=_ratchet,
)
