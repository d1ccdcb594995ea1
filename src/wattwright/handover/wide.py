"""Small helpers for composing papers: labelled months and hours, findings as margin notes, tables from rows."""

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

from wattwright.charts.table import Cell, Column, Marked, Table
from wattwright.core.basis import Basis
from wattwright.core.findings import Finding, Severity, gravest_first
from wattwright.core.show import Show
from wattwright.handover.paper import MarginNote


def margin_notes(findings: Iterable[Finding], show: Show, least: Severity = Severity.LOOK, about: str = "") -> list[MarginNote]:
    """Return findings of at least a severity as margin notes, gravest first.

    ``about`` is the id of the meter file that all of them are about; without one each is about what it says itself.
    """
    wanted = (Severity.STOP, Severity.LOOK, Severity.NOTE)
    allowed = wanted[: wanted.index(least) + 1]
    told = gravest_first(tuple(one for one in findings if one.severity in allowed))
    return [MarginNote(one.severity, one.says(show), one.do(show), one.source, one.code, about or one.where) for one in told]


def clock_text(seconds: int) -> str:
    """Return seconds after midnight as HH:MM."""
    return f"{seconds // 3600:02d}:{seconds % 3600 // 60:02d}"


def short_months(names: Sequence[str], show: Show) -> list[str]:
    """Return months such as "2025-03" in letters for the foot of a picture; of two years each begins with its own."""
    several = len({name[:4] for name in names}) > 1
    letters = [show.month(int(name[:4]), int(name[5:7])).split(" ")[0] for name in names]
    firsts = [index == 0 or name[:4] != names[index - 1][:4] for index, name in enumerate(names)]
    return [
        f"{text} {name[2:4]}" if several and first else text for text, name, first in zip(letters, names, firsts, strict=True)
    ]


def table(columns: Sequence[Column], rows: Iterable[Sequence[Cell]], caption: str, source: str = "", totals: int = 0) -> Table:
    """Return a table from any rows."""
    return Table(tuple(columns), tuple(tuple(row) for row in rows), caption, source, totals)


def figure(show: Show, value: float | Decimal, decimals: int, basis: Basis | None = None) -> Marked:
    """Return a number as a cell: text with so many decimals, the number itself, and its own mark if it has one."""
    return Marked(show.fixed(value, decimals), basis, float(value), decimals)


def short(show: Show, value: float, least: float = 0.0) -> Marked:
    """Return a number as a cell, with no nought at its end; one that is not nought, but below ``least``, as less than that."""
    text = f"< {show.plain(least)}" if 0.0 < value < least else show.nominal(value)
    last = re.split(r"\D", text)[-1]
    # What stands behind the last mark of a figure below a thousand, whatever mark the language has.
    return Marked(text, None, float(value), len(last) if abs(value) < 1000.0 and last != text else 0)


def text_column(head: str) -> Column:
    """Return a left-aligned column without unit."""
    return Column(head, align="left")


def number_column(head: str, unit: str, basis: Basis | None = None) -> Column:
    """Return a column of figures with its unit and the basis mark of all of them."""
    return Column(head, unit, basis=basis)
