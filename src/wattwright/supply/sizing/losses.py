"""What quoted PV loses on its way from the cold modules to the site's bus, loss by loss."""

from collections.abc import Iterable, Mapping

from wattwright.core.findings import Finding
from wattwright.core.show import MISSING, THIN, Show
from wattwright.generation.yields import Step, Yield
from wattwright.supply.sizing import kinds
from wattwright.supply.sizing.answer import Laid, LostOnRoof, Quote

Rows = list[tuple[str, ...]]
_LITTLE_KWH = 0.5
_YEAR_DAYS, _NEAR_DAYS = 365.0, 14.0
_APART = 0.1
"""How far a day of PV may lie from the year's mean day before money of a year is wrong by it: common practice, no source."""


def lost_on(laid: Iterable[Laid], yields: Mapping[str, tuple[float, float, Yield]]) -> tuple[LostOnRoof, ...]:
    """Return the losses of the PV that is quoted; ``yields`` are by roof: the most that may lie there, W, days, and its yield.

    All steps grow with the modules, the limit of the inverter with them.
    """
    made = []
    for one in laid:
        most_w, days, given = yields[one.roof]
        part = one.pv_w / most_w
        steps = tuple(Step(each.name, each.loss_kwh * part, each.share) for each in given.steps)
        made.append(LostOnRoof(one.roof, days, given.cold_kwh * part, steps, given.given_kwh * part))
    return tuple(made)


def season_of_sun(made: Quote, losses: Iterable[LostOnRoof]) -> tuple[Finding, ...]:
    """Return that what quoted PV gives in the days of a quote is not what it gives in the days of a year, where that is so.

    ``losses`` are what it gives over the weather of the job. A quote without PV, or on a year, rests on no season of the sun.
    """
    every = tuple(losses)
    is_year = made.stretch_days >= _YEAR_DAYS - _NEAR_DAYS
    given_kwh = (made.usual or made.quoted).balance.pv - made.bare.balance.pv
    if not every or is_year or given_kwh <= 0.0:
        return ()
    known = min(one.days for one in every)
    if known < _YEAR_DAYS - _NEAR_DAYS:
        return (kinds.SUN_UNKNOWN.at("weather", known=round(known), days=round(made.stretch_days)),)
    now, mean = given_kwh / made.stretch_days, sum(one.given_kwh / one.days for one in every)
    if abs(now / mean - 1.0) <= _APART:
        return ()
    return (kinds.SUN_OF_SEASON.at("record", days=round(made.stretch_days), now=now, mean=mean),)


def loss_rows(made: Quote, show: Show) -> Rows:
    """Return each loss in kWh and as a share of what had come so far, roof by roof; only the head where no PV is quoted."""
    rows: Rows = [("What PV loses", "energy, kWh", "of what had come")]
    for one in made.losses:
        roof = f"{one.roof}: " if len(made.losses) > 1 else ""
        days = "a year" if abs(one.days - _YEAR_DAYS) <= 1.0 else f"{show.fixed(one.days, 0)} days"
        rows.append((f"{roof}modules at 25{THIN}°C, {days}", show.fixed(one.cold_kwh, 0), MISSING))
        rows += [
            (each.name, show.fixed(each.loss_kwh, 0), f"{show.nominal(100.0 * each.share, 2)}{THIN}%")
            for each in one.steps
            if abs(each.loss_kwh) >= _LITTLE_KWH
        ]
        lost = 1.0 - one.given_kwh / one.cold_kwh if one.cold_kwh else 0.0
        rows.append(("left at the site's bus", show.fixed(one.given_kwh, 0), f"{show.nominal(100.0 * lost, 2)}{THIN}% lost"))
    return rows
