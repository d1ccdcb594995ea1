"""What every section of the report is given: the results, how they are shown, and the words."""

import tomllib
from dataclasses import dataclass
from importlib.resources import files
from typing import TYPE_CHECKING

from wattwright.charts.picture import Caption
from wattwright.charts.table import Table
from wattwright.charts.words import ChartWords
from wattwright.core.basis import Basis
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.show import Show
from wattwright.core.wording import register, say
from wattwright.demand.analyse import Demand
from wattwright.demand.site import SitePower
from wattwright.demand.within.bands import PeakBands
from wattwright.demand.year.against import Against
from wattwright.handover.exchange import Exchange, exchange
from wattwright.job.spec import FileSpec, JobSpec
from wattwright.record.record import Record
from wattwright.tariff.compare import Comparison, cost_grounds

if TYPE_CHECKING:
    from wattwright.job.planned import KeptPlan
    from wattwright.job.proved import Proof
    from wattwright.supply.sizing.answer import Quote

LANGUAGE = "en"
"""The language the report is written in, so far the only one: months are named in it, whatever the locale of the figures."""

_FEWEST_BINS = 4
"""In fewer stretches than this a day has no course to speak of."""

_TEXTS = tomllib.loads(files("wattwright.handover").joinpath("report_en.toml").read_text(encoding="utf-8"))
register(LANGUAGE, {f"report.{key}": text for key, text in _TEXTS.items()})


def chart_words(show: Show) -> ChartWords:
    """Return the words inside pictures, with the marks that figures have in the locale."""
    group, decimal = (mark.strip("0123456789") for mark in (show.fixed(1234, 0), show.fixed(0.5, 1)))
    return ChartWords(decimal_mark=decimal, group_mark=group)


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
    files: tuple[tuple[FileSpec, Record], ...] = ()
    peaks: PeakBands | None = None
    bills: Against | None = None
    plan: "KeptPlan | None" = None
    quote: "Quote | None" = None
    seal_text: str | None = None
    seal_broken: str = ""
    seal_lost: bool = False
    is_proof_of_others: bool = False
    proof: "Proof | None" = None

    @property
    def clock(self) -> SiteClock:
        """Return the site's clock."""
        return SiteClock(self.spec.site.zone)

    @property
    def exchange(self) -> Exchange:
        """Return what the site took and gave back over the whole record, estimates included."""
        return exchange(self.power.series)

    @property
    def within_day(self) -> bool:
        """Return whether the readings are fine enough to say anything about times of day."""
        return self.demand.profiles.bin_s * _FEWEST_BINS <= DAY_S

    @property
    def hourly(self) -> bool:
        """Return whether the readings tell one hour from the next."""
        return self.demand.summary.step_s <= 3600

    @property
    def one_day(self) -> bool:
        """Return whether the record lies within one day of the site's calendar."""
        summary = self.demand.summary
        return self.clock.day_of(summary.start_s) == self.clock.day_of(summary.end_s - 1)

    @property
    def dates(self) -> Show:
        """Return how days and months are written: in the language of the text, in the locale's order where they agree."""
        return self.show if self.show.language == LANGUAGE else Show("en_GB", self.show.units, self.show.zone)

    @property
    def chart_words(self) -> ChartWords:
        """Return the words inside pictures, with the marks that figures have in the locale."""
        return chart_words(self.show)

    def day(self, time_s: int) -> str:
        """Return the day of an instant, the month in letters."""
        return self.dates.day(self.clock.day_of(time_s))

    def when(self, time_s: int) -> str:
        """Return an instant as far as the readings tell it: with its time of day, or only its day."""
        return self.show.time(time_s) if self.within_day else self.day(time_s)

    @property
    def limit_w(self) -> float | None:
        """Return what the main protection carries in W, or None where it is not known."""
        return None if self.spec.supply is None else self.spec.supply.protection_w

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
