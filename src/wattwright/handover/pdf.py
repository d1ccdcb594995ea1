"""Paper to PDF, through typst: the same bytes each time, with our own typefaces only."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from pathlib import Path
from typing import Any, Literal

from wattwright.charts.fonts import SANS, SERIF, font_directory
from wattwright.charts.palette import GROUND
from wattwright.charts.render import drawn_width_px, svg
from wattwright.core.errors import OwnFault
from wattwright.handover.align import paper_data
from wattwright.handover.paper import Paper

__all__ = ["Format", "pdf"]

Format = Literal["a4", "us-letter"]
"""Sheet format of the paper."""

_TEMPLATE = Path(__file__).parent / "templates" / "paper.typ"
_PT_PER_PX = 0.75


def pdf(paper: Paper, sheet: Format = "a4") -> bytes:
    """The paper as a tagged PDF (PDF/UA-1) on sheets of the given format.

    The words reach typst as a data file and are never part of its source, so nothing written in a job can run. The date inside
    the PDF is the title block's; the same paper gives the same bytes. Raises OwnFault if the date is not ISO 8601.
    """
    import typst  # only the stage that prints pays for it

    day = _date(paper.title_block.date)
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        data = {**paper_data(paper), **_frame(paper, sheet, day)}
        _draw_pictures(paper, data, root)
        (root / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        (root / "paper.typ").write_bytes(_TEMPLATE.read_bytes())
        made = typst.compile(
            str(root / "paper.typ"),
            root=str(root),
            font_paths=[str(font_directory())],
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards="ua-1",
            timestamp=dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC),
        )
    return bytes(made)


def _date(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as fault:
        raise OwnFault(f"title block: date '{text}' is not a date; write year-month-day, such as 2026-03-31") from fault


def _frame(paper: Paper, sheet: Format, day: dt.date) -> dict[str, Any]:
    """What typst needs beyond the paper itself: sheet format, fonts, colours, date, title."""
    block = paper.title_block
    return {
        "paper": sheet,
        "fonts": {"sans": SANS, "serif": SERIF},
        "colours": {role: shade.light for role, shade in GROUND.items()},
        "date": {"year": day.year, "month": day.month, "day": day.day},
        "document_title": block.sheet,
    }


def _draw_pictures(paper: Paper, data: dict[str, Any], root: Path) -> None:
    """Draw each picture as SVG into `root` and tell its entry in `data` file name and drawn width."""
    drawn = {picture.id: svg(picture.spec, prefix=picture.id) for picture in paper.pictures()}
    blocks = (block for section in data["sections"] for row in section["rows"] for block in row["blocks"])
    for block in blocks:
        if block["kind"] == "picture":
            text = drawn[block["id"]]
            block["file"] = f"{block['id']}.svg"
            block["width_pt"] = drawn_width_px(text) * _PT_PER_PX
            (root / block["file"]).write_text(text, encoding="utf-8")
