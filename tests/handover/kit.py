"""Jobs of one meter file whose readings a test writes itself, and what stands in a paper."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

from wattwright.charts.table import Marked, Table
from wattwright.core.show import THIN
from wattwright.handover.context import Context
from wattwright.handover.paper import Section, TableBlock, Text
from wattwright.handover.report import context_of
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job

PLAIN = """
version = 2
name = "One file"
invented = true
[site]
zone = "UTC"
[papers]
date = 2025-04-20
[[meters]]
id = "main"
[[files]]
id = "readings"
path = "readings.csv"
meter = "main"
"""
FIRST = datetime(2025, 3, 3)


def hours(values_kw: Iterable[float], step_h: float = 1, first: datetime = FIRST) -> str:
    """The text of a meter file with one reading in kW for each step."""
    rows = [f"{first + timedelta(hours=step_h * i):%Y-%m-%d %H:%M},{kw:.3f}" for i, kw in enumerate(values_kw)]
    return "\n".join(["time,P [kW]", *rows]) + "\n"


def assessment_of(folder: Path, readings: str, job: str = PLAIN) -> Assessment:
    """A job with these readings, kept nowhere."""
    (folder / "readings.csv").write_text(readings)
    (folder / "job.toml").write_text(job)
    return Assessment(load_job(folder), keep=False)


def context_with(folder: Path, readings: str, job: str = PLAIN) -> Context:
    """The results behind the report of a job with these readings."""
    return context_of(assessment_of(folder, readings, job))


def sentences(given: Section) -> str:
    """Lead and paragraphs of a section as one text."""
    texts = [str(given.lead), *(str(block.words) for block in given.blocks if isinstance(block, Text))]
    return " ".join(texts).replace(THIN, " ")


def tables(given: Section) -> list[Table]:
    """The tables of a section."""
    return [block.table for block in given.blocks if isinstance(block, TableBlock)]


def cells(table: Table) -> list[list[str]]:
    """The texts of a table's rows."""
    return [[cell.text if isinstance(cell, Marked) else cell for cell in row] for row in table.rows]


def captioned(given: Section, caption: str) -> Table:
    """The table of a section with that caption."""
    return next(one for one in tables(given) if one.caption == caption)
