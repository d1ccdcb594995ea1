"""The assessment: one job's stages wired together. Faces and handover ask it and only read what it gives."""

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wattwright.control.rules import Control
from wattwright.core.calendar import public_holidays
from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, JobError, Place, quoted
from wattwright.core.files import read_bytes, source_of
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.fingerprint import fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.core.show import Show
from wattwright.demand.analyse import Demand, analyse
from wattwright.demand.habits.habits import Habits, Outdoors, habits
from wattwright.demand.quality.supply import Ratings, SupplyQuality, supply_quality
from wattwright.demand.site import SitePower, register_spans, site_power
from wattwright.demand.survey.reconcile import Reconciled, reconcile
from wattwright.demand.within.asked import Finer
from wattwright.demand.within.bands import PeakBands
from wattwright.demand.year.against import Against, against, in_doubt
from wattwright.demand.year.bills import read_bills
from wattwright.demand.year.whole import Annualised, Surroundings, annualise
from wattwright.job import kinds
from wattwright.job.cache import Shelf
from wattwright.job.costs import chosen, usage_of
from wattwright.job.file import Job
from wattwright.job.graph import Graph, Stage, State
from wattwright.job.keeping import Kept
from wattwright.job.outdoors import outdoors
from wattwright.job.own_sources import filled, used
from wattwright.job.peaks import behind_means
from wattwright.job.spec import FileSpec, JobSpec, MeterSpec, PaperSpec, RepairSpec, SiteSpec, TariffChoice
from wattwright.job.surveyed import expected_loads
from wattwright.record import kinds as record_kinds
from wattwright.record.estimate import Filled
from wattwright.record.faults.sun import against_the_sun
from wattwright.record.read import read_record
from wattwright.record.readers.door import source_at
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec
from wattwright.tariff.compare import Comparison, compare

if TYPE_CHECKING:
    from wattwright.demand.switched.analyse import Switched
    from wattwright.job.calibration import Fitted
    from wattwright.job.simulation import Question

_RECORD_ROOMS = ("wattwright.record", "wattwright.sky")
_COST_ROOMS = ("wattwright.record", "wattwright.demand", "wattwright.tariff")
_DEMAND_ROOMS = ("wattwright.record", "wattwright.demand")


class Assessment(Kept):
    """One job, worked out stage by stage as it is asked; results are kept beside the job file unless told otherwise."""

    def __init__(
        self,
        job: Job,
        *,
        keep: bool = True,
        shelf: Path | None = None,
        progress: Progress = SILENT,
        elsewhere: Callable[[str], None] | None = None,
    ) -> None:
        """Take a job; with ``keep`` results lie in a folder beside it, or below ``shelf``, and are used again.

        ``elsewhere`` has another process make a stage, as the graph says.
        """
        self.job = job
        self.progress = progress
        stages = [self._record_stage(file) for file in job.spec.files]
        main = job.spec.main_file()
        if main is not None:
            stages += [self._power_stage(main), self._demand_stage(main)]
            stages += [self._peaks_stage(main, job.spec.finer_file())]
            stages += [self._costs_stage(main)] if job.spec.tariff.files else []
        self._shelf = Shelf((shelf or job.folder) if keep else None)
        self.graph = Graph({stage.name: stage for stage in stages}, self._shelf, job.spec.seed, elsewhere)

    @property
    def show(self) -> Show:
        """Return how this job's figures are shown."""
        papers = self.job.spec.papers
        return Show(papers.locale, papers.units, self.job.spec.site.zone)

    @property
    def main_file(self) -> FileSpec:
        """Return the main meter's file; raises JobError where the job has none yet."""
        main = self.job.spec.main_file()
        if main is None:
            raise self._no_readings()
        return main

    def record(self, file_id: str = "") -> Record:
        """Return the record of a file by its id, of the main meter's file if empty. Raises FileError, RecordError, JobError."""
        record: Record = self._result(f"record-{file_id or self.main_file.id}")
        return record

    def power(self) -> SitePower:
        """Return the site's power from the main meter's record, its gaps filled where the job asks for it."""
        power: SitePower = self._of_readings("power")
        return power

    def estimates(self) -> tuple[Filled, ...]:
        """Return every gap of the main meter's readings that a rule can fill, whether the job takes it or not.

        Raises FileError, RecordError, JobError.
        """
        repair = self.job.spec.repair
        if repair.gaps == "estimate" and not repair.without:
            return self.power().filled  # all that a rule can fill is filled there already
        record = self.record()
        power = site_power(record, self.main_file.channel)
        return power.repaired(self.job.clock, self._holidays(record), register_spans(power, record)).filled

    def demand(self) -> Demand:
        """Return what the main meter's record says about demand. Raises FileError, RecordError, JobError."""
        demand: Demand = self._of_readings("demand")
        return demand

    def peaks(self) -> PeakBands:
        """Return the peaks behind the main meter's means, as bands. Raises FileError, RecordError, JobError."""
        peaks: PeakBands = self._of_readings("peaks")
        return peaks

    def habits(self, weather: Path | None = None) -> Habits:
        """Return what days are like, with the temperature of a ``weather`` file, of the job's own, or of the record.

        Raises FileError, RecordError, WeatherError, JobError.
        """
        return habits(self.demand(), self.power().series, self._outdoors(weather), self.job.spec.seed)

    def _outdoors(self, weather: Path | None) -> Outdoors | None:
        spec = self.job.spec
        named = weather or (self.job.inside(spec.weather.file) if spec.weather.file else None)
        return outdoors(self.record(), named, spec.site.zone)

    def annualised(self, weather: Path | None = None, bills: Path | None = None) -> Annualised:
        """Return the year that the main meter's record makes, held against paid bills; ``weather`` as for habits.

        The bills are those of the file ``bills``, of the job if none is named.

        Raises FileError, RecordError, WeatherError, JobError.
        """
        site = self.job.spec.site
        paid = read_bills(bills) if bills is not None else self.job.spec.bills
        demand, beside = self.demand(), self._outdoors(weather)
        first, last = demand.days.first.year - 1, demand.days.date(len(demand.days)).year + 1
        off = public_holidays(site.country, site.subdivision or None, first, last)
        around = Surroundings(self.job.clock, off, site.latitude_deg, beside, paid, self.job.spec.seed)
        return annualise(demand, self.power().series, around)

    def paid_bills(self) -> Against | None:
        """Return the main meter's readings held against the job's paid bills, None where it has none.

        Raises FileError, RecordError, JobError.
        """
        bills = self.job.spec.bills
        return against(bills, self.power().series, self.demand().days) if bills else None

    def judged_record(self) -> Record:
        """Return the main meter's record, what the paid bills bring into doubt first among its findings; errors as above."""
        return in_doubt(self.record(), self.paid_bills())

    def switched(self) -> "Switched":
        """Return the loads that switch behind the main meter's readings, kept beside the job for as long as those are the same.

        Raises FileError, RecordError, JobError.
        """
        from wattwright.demand.switched.analyse import Switched, what_switches

        power = self.power()
        mark = fingerprint(self.graph.fingerprint_of("power"), self.job.spec.site.zone)
        found = self._shelf.find("switched", mark, Switched)
        if found is None:
            found = what_switches(power, self.record(), self.job.clock, self.progress)
            self._shelf.keep("switched", mark, found)
        return found

    def reconciled(self) -> Reconciled:
        """Return the survey held against the record, hour by hour. Raises FileError, RecordError, JobError without a survey."""
        if not self.job.spec.loads:
            raise self._nothing(
                field="loads", wanted="a survey of loads", step="Add a [[loads]] entry for each load found on site."
            )
        return reconcile(self.power().series, self.job.clock, self.demand().days, expected_loads(self.job.spec))

    def supply_quality(self) -> SupplyQuality:
        """Return what the main meter's record says of the quality of the supply. Raises FileError, RecordError, JobError."""
        supply = self.job.spec.supply
        ratings = Ratings() if supply is None else Ratings(supply.voltage_v, supply.main_protection_a, supply.live_conductors)
        return supply_quality(self.record(), self.job.clock, ratings)

    @property
    def has_tariff(self) -> bool:
        """Return whether the job names a tariff, so that costs can be worked out."""
        return "costs" in self.graph.names()

    def costs(self) -> Comparison:
        """Return the bills of the main meter's readings: the tariff paid today first, then those to hold beside it.

        Raises FileError, RecordError, TariffError, JobError.
        """
        if not self.job.spec.tariff.files:
            step = 'Write files = ["tariff.toml"] under [tariff].'
            raise self._nothing(field="tariff", wanted="a tariff file", step=step)
        costs: Comparison = self._of_readings("costs")
        return costs

    def question(self) -> "Question":
        """Return the job with its record, ready to be simulated. Raises FileError, RecordError, JobError."""
        from wattwright.job.simulation import Question

        return Question(self.job, self.record(), self.power(), self._metered(), self._generated())

    def switchings(self, control: Control, progress: Progress = SILENT) -> dict[str, float]:
        """Return how often a year each simulated load is switched under rules, by simulating all days of the record.

        Kept beside the job for the rules asked for last. Raises FileError, RecordError, InputError where the job cannot be
        simulated yet.
        """
        from wattwright.job.simulation import Switchings

        mark = fingerprint(self._plan_mark(), control.model_dump(mode="json"))
        kept = self._shelf.find("switchings", mark, Switchings)
        if kept is None:
            question = self.question()
            made = question.simulate(*question.days(), None if control == self.job.spec.control else control, progress)
            kept = Switchings(tuple((one.id, one.contact_moves_a_year / 2.0) for one in made.outcome.loads))
            self._shelf.keep("switchings", mark, kept)
        return dict(kept.a_year)

    def fitted(self) -> "tuple[Fitted, ...]":
        """Return today's loads fitted to the records. Raises FileError, RecordError, JobError."""
        from wattwright.job.calibration import fitted

        power = used(self.record(), self.power(), self._generated().values())
        return fitted(self.job, self.main_file.meter, power, self._metered())

    def _metered(self) -> dict[str, SitePower]:
        """Return the power of each sub-meter that measures loads, by its id."""
        return self._of_meters({one.meter for one in self.job.spec.loads if one.meter})

    def _generated(self) -> dict[str, SitePower]:
        """Return the power of each meter that measures PV, by its id. Raises JobError for one without a file."""
        wanted = {one.meter: index for index, one in enumerate(self.job.spec.pv) if one.meter}
        found = self._of_meters(set(wanted))
        for meter in wanted.keys() - found.keys():
            raise JobError.one(
                "job.pv-not-read",
                self.job.place("pv", wanted[meter], "meter"),
                found=f'no file of the meter "{meter}", or that of the whole site',
                wanted="readings of what the array gives",
                next_step="Add a [[files]] table for that meter, or leave meter out to have the array simulated.",
            )
        return {meter: filled(self.job, power) for meter, power in found.items()}

    def _of_meters(self, wanted: set[str]) -> dict[str, SitePower]:
        others = {one.meter: one for one in self.job.spec.files if one.meter in wanted and one is not self.main_file}
        return {meter: site_power(self.record(one.id), one.channel) for meter, one in others.items()}

    def states(self) -> dict[str, State]:
        """Return for each stage whether its result is ready, stale or not made yet."""
        return {name: self.graph.state(name) for name in self.graph.names()}

    def findings(self) -> tuple[Finding, ...]:
        """Return the findings of every stage that has been worked out here, gravest first."""
        records = [self.record(file.id) for file in self.job.spec.files]
        found = [finding for record in records for finding in record.findings]
        found += self.demand().findings
        paid = self.paid_bills()
        found += paid.findings if paid is not None else ()
        found += self.costs().tariffs[0].bill.findings if self.has_tariff else ()
        return gravest_first(tuple(found))

    def _of_readings(self, name: str) -> Any:
        """Return the result of a stage that is only there once the main meter has a file of readings."""
        if name not in self.graph.names():
            raise self._no_readings()
        return self._result(name)

    def _no_readings(self) -> InputError:
        step = "Add a [[files]] entry with its path and meter."
        return self._nothing(field="files", wanted="a file of readings from the main meter", step=step)

    def _result(self, name: str) -> Any:
        return self.graph.result(name, self.progress)

    def _record_stage(self, file: FileSpec) -> Stage:
        path = self.job.inside(file.path)
        site = self.job.spec.site
        zone = site.zone if self.job.zone_given else ""
        placed = () if site.longitude_deg is None else (site.latitude_deg, site.longitude_deg)

        def make(progress: Progress) -> Record:
            record = read_record(path, zone, file.layout, file.meter, progress)
            found = against_the_sun(record, site.latitude_deg, site.longitude_deg) if zone else ()
            # Whoever named the channel has said which of several powers is the site's.
            read = [one for one in record.findings if not (file.channel and one.code == record_kinds.SEVERAL_POWERS.code)]
            return replace(record, findings=(*read, *found, *self._outside(file)))

        def inputs() -> object:
            return (source_at(path), zone, file.layout, file.meter, *placed, bool(self._outside(file)), bool(file.channel))

        return Stage(f"record-{file.id}", Record, (), inputs, _RECORD_ROOMS, make)

    def _outside(self, file: FileSpec) -> tuple[Finding, ...]:
        """Return a note where a file of a job folder lies elsewhere, by its path or by a link."""
        path, folder = self.job.inside(file.path), self.job.folder.resolve()
        if self.job.path.suffix != ".toml" or path.resolve().is_relative_to(folder):
            return ()
        written = Path(file.path)
        link = "" if written.is_absolute() or ".." in written.parts else " by a link"
        return (kinds.OUTSIDE.at(file.id, path=quoted(file.path), link=link),)

    def _power_stage(self, file: FileSpec) -> Stage:
        spec = self.job.spec

        def make(record: Record, _: Progress) -> SitePower:
            power = site_power(record, file.channel)
            if spec.repair.gaps != "estimate":
                return power
            return power.repaired(self.job.clock, self._holidays(record), register_spans(power, record), spec.repair.without)

        site = spec.site
        inputs = (site.zone, site.country, site.subdivision, spec.repair, file.channel)
        return Stage("power", SitePower, (f"record-{file.id}",), lambda: inputs, _DEMAND_ROOMS, make)

    def _demand_stage(self, file: FileSpec) -> Stage:
        site = self.job.spec.site

        def make(record: Record, power: SitePower, progress: Progress) -> Demand:
            holidays = self._holidays(record)
            return analyse(record, self.job.clock, holidays, site.latitude_deg, file.channel, progress, power)

        needs = (f"record-{file.id}", "power")
        return Stage("demand", Demand, needs, lambda: (site, file.channel), _DEMAND_ROOMS, make)

    def _peaks_stage(self, file: FileSpec, finer: FileSpec | None) -> Stage:
        spec = self.job.spec
        needs = (f"record-{file.id}", "power", *([f"record-{finer.id}"] if finer is not None else []))

        def make(record: Record, power: SitePower, *given: Any) -> PeakBands:
            *records, progress = given
            fine = None
            if finer is not None:
                fine = Finer(records[0].source.name, site_power(records[0], finer.channel).series.read_only())
            return behind_means(self.job, power.series, fine, progress)

        def inputs() -> object:
            loads = [one.model_dump(exclude={"wiring", "photos"}) for one in spec.loads]
            by = finer.channel if finer is not None else ""
            return (spec.site.zone, loads, spec.supply, spec.limit, spec.seed, by, "a survey below the readings bounds nothing")

        return Stage("peaks", PeakBands, needs, inputs, _DEMAND_ROOMS, make)

    def _costs_stage(self, file: FileSpec) -> Stage:
        choice = self.job.spec.tariff
        paths = [self.job.inside(name) for name in choice.files]

        def make(record: Record, power: SitePower, progress: Progress) -> Comparison:
            progress.at("working out the bills", 0, 1)
            return compare(
                chosen(paths, choice.paid, choice.compare, self.job.place), usage_of(record, power=power), self.job.clock
            )

        def inputs() -> object:
            return ([source_of(path, read_bytes(path)) for path in paths], choice, file.channel, self.job.spec.site.zone)

        return Stage("costs", Comparison, (f"record-{file.id}", "power"), inputs, _COST_ROOMS, make)

    def _holidays(self, record: Record) -> frozenset[dt.date]:
        site, clock = self.job.spec.site, SiteClock(self.job.spec.site.zone)
        series = record.channels[0].series
        first, last = clock.day_of(series.start_s).year, clock.day_of(series.end_s).year
        return public_holidays(site.country, site.subdivision or None, first, last)

    def _nothing(self, *, field: str, wanted: str, step: str) -> InputError:
        return JobError.one(
            f"job.no-{field}", Place(str(self.job.path), field=field), found="none", wanted=wanted, next_step=step
        )


def job_of_file(
    path: Path,
    zone: str,
    layout: LayoutSpec,
    channel: str,
    today: dt.date,
    tariff: TariffChoice | None = None,
    repair: RepairSpec | None = None,
) -> Job:
    """Return a job made of one meter file, and a tariff if one is named, for verbs that work directly on a file.

    ``tariff`` names its files from the folder of the meter file or absolutely. An empty ``zone`` leaves the stamps on a clock
    that never changes, which a finding says. Raises InputError for a zone there is not.
    """
    SiteClock(zone or "UTC")  # a zone there is not is refused here, as what it is: an option, no entry of a file
    spec = JobSpec(
        name=path.name[:80],
        site=SiteSpec(zone=zone or "UTC"),
        papers=PaperSpec(date=today),
        meters=(MeterSpec(id="main"),),
        files=(FileSpec(id="readings", path=path.name, meter="main", channel=channel, layout=layout),),
        tariff=tariff or TariffChoice(),
        repair=repair or RepairSpec(),
    )
    return Job(spec, path.parent, path, zone_given=bool(zone))
