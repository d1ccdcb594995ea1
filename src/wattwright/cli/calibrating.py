"""The verb that fits today's loads to the record."""

from math import isfinite
from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from wattwright.cli import tables
from wattwright.cli.options import Reading
from wattwright.cli.verbs import assess, say
from wattwright.cli.watching import watching
from wattwright.core.envelope import to_json
from wattwright.core.errors import UsageError
from wattwright.core.show import Show
from wattwright.job.calibration import Fitted
from wattwright.job.calibration_json import SCHEMA, calibration_json
from wattwright.simulate.calibrate import CalibratedLoad
from wattwright.simulate.fit.identify import FittedParameter


def calibrate_job(job: Path, json: bool) -> None:
    """Fit a job's loads to its records and show what they tell. Raises FileError, RecordError, JobError, UsageError."""
    reading = Reading(job, "", "", {})
    if not reading.is_job:
        raise UsageError("A meter file alone has no loads to fit. Give a job: its folder or its job.toml.")
    with watching(quiet=json) as progress:
        assessment = assess(reading, progress)
        made = assessment.fitted()
    if json:
        say(to_json(SCHEMA, calibration_json(made, assessment.show)))
        return
    console = tables.new_console()
    for one in made:
        _shown(one, assessment.show, console)
    told = "Intervals hold the truth in 90 % of cases where the load is what it is entered as; else they say nothing."
    console.print(Text(told, style="dim"))


def _shown(one: Fitted, show: Show, console: Console) -> None:
    close = one.calibration.by_day
    what = "the one load it measures" if one.alone else "today as simulated"
    told = (
        f": {what} explains {show.percent(close.explained_share)} of the energy, day by day with a CV(RMSE) of "
        f"{show.percent(close.cv_rmse)} and an NMBE of {show.percent(close.nmbe)}."
    )
    if not isfinite(close.cv_rmse):
        told = f": how closely {what} follows it cannot be told."
    console.print(Text.assemble((f"Meter {one.meter}", "bold"), told if one.calibration.loads else ": no load was seen in it."))
    for load in one.calibration.loads:
        _load(load, show, console)
    tables.findings(one.findings, show, console, placed=True)


def _load(one: CalibratedLoad, show: Show, console: Console) -> None:
    console.print(f"  {one.id}: {show.fixed(len(one.runs), 0)} runs seen")
    rows = [(_named(each.name), _value(each, show)) for each in one.parameters]
    grid = tables.pairs(rows)
    console.print(Padding(grid, (0, 4)))


_WORDS = {
    "rating_w": "rating",
    "draw_l": "hot water drawn",
    "loss_w_k": "standing loss",
    "differential_k": "differential",
    "set_c": "set point",
}
"""What parameters of a fit are called."""


def _named(name: str) -> str:
    end, _, line = name.partition("_")
    return f"switches {end}, line {line}" if end in ("on", "off") else _WORDS.get(name, name)


def _figure(one: FittedParameter, value: float, show: Show) -> str:
    """Return a value with its unit; a time of the day as the clock shows it."""
    if one.unit == "s":
        of_day = round(value) % 86_400
        return f"{of_day // 3600:02d}:{of_day // 60 % 60:02d}:{of_day % 60:02d}"
    return show.percent(value) if one.unit == "1" else f"{show.number(value)} {one.unit}"


def _value(one: FittedParameter, show: Show) -> str:
    value = _figure(one, one.value, show)
    if one.known:
        return f"{value}  read on site"
    if not one.identifiable:
        beside = f", not told from {', '.join(_named(name) for name in one.beside)}" if one.beside else ""
        return f"{value}  {'held as usual' if one.held else 'stands for all it is not told from'}{beside}"
    return f"{value}  {_figure(one, one.low, show)} to {_figure(one, one.high, show)}"
