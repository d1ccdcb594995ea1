"""What every section of the report is given: the results, how they are shown, and the words."""

import tomllib
from dataclasses import dataclass
from importlib.resources import files

from wattwright.charts.picture import Caption
from wattwright.charts.table import Table
from wattwright.core.basis import Basis
from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.core.wording import register, say
from wattwright.demand.analyse import Demand
from wattwright.demand.site import SitePower
from wattwright.job.spec import JobSpec
from wattwright.record.record import Record
from wattwright.tariff.compare import Comparison, cost_grounds

_TEXTS = tomllib.loads(files("wattwright.handover").joinpath("report_en.toml").read_text(encoding="utf-8"))
register("en", {f"report.{key}": text for key, text in _TEXTS.items()})


@dataclass(frozen=True, slots=True)
class Context:
    """The results a report is made of, and the way they are shown."""

    spec: JobSpec
    record: Record
    power: SitePower
    demand: Demand
    show: Show
    fingerprint: str
    costs: Comparison | None = None

    @property
    def clock(self) -> SiteClock:
        """Return the site's clock."""
        return SiteClock(self.spec.site.zone)

    @property
    def limit_w(self) -> float | None:
        """Return what the main protection carries in W at nominal voltage and power factor 1, or None where it is not known."""
        supply = self.spec.supply
        if supply is None or supply.main_protection_a is None:
            return None
        conductors = {"single-phase": 1, "split-phase": 2, "three-phase": 3}[supply.system]
        return supply.main_protection_a * supply.voltage_v * conductors

    @property
    def cost_basis(self) -> Basis:
        """Return the mark of a cost: that of the least firm of its prices and its energy."""
        if self.costs is None:
            return Basis.CALCULATED
        return cost_grounds(self.costs.tariffs[0].bill, self.power.grounds).basis

    def words(self, key: str, **data: object) -> str:
        """Return the sentence for ``key`` of the report."""
        return say(f"report.{key}", data, self.show)

    def caption(self, id_: str, title: str, alt: str, table: Table | None = None) -> Caption:
        """Return what travels with a picture: its id, title, text alternative, source, table and step."""
        return Caption(id_, title, alt, self.source, table, self.show.duration(self.demand.summary.step_s))

    @property
    def source(self) -> str:
        """Return the source line of pictures and tables: the file, read and not filled in."""
        return f"{self.record.source.name}, {Basis.MEASURED.name.lower()}"
