"""The peaks behind the means, as the verb demand shows them."""

from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import ValidationError
from rich.text import Text

from wattwright.cli.tables import findings, new_console, new_table, print_table
from wattwright.core.errors import UsageError
from wattwright.core.show import Show
from wattwright.demand.within.bands import Band, Passing, PeakBands, Rests
from wattwright.job.assessment import Assessment
from wattwright.job.spec import FileSpec, LimitSpec
from wattwright.record.spec import LayoutSpec


@dataclass(frozen=True, slots=True)
class PeakChoice:
    """What was asked about peaks: the bands of each interval too, a file of finer readings, a limit such as "9 kW" or "40 A"."""

    each: bool = False
    calibrate: Path | None = None
    limit: str = ""


def with_choice(assessment: Assessment, choice: PeakChoice, layout: LayoutSpec) -> Assessment:
    """Return the assessment of the same job with the finer readings and the limit that were asked for, none of it kept.

    Raises UsageError for what is no limit.
    """
    job = assessment.job
    spec = job.spec
    if choice.calibrate is not None:
        # What names columns of the record need not hold for the finer readings; how stamps are written usually does.
        layout = layout.model_copy(update={"columns": (), "part": ""})
        meter = assessment.main_file.meter
        finer = FileSpec(id="finer-given", path=str(choice.calibrate.resolve()), meter=meter, finer=True, layout=layout)
        spec = spec.model_copy(update={"files": (*(one for one in spec.files if not one.finer), finer)})
    if choice.limit:
        spec = spec.model_copy(update={"limit": _limit(choice.limit)})
    return assessment if spec is job.spec else Assessment(replace(job, spec=spec), keep=False, progress=assessment.progress)


def _limit(text: str) -> LimitSpec:
    for name in ("power", "current"):
        try:
            return LimitSpec.model_validate({name: text})
        except ValidationError:
            continue
    raise UsageError(
        f'--limit: found "{text}"; expected a power or a current above nought with its unit, such as "9 kW" or "40 A".'
    )


def show_peaks(given: PeakBands, show: Show, named: str = "") -> None:
    """Show the peaks behind the means: by window and month, what they rest on, how a limit is passed, what each load tells.

    ``named`` says what the limit is, where it was not given as a power.
    """
    console = new_console()
    if given.shortest.rests is Rests.NOTHING:
        findings(given.findings, show, console)
        return
    console.print(
        Text.assemble(("Peaks behind the means", "bold"), f", bands that hold {show.percent(given.nominal)} where said")
    )
    table = new_table("window", "low", "middle", "high", "rests on")
    for one in given.windows:
        table.add_row(show.duration(one.window_s), *_three(one.whole, show), one.rests.value)
    print_table(table, console)
    first = given.shortest
    if len(first.months) > 1:
        months = new_table("month", f"low, {show.duration(first.window_s)}", "middle", "high")
        for year, month, band in first.months:
            months.add_row(show.month(year, month), *_three(band, show))
        print_table(months, console)
    for line in _lines(given, show, named):
        console.print(Text(f"  {line}"))
    findings(given.findings, show, console)


def _three(band: Band, show: Show) -> tuple[str, str, str]:
    return show.kilowatts(band.low_w, 2), show.kilowatts(band.median_w, 2), show.kilowatts(band.high_w, 2)


def _lines(given: PeakBands, show: Show, named: str) -> list[str]:
    lines = []
    if given.passing is not None:
        lines += _passing(given.passing, show, named)
    if given.starter:
        start = f"{show.number(given.start_a)} A for about a second"
        lines.append(f"On top comes the start of a motor: {given.starter} draws {start}.")
    lines += [
        f"Knowing the rating of {one.name} narrows the band of an interval by {show.power(one.narrower_w)}."
        for one in sorted(given.narrowing, key=lambda one: -one.narrower_w)
        if one.narrower_w >= 0.01 * one.mean_width_w
    ]
    return lines


def _passing(one: Passing, show: Show, named: str) -> list[str]:
    limit = show.power(one.limit_w) + (f" ({named})" if named else "")
    if one.minutes[2] <= 0:
        return [f"{limit} is not passed in this record, as far as these bands tell."]
    low, middle, high = (show.number(value) for value in one.minutes)
    times = f"{show.number(one.times[0])} to {show.number(one.times[2])} times"
    return [
        f"{limit} is passed for {low} to {high} min in this record ({middle} in the middle), {times}, "
        f"at most {show.number(one.longest_min[2])} min at a time."
    ]
