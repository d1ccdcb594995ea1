"""The verb demand: what the site uses and when, and what else was asked of the record."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wattwright.cli import tables
from wattwright.cli.annualising import show_bills, show_year
from wattwright.cli.days import show_days
from wattwright.cli.options import Reading
from wattwright.cli.peaks import PeakChoice, show_peaks, with_choice
from wattwright.cli.supplying import show_quality
from wattwright.cli.surveying import show_survey
from wattwright.cli.switching import accepted, job_file_of, show_found
from wattwright.cli.verbs import assess, layout_of, say
from wattwright.cli.watching import watching
from wattwright.core.clock import SiteClock
from wattwright.core.envelope import to_json
from wattwright.core.show import Show
from wattwright.demand.analyse import Demand
from wattwright.demand.habits.habits import Habits
from wattwright.demand.habits.json_form import habits_json
from wattwright.demand.json_form import SCHEMA, demand_json
from wattwright.demand.quality.json_form import quality_json
from wattwright.demand.quality.supply import SupplyQuality
from wattwright.demand.survey.json_form import survey_json
from wattwright.demand.survey.reconcile import Reconciled
from wattwright.demand.switched.analyse import Switched
from wattwright.demand.within.bands import PeakBands
from wattwright.demand.within.json_form import peaks_json
from wattwright.demand.year.against import Against, in_doubt
from wattwright.demand.year.json_form import bills_json, year_json
from wattwright.demand.year.whole import Annualised
from wattwright.job.found import accept_load, found_json, proposed
from wattwright.job.loads import LoadSpec
from wattwright.job.peaks import limit_named
from wattwright.job.refused import Refused, refused_json, without_refused
from wattwright.job.surveyed import household_allowance_w
from wattwright.record.record import Record


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked beside the demand itself: peaks, loads that switch and which to accept, days and their weather."""

    peaks: PeakChoice | None = None
    switched: bool = False
    accept: tuple[str, ...] = ()
    days: bool = False
    survey: bool = False
    weather: Path | None = None
    quality: bool = False
    year: bool = False
    bills: Path | None = None


def show_demand(reading: Reading, asked: Asked, json: bool) -> None:
    """Show what the site uses and when, and the rest that was asked; write loads that are accepted into the job file.

    Raises FileError, RecordError, WeatherError, JobError, UsageError.
    """
    job_file = job_file_of(reading) if asked.accept else reading.source
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        if asked.peaks is not None:
            assessment = with_choice(assessment, asked.peaks, layout_of(reading))
        year = assessment.annualised(asked.weather, asked.bills) if asked.year else None
        paid = assessment.paid_bills() if year is None else year.paid
        kept, refused = without_refused(assessment.switched(), assessment.job.spec.not_loads) if asked.switched else (None, ())
        told = _Told(
            assessment.demand(),
            in_doubt(assessment.record(), paid),
            assessment.peaks() if asked.peaks is not None else None,
            kept,
            refused,
            assessment.habits(asked.weather) if asked.days else None,
            assessment.reconciled() if asked.survey else None,
            assessment.job.spec.loads,
            household_allowance_w(assessment.job.spec),
            limit_named(assessment.job.spec),
            assessment.supply_quality() if asked.quality else None,
            year,
            paid if year is None else None,
        )
    taken = accepted(told.switched, asked.accept)
    if json:
        say(to_json(SCHEMA, told.as_json(assessment.show, each=asked.peaks is not None and asked.peaks.each)))
    else:
        told.shown(assessment.show)
    for one in taken:
        accept_load(job_file, proposed(one, told.demand.days, SiteClock(told.demand.zone)))
        if not json:
            say(f"{job_file}: {one.id} written into the survey. Say there what it is.")


@dataclass(frozen=True, slots=True)
class _Told:
    """All that was asked, worked out; None for what was not asked."""

    demand: Demand
    record: Record
    peaks: PeakBands | None
    switched: Switched | None
    refused: tuple[Refused, ...]
    days: Habits | None
    survey: Reconciled | None
    surveyed: tuple[LoadSpec, ...]
    household_w: float
    limit_named: str
    quality: SupplyQuality | None
    year: Annualised | None
    bills: Against | None

    def as_json(self, show: Show, *, each: bool) -> dict[str, Any]:
        """Return it as plain data, the findings of all parts together."""
        told = demand_json(self.demand, self.record, show)
        if self.peaks is not None:
            told |= peaks_json(self.peaks, SiteClock(self.demand.zone), each=each)
        if self.switched is not None:
            told |= found_json(self.switched, self.surveyed, self.demand.days) | refused_json(self.refused)
        if self.days is not None:
            told |= habits_json(self.days)
        if self.survey is not None:
            told |= survey_json(self.survey, self.household_w, SiteClock(self.demand.zone), each=each)
        if self.quality is not None:
            told |= quality_json(self.quality, show)
        if self.year is not None:
            told |= year_json(self.year)
        if self.bills is not None:
            told |= bills_json(self.bills)
        every = (self.bills, self.peaks, self.switched, self.days, self.survey, self.quality, self.year)
        parts = [one for one in every if one is not None]
        more = [one for part in parts for one in part.findings if one not in self.record.findings]
        told["findings"] = [*told["findings"], *(one.as_json(show) for one in more)]
        return told

    def shown(self, show: Show) -> None:
        """Show it in the terminal."""
        tables.demand(self.demand, self.record, show)
        if self.bills is not None:
            show_bills(self.bills, show, self.record.findings)
        if self.peaks is not None:
            show_peaks(self.peaks, show, self.limit_named)
        if self.switched is not None:
            show_found(self.switched, self.surveyed, self.refused, self.demand.days, show)
        if self.days is not None:
            show_days(self.days, show)
        if self.survey is not None:
            show_survey(self.survey, self.household_w, show)
        if self.quality is not None:
            show_quality(self.quality, show)
        if self.year is not None:
            show_year(self.year, show, self.record.findings)
