"""How far a plan's releases by the clock load the supply: what several programmes switch on at one minute of the week."""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.control.rules import Control
from wattwright.plan.case import Case
from wattwright.plan.families.times import DAY_MIN
from wattwright.plan.shed.returns import released
from wattwright.plan.shed.site import Limit, ShedSite, shed_site


@dataclass(frozen=True, slots=True, eq=False)
class Releases:
    """A site for which it is asked again and again what is released together, and the limits of its supply."""

    site: ShedSite
    limits: tuple[Limit, ...]

    def ratio(self, control: Control) -> float:
        """Return the most that loads released together take of a rating; 0 where none are.

        It is what the check of shedding tells of releases: the rest of the site at its highest of the hour and the next.
        """
        if not self.limits:
            return 0.0
        found = released(replace(self.site, control=control)).items()
        together = {(minute % DAY_MIN // 60, frozenset(waited)) for minute, waited in found if len(waited) > 1}
        return max((self._ratio(hour, ids) for hour, ids in together), default=0.0)

    def _ratio(self, hour: int, ids: frozenset[str]) -> float:
        power_va = np.hypot(*self.site.from_minute(60 * hour).power([one for one in self.site.loads if one.id in ids]))
        return max(float(one.ratio(power_va)) for one in self.limits)


def releases_of(case: Case) -> Releases:
    """Return what is asked about releases of a case: of its connection; of inverter and generator where there never is a grid.

    What these carry in an outage is simulated; a clock releases on nearly all days with the grid there.
    """
    site = shed_site(case.scenario, case.today, case.names)
    alone = case.scenario.supply.stands_alone
    return Releases(site, tuple(one for one in site.limits() if alone or one.name == "connection"))
