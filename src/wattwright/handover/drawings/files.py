"""The drawings of a job as files: a sheet each as SVG, all of them with the schedules as one PDF, the schedules as CSV."""

import csv
import datetime as dt
import io
import json
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from wattwright.charts.fonts import SANS, font_directory
from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.netlist import Wiring, terminal_schedule
from wattwright.gear.wiring.single_line import SingleLine
from wattwright.handover.drawings.draw import svg
from wattwright.handover.drawings.sheet import Sheet, Size, Title
from wattwright.handover.drawings.single_line import sheets_needed, single_line_sheets
from wattwright.handover.drawings.wiring import wiring_sheet

PDF, TERMINALS, CABLES = "drawings.pdf", "terminals.csv", "cables.csv"
_TEMPLATE = Path(__file__).parent / "drawings.typ"
TERMINAL_HEAD = ("Load", "Terminal", "Wire", "Goes to", "Colour", "Size", "Cable")
CABLE_HEAD = ("Load", "Cable", "What", "Length", "From", "To", "Cores")


def sheets_of(what: SingleLine, wirings: Sequence[Wiring], rules: RuleSet, title: Title, size: Size) -> tuple[Sheet, ...]:
    """Return all sheets: the single-line diagram first, then the wiring of each load; numbered through."""
    lines, names = sheets_needed(what, size), sheet_titles(what, wirings, size)
    titles = [replace(title, sheet=name, page=n + 1, of=len(names)) for n, name in enumerate(names)]
    drawn = single_line_sheets(what, rules, titles[:lines], size)
    return (*drawn, *(wiring_sheet(one, rules, told, size) for one, told in zip(wirings, titles[lines:], strict=True)))


def sheet_titles(what: SingleLine, wirings: Sequence[Wiring], size: Size) -> list[str]:
    """Return what each sheet is called, in the order of the pages."""
    lines = sheets_needed(what, size)
    parts = [f"Single-line diagram{f', part {n + 1} of {lines}' if lines > 1 else ''}" for n in range(lines)]
    return [*parts, *(one.title for one in wirings)]


def terminal_rows(wirings: Sequence[Wiring]) -> list[tuple[str, ...]]:
    """Return the terminal schedule as rows of text: each wire from both of its ends."""
    return [
        (one.load, str(row.terminal), str(row.wire), str(row.goes_to), row.colour, row.size, row.cable)
        for one in wirings
        for row in terminal_schedule(one)
    ]


def cable_rows(wirings: Sequence[Wiring]) -> list[tuple[str, ...]]:
    """Return the cable schedule as rows of text."""
    return [
        (one.load, run.designation, run.says, run.length, run.begins, run.ends, str(run.cores))
        for one in wirings
        for run in one.cables
    ]


def drawing_files(
    what: SingleLine, wirings: Sequence[Wiring], rules: RuleSet, title: Title, size: Size, day: dt.date
) -> dict[str, bytes]:
    """Return the files by name: an SVG for each sheet, the PDF, and the schedules."""
    sheets = sheets_of(what, wirings, rules, title, size)
    files = {sheet_file(n): svg(sheet).encode() for n, sheet in enumerate(sheets, start=1)}
    schedules = ((TERMINALS, TERMINAL_HEAD, terminal_rows(wirings)), (CABLES, CABLE_HEAD, cable_rows(wirings)))
    drawn = dict(files)
    for name, head, rows in schedules:
        files[name] = _csv(head, rows)
    files[PDF] = _pdf(drawn, sheets, schedules, day)
    return files


def sheet_file(number: int) -> str:
    """Return the name of the file of a sheet, by its page."""
    return f"sheet-{number:02d}.svg"


def _csv(head: Sequence[str], rows: Sequence[Sequence[str]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8")


def _pdf(
    drawn: dict[str, bytes], sheets: Sequence[Sheet], schedules: Sequence[tuple[str, Sequence[str], Any]], day: dt.date
) -> bytes:
    import typst

    first = sheets[0]
    data = {
        "sans": SANS, "width": first.width_mm, "height": first.height_mm, "job": first.title.job,
        "sheets": [{"file": name, "alt": sheet.title.sheet} for name, sheet in zip(drawn, sheets, strict=True)],
        "schedules": [
            {"title": title, "head": list(head), "rows": [list(row) for row in rows]}
            for title, (_, head, rows) in zip(("Terminal schedule", "Cable schedule"), schedules, strict=True)
        ],
        "date": {"year": day.year, "month": day.month, "day": day.day},
    }  # fmt: skip
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        for file, content in drawn.items():
            (root / file).write_bytes(content)
        (root / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        (root / "drawings.typ").write_bytes(_TEMPLATE.read_bytes())
        made = typst.compile(
            str(root / "drawings.typ"), root=str(root), font_paths=[str(font_directory())], ignore_system_fonts=True,
            format="pdf",
            timestamp=dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC),
        )  # fmt: skip
    return bytes(made)
