"""Today's loads of a job fitted to its record, and to the record of each sub-meter that measures one load alone."""

from dataclasses import dataclass

from wattwright.control.rules import Control, TimeProgramme
from wattwright.core.calendar import public_holidays
from wattwright.core.errors import JobError, Place
from wattwright.demand.site import SitePower
from wattwright.job.file import Job
from wattwright.job.loads import LoadSpec
from wattwright.loads.columns import W_AIR_C, W_COLD_WATER_C
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate.calibrate import Calibration, Cycling, Entered, Programmed, Store, calibrate, usual_weather


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A calibration and the meter whose record it is fitted to; ``alone`` where that meter measures the one load alone."""

    meter: str
    alone: bool
    calibration: Calibration


def fitted(job: Job, main: str, power: SitePower, metered: dict[str, SitePower]) -> tuple[Fitted, ...]:
    """Return today's loads fitted: those that a sub-meter measures alone to its record, the others to the main meter's.

    ``main`` is the id of the main meter, ``power`` what it read, ``metered`` the power of sub-meters by their ids. Raises
    JobError where there is no load to fit.
    """
    spec = job.spec
    entered = {one.id: made for one in spec.loads if (made := _entered(one, spec.control)) is not None}
    if not entered:
        raise JobError.one(
            "job.nothing-to-fit",
            Place(str(job.path), field="loads"),
            found="none that can be fitted",
            wanted="a load on a time programme that is no store of hot water, or one with a model that no rule switches",
            next_step="Add a [loads.model] table below a load, or the time programme of today of one that is no store.",
        )
    alone = {}
    for meter in metered:
        behind = [one.id for one in spec.loads if one.meter == meter]
        if len(behind) == 1 and behind[0] in entered:
            alone[meter] = behind[0]
    found = [_calibrated(job, meter, metered[meter], [entered[id_]], alone=True) for meter, id_ in alone.items()]
    others = [one for id_, one in entered.items() if id_ not in alone.values()]
    if others:
        found.append(_calibrated(job, main, power, others, alone=False))
    return tuple(found)


def _calibrated(job: Job, meter: str, power: SitePower, entered: list[Entered], *, alone: bool) -> Fitted:
    site, series = job.spec.site, power.series
    first, last = job.clock.day_of(series.start_s).year, job.clock.day_of(series.end_s).year
    weather = usual_weather()
    weather[[W_AIR_C, W_COLD_WATER_C]] = job.spec.weather.air_c, job.spec.weather.cold_water_c
    holidays = public_holidays(site.country, site.subdivision or None, first, last)
    return Fitted(meter, alone, calibrate(series, job.clock, entered, own_meter=alone, weather=weather, holidays=holidays))


def _entered(one: LoadSpec, control: Control) -> Entered | None:
    """Return a load as the fit takes it; None for one that is not simulated, or is switched in a way that is not fitted."""
    rules = [rule for rule in control.rules if rule.load == one.id]
    if len(rules) == 1 and isinstance(rules[0], TimeProgramme):
        return Programmed(one.id, one.rating_w * one.quantity, rules[0]) if not isinstance(one.model, WaterHeater) else None
    if rules or one.model is None:
        return None
    if isinstance(one.model, WaterHeater):
        known = {"rating_w"} if one.basis != "assumed" else set()
        return Store(one.id, one.model, frozenset(known | _read_on_site(one, one.model)))
    return Cycling(one.id, one.rating_w)


def _read_on_site(one: LoadSpec, model: WaterHeater) -> set[str]:
    """Return the names of values that the person read on site, as the fit calls them."""
    fields = type(model).model_fields
    by_word = {(field.alias or name): name for name, field in fields.items()}
    return {by_word[word] for word in one.read_on_site if word in by_word}
