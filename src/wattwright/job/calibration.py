"""Today's loads of a job fitted to its record, and to the record of each sub-meter that measures one load alone."""

from dataclasses import dataclass, replace

from wattwright.control.rules import AnyRule, Control, TimeProgramme
from wattwright.core.calendar import public_holidays
from wattwright.core.errors import JobError, Place
from wattwright.core.findings import Finding, gravest_first
from wattwright.demand.site import SitePower
from wattwright.job import kinds
from wattwright.job.file import Job
from wattwright.job.loads import LoadSpec
from wattwright.loads.columns import W_AIR_C, W_COLD_WATER_C
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate.calibrate import Calibration, Cycling, Entered, Programmed, Store, calibrate, usual_weather


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A calibration and the meter whose record it is fitted to; ``alone`` where that meter measures the one load alone.

    ``findings`` are those of the calibration, and which loads of that meter are fitted in part or not at all.
    """

    meter: str
    alone: bool
    calibration: Calibration
    findings: tuple[Finding, ...]


def fitted(job: Job, main: str, power: SitePower, metered: dict[str, SitePower]) -> tuple[Fitted, ...]:
    """Return today's loads fitted: those that a sub-meter measures alone to its record, the others to the main meter's.

    ``main`` is the id of the main meter, ``power`` what it read, ``metered`` the power of sub-meters by their ids. Raises
    JobError where there is no load to fit.
    """
    spec = job.spec
    entered = {one.id: made for one in spec.loads if (made := _entered(one, spec.control)) is not None}
    left = [(one, why) for one in spec.loads if one.id not in entered and (why := _why_not(one, spec.control))]
    if not entered:
        raise JobError.one(
            "job.nothing-to-fit",
            Place(str(job.path), field="loads"),
            found="none that can be fitted" + "".join(f"; {one.id}: {why}" for one, why in left),
            wanted="a load on one time programme, or one with a model that no rule switches",
            next_step="Add a [loads.model] table below a load, or the time programme that switches it today.",
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
    last = found.pop()
    more = tuple(kinds.NOT_FITTED.at(one.id, load=one.id, why=why) for one, why in left)
    return (*found, replace(last, findings=gravest_first((*last.findings, *more))))


def _calibrated(job: Job, meter: str, power: SitePower, entered: list[Entered], *, alone: bool) -> Fitted:
    site, series = job.spec.site, power.series
    first, last = job.clock.day_of(series.start_s).year, job.clock.day_of(series.end_s).year
    weather = usual_weather()
    weather[[W_AIR_C, W_COLD_WATER_C]] = job.spec.weather.air_c, job.spec.weather.cold_water_c
    holidays = public_holidays(site.country, site.subdivision or None, first, last)
    made = calibrate(series, job.clock, entered, own_meter=alone, weather=weather, holidays=holidays)
    seen = {one.id for one in made.loads}
    part = [
        kinds.HEATER_PROGRAMMED.at(one.id, load=one.id, rule=rules[0].id)
        for one in job.spec.loads
        if one.id in seen and isinstance(one.model, WaterHeater) and (rules := _rules(one, job.spec.control))
    ]
    return Fitted(meter, alone, made, gravest_first((*made.findings, *part)))


def _entered(one: LoadSpec, control: Control) -> Entered | None:
    """Return a load as the fit takes it; None for one that is not simulated, or is switched in a way that is not fitted."""
    rules = _rules(one, control)
    if len(rules) == 1 and isinstance(rules[0], TimeProgramme):
        rating_w = one.rating_w * one.quantity
        # Its thermostat ends its runs, not the programme: what they show is its power and its hours.
        return Cycling(one.id, rating_w) if isinstance(one.model, WaterHeater) else Programmed(one.id, rating_w, rules[0])
    if rules or one.model is None:
        return None
    if isinstance(one.model, WaterHeater):
        known = {"rating_w"} if one.basis != "assumed" else set()
        return Store(one.id, one.model, frozenset(known | _read_on_site(one, one.model)))
    return Cycling(one.id, one.rating_w)


def _rules(one: LoadSpec, control: Control) -> list[AnyRule]:
    return [rule for rule in control.rules if rule.load == one.id]


def _why_not(one: LoadSpec, control: Control) -> str:
    """Return why a load that something switches today is not fitted; empty where nothing does."""
    rules = _rules(one, control)
    if len(rules) > 1:
        return f"{len(rules)} rules switch it, and which of them made a run is not seen"
    return f"a {rules[0].kind} switches it, and what that looked at is not in the record" if rules else ""


def _read_on_site(one: LoadSpec, model: WaterHeater) -> set[str]:
    """Return the names of values that the person read on site, as the fit calls them."""
    fields = type(model).model_fields
    by_word = {(field.alias or name): name for name, field in fields.items()}
    return {by_word[word] for word in one.read_on_site if word in by_word}
