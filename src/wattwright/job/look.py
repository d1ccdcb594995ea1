"""A look at one meter file: what it is, how complete, and for everything it leaves open, what each answer would make of it."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import InputError, RecordError
from wattwright.core.progress import SILENT, Progress
from wattwright.core.quantity import Quantity
from wattwright.core.series import Series
from wattwright.demand.site import site_power
from wattwright.job.questions import Choice, Entries, Question, of_fault, of_record
from wattwright.record.read import read_record
from wattwright.record.record import Record
from wattwright.record.spec import ColumnSpec, LayoutSpec

MOST_CHOICES = 12
"""Answers tried for one question: a file of a hundred meters is not read a hundred times."""
_MOST_OPEN = 4


@dataclass(frozen=True, slots=True)
class Told:
    """What a person said about a meter file: the site's zone (empty for none), the layout, the channel and the meter's id."""

    zone: str = ""
    layout: LayoutSpec = field(default_factory=LayoutSpec)
    channel: str = ""
    meter: str = "main"

    def with_answer(self, choice: Choice) -> "Told":
        """Return the same with one more answer."""
        changed = self
        for path, value in choice.entries.items():
            changed = changed._with(path, value)
        return changed

    def _with(self, path: str, value: object) -> "Told":
        if path == "channel":
            return replace(self, channel=str(value))
        name = path.removeprefix("layout.")
        if name == "columns" and isinstance(value, list):
            kept = [one for one in self.layout.columns if one.column not in {spec["column"] for spec in value}]
            value = (*kept, *(ColumnSpec.model_validate(spec) for spec in value))
        return replace(self, layout=self.layout.model_copy(update={name: value}))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one reading of the file comes to: its span (UTC seconds), intervals, energy in kWh and highest value with its unit.

    The energy is NaN where the file holds no active power; the highest value is then that of the channel asked about.
    """

    start_s: int
    end_s: int
    step_s: int
    intervals: int
    missing: int
    energy_kwh: float
    highest: float
    unit: str
    highest_s: int

    @property
    def share_read(self) -> float:
        """Return the share of the intervals that have a reading."""
        return 1 - self.missing / self.intervals


@dataclass(frozen=True, slots=True)
class Answered:
    """A choice and what it makes of the file, or why the file cannot be read so."""

    choice: Choice
    outcome: Outcome | None
    refused: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with what each of its answers would come to."""

    question: Question
    answers: tuple[Answered, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """What a meter file is; ``record`` is None as long as a question is open without which nothing can be read.

    ``completeness`` (shape (n,)) is the share of readings in n parts of the record, of its power or first channel.
    """

    name: str
    told: Told
    record: Record | None
    outcome: Outcome | None
    completeness: NDArray[np.float64]
    asked: tuple[Asked, ...]

    @property
    def is_open(self) -> bool:
        """Return whether nothing can be read before a question is answered."""
        return self.record is None

    @property
    def part_s(self) -> float:
        """Return how long one part of ``completeness`` is, in seconds; NaN while nothing is read."""
        if self.outcome is None:
            return float("nan")
        return (self.outcome.end_s - self.outcome.start_s) / len(self.completeness)


def look_at(path: Path, told: Told, parts: int, progress: Progress = SILENT) -> Look:
    """Return what the file at ``path`` is under what was ``told``, its completeness in so many ``parts``.

    Raises FileError, and RecordError where the file is damaged rather than open to several readings.
    """
    progress.at("reading the file", 0, 1)
    asked: list[Asked] = []
    trial = told
    while True:
        try:
            record = read_record(path, trial.zone, trial.layout, trial.meter)
            break
        except RecordError as error:
            question = of_fault(error.faults[0])
            if question is None or len(asked) == _MOST_OPEN:
                raise
        asked.append(Asked(question, _tried(path, trial, question.choices, progress)))
        trial = trial.with_answer(_first_that_reads(asked[-1]))
    is_open = bool(asked)
    outcome = _outcome(record, trial.channel)
    for question in of_record(record):
        taken = _outcome(record, _column_of(question.choices[0].entries) or trial.channel) if question.choices else None
        asked.append(Asked(question, _tried(path, trial, question.choices, progress, taken=taken)))
    shown = np.zeros(0) if is_open else _completeness(_shown(record, trial.channel)[0], parts)
    return Look(path.name, told, None if is_open else record, None if is_open else outcome, shown, tuple(asked))


def _first_that_reads(asked: Asked) -> Choice:
    """Return the first answer under which the file can be read, else the first: what it leaves open is asked next."""
    return next((one.choice for one in asked.answers if one.outcome is not None), asked.question.choices[0])


def _tried(
    path: Path, told: Told, choices: Sequence[Choice], progress: Progress, taken: Outcome | None = None
) -> tuple[Answered, ...]:
    """Return what each choice comes to; ``taken`` is what the first one came to where the file was read by it already."""
    answers = []
    for number, choice in enumerate(choices[:MOST_CHOICES]):
        progress.at(f"reading it as {choice.words}", number, len(choices))
        known = taken is not None and number == 0
        answers.append(Answered(choice, taken) if known else _answer(path, told.with_answer(choice), choice))
    return tuple(answers)


def _answer(path: Path, told: Told, choice: Choice) -> Answered:
    try:
        record = read_record(path, told.zone, told.layout, told.meter)
    except RecordError as error:
        return Answered(choice, None, error.faults[0].sentence())
    return Answered(choice, _outcome(record, _column_of(choice.entries) or told.channel))


def _column_of(entries: Entries) -> str:
    """Return the column an answer is about, so that its own figures are shown."""
    specs = entries.get("layout.columns")
    return str(specs[0]["column"]) if specs else ""


def _shown(record: Record, channel: str) -> tuple[Series, Quantity]:
    """Return the series to show: the site's power, or the channel named where that is none."""
    try:
        return site_power(record, channel).series, Quantity.ACTIVE_POWER
    except InputError:
        one = next((one for one in record.channels if channel in (one.id, one.column)), record.channels[0])
        return one.series, one.meaning.quantity


def _outcome(record: Record, channel: str) -> Outcome:
    """Return what a record comes to, seen at the site's power or at the channel named."""
    series, quantity = _shown(record, channel)
    missing = int((~series.present).sum())
    at = 0 if missing == len(series) else int(np.nanargmax(series.values))
    of_power = quantity is Quantity.ACTIVE_POWER
    return Outcome(
        start_s=series.start_s,
        end_s=series.end_s,
        step_s=series.step_s,
        intervals=len(series),
        missing=missing,
        energy_kwh=float(np.nansum(series.values)) * series.step_s / 3.6e6 if of_power else float("nan"),
        highest=float(series.values[at]),
        unit=quantity.unit,
        highest_s=series.start_s + series.step_s * at,
    )


def _completeness(series: Series, parts: int) -> NDArray[np.float64]:
    edges = np.unique(np.linspace(0, len(series), min(parts, len(series)) + 1).round().astype(np.int64))
    return np.add.reduceat(series.present, edges[:-1]) / np.diff(edges)
