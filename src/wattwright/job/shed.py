"""Whether shedding comes in time on the site of a job, under the rules of a plan."""

import numpy as np

from wattwright.control.rules import Control, in_unit
from wattwright.job.planning import PlanCase
from wattwright.job.spec import JobSpec
from wattwright.plan.shed.cases import Chance, Rate
from wattwright.plan.shed.check import crossings_a_year, shed_check
from wattwright.plan.shed.results import ShedCheck
from wattwright.plan.shed.site import shed_site


def shed_of(asked: PlanCase, control: Control, spec: JobSpec) -> ShedCheck:
    """Return the check of shedding under ``control``: events are what crosses its pick-up value from below in today's days."""
    case = asked.case
    site = shed_site(case.under(control), control, case.names)
    chance = Chance(per_year=_events(asked, control), seed=spec.seed)
    return shed_check(site, gear=spec.shed_gear, accepted=spec.accepted_control, chance=chance)


def _events(asked: PlanCase, control: Control) -> Rate | None:
    """Return how often a year the site is above the pick-up value, by the simulated minutes; None where current is looked at."""
    shed = control.shedding
    if shed is None or shed.quantity != "site power":
        return None
    run, step_s = asked.simulated.run, float(asked.case.scenario.step_s)
    often = crossings_a_year(np.asarray(run.site_w), step_s, in_unit(shed.pick_up, shed.quantity))
    return (often, often, often)
