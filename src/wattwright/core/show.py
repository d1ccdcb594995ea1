"""Showing: number format, language, units and local time belong here and nowhere deeper.

All arguments are in the units we hold (W, Wh, seconds UTC, degrees Celsius); the result is text with its unit, a narrow
no-break space between them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal
from math import floor, isfinite, log10
from typing import Any
from unicodedata import category

from wattwright.core.clock import SiteClock
from wattwright.core.errors import OwnFault
from wattwright.core.money import Money

THIN = "\N{NARROW NO-BREAK SPACE}"
MISSING = "\N{EN DASH}"


_LEAST_KWH = 0.001


@dataclass(frozen=True, slots=True)
class Show:
    """How things are shown: ``locale`` (CLDR name), ``units`` ("SI" or "US"), and the site's zone."""

    locale: str = "en_GB"
    units: str = "SI"
    zone: str = "UTC"

    @property
    def language(self) -> str:
        """Return the language part of the locale."""
        return self.locale.partition("_")[0]

    def number(self, value: float | Decimal, digits: int = 3) -> str:
        """Return a number with ``digits`` significant digits, never fewer than its whole part has."""
        if not isfinite(value):
            return MISSING
        decimals = _decimals(value, digits)
        # 9.996 rounds to 10.00: one digit more before the mark asks for one less behind it.
        return self.fixed(value, _decimals(_rounded(value, decimals), digits))

    def fixed(self, value: float | Decimal, decimals: int) -> str:
        """Return a number with so many decimals, digits grouped as the locale does."""
        from babel.numbers import format_decimal

        if not isfinite(value):
            return MISSING
        pattern = "#,##0" + ("." + "0" * decimals if decimals else "")
        # What rounds to nought has no sign.
        shown = _rounded(value, decimals) or Decimal(0)
        return str(format_decimal(shown, format=pattern, locale=self.locale)).replace("-", "\N{MINUS SIGN}")

    def plain(self, value: float | Decimal) -> str:
        """Return a number with just the decimals it has, six at most: for ratings and rates as a person wrote them."""
        if not isfinite(value):
            return MISSING
        written = f"{value:.6f}".rstrip("0").rstrip(".")
        return self.fixed(value, len(written.partition(".")[2]))

    def nominal(self, value: float | Decimal, digits: int = 3) -> str:
        """Return a number with at most so many significant digits and no nought at its end: 3 and 3.6, for ratings and sizes."""
        return self.plain(_rounded(value, _decimals(value, digits))) if isfinite(value) else MISSING

    def rating(self, power_w: float, unit: str = "W") -> str:
        """Return a rating in thousands of its unit, or in the unit itself under one thousand: 3 kW and 3.6 kW."""
        small = abs(power_w) < 999.5
        return f"{self.nominal(power_w if small else power_w / 1000.0)}{THIN}{'' if small else 'k'}{unit}"

    def power(self, power_w: float) -> str:
        """Return a power in kW, or in W under 1 kW."""
        if abs(power_w) < 999.5:  # what rounds to 1000 W is a kilowatt
            return f"{self.number(power_w)}{THIN}W"
        return f"{self.number(power_w / 1000, 3)}{THIN}kW"

    def apparent(self, power_va: float) -> str:
        """Return an apparent power in kVA, or in VA under 1 kVA."""
        return self.power(power_va)[:-1] + "VA"

    def kilowatts(self, power_w: float, decimals: int = 3) -> str:
        """Return a power in kW with fixed decimals, for columns and where a meter's own digits matter."""
        return f"{self.fixed(power_w / 1000, decimals)}{THIN}kW"

    def energy(self, energy_kwh: float, decimals: int | None = None) -> str:
        """Return an energy in kWh, of less than one to the Wh; meter totals are given in full by ``decimals``."""
        if decimals is None and 0.0 < abs(energy_kwh) < 1.0:
            decimals = 3 if abs(energy_kwh) >= _LEAST_KWH else 4
        text = self.number(energy_kwh, 4) if decimals is None else self.fixed(energy_kwh, decimals)
        return f"{text}{THIN}kWh"

    def percent(self, share: float, digits: int = 3) -> str:
        """Return a share of 1 as per cent."""
        return f"{self.number(100 * share, digits)}{THIN}%"

    def completeness(self, share: float) -> str:
        """Return a share of 1 as per cent, rounded down so that only a whole record shows 100 %."""
        if not isfinite(share):
            return MISSING
        if share >= 1:
            return f"100{THIN}%"
        decimals = 1 if share < 0.999 else 3
        return f"{self.fixed(_rounded(100 * Decimal(str(share)), decimals, ROUND_FLOOR), decimals)}{THIN}%"

    def money(self, money: Money) -> str:
        """Return an amount in full with its currency."""
        from babel.numbers import format_currency

        shown = format_currency(money.amount, money.currency, locale=self.locale, format_type="standard")
        return str(shown).replace("-", "\N{MINUS SIGN}")

    def temperature(self, temperature_c: float) -> str:
        """Return a temperature in degrees Celsius, or Fahrenheit in US units."""
        if self.units == "US":
            return f"{self.number(temperature_c * 1.8 + 32)}{THIN}°F"
        return f"{self.number(temperature_c)}{THIN}°C"

    def duration(self, seconds: float) -> str:
        """Return a duration in the largest units that keep it exact to the minute; under two minutes in s, under one s in ms."""
        if 0 < seconds < 1:
            return f"{self.plain(round(1000 * seconds, 1))}{THIN}ms"
        if seconds < 120 and seconds != 60:
            return f"{self.plain(round(seconds, 1))}{THIN}s"
        minutes = round(seconds / 60)
        days, rest = divmod(minutes, 1440)
        hours, left = divmod(rest, 60)
        parts = ((days, "d"), (hours, "h"), (left, "min"))
        return " ".join(f"{self.fixed(count, 0)}{THIN}{unit}" for count, unit in parts if count)

    def time(self, time_s: int) -> str:
        """Return an instant on the site's clock, year first so that no reader mistakes day for month."""
        return SiteClock(self.zone).text(int(time_s))

    def day(self, day: date) -> str:
        """Return a date in the locale's medium form, the month in letters."""
        from babel.dates import format_date

        return str(format_date(day, format="medium", locale=self.locale))

    def month(self, year: int, month: int) -> str:
        """Return a month with its year, the month in letters."""
        from babel.dates import format_date

        return str(format_date(date(year, month, 1), format="LLL yyyy", locale=self.locale))

    def value(self, value: Any, way: str) -> str:
        """Return ``value`` shown in the ``way`` a template names; raises OwnFault for an unknown way."""
        ways: dict[str, Callable[[Any], str]] = {
            "text": _without_controls,
            "count": lambda v: self.fixed(v, 0),
            "number": self.number,
            "plain": self.plain,
            "power": self.power,
            "apparent": self.apparent,
            "rating": lambda v: self.rating(v, "VA"),
            "size": lambda v: f"{self.nominal(v)}{THIN}kWh",
            "kilowatts": self.kilowatts,
            "energy": self.energy,
            "percent": self.percent,
            "completeness": self.completeness,
            "money": self.money,
            "temperature": self.temperature,
            "duration": self.duration,
            "time": self.time,
            "day": self.day,
        }
        if way not in ways:
            raise OwnFault(f'no way of showing called "{way}"')
        return ways[way](value)


def _decimals(value: float | Decimal, digits: int) -> int:
    """Return the decimals that show ``digits`` significant digits, at most two more where nought stands before the mark."""
    size = floor(log10(abs(float(value)))) + 1 if value else 1
    return max(0, digits - size if size > 0 else digits - 1 + min(1 - size, 3))


def _rounded(value: float | Decimal, decimals: int, rule: str = ROUND_HALF_EVEN) -> Decimal:
    """Return the number as it is written out, in so many decimals."""
    # A float is taken by its shortest digits, as a person would read it; wide enough for any float.
    return Decimal(str(value)).quantize(Decimal(1).scaleb(-decimals), rule, Context(prec=400))


def _without_controls(value: object) -> str:
    """Return a text without control characters, which a name in a file may hold and a terminal would obey."""
    return "".join(one for one in str(value) if category(one) != "Cc" or one == "\n")
