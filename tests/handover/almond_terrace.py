"""An invented paper: the guesthouse "Almond Terrace" does not exist, and the paper says so on every sheet."""

from dataclasses import replace

from tests.charts import gallery
from wattwright.charts.table import Column, Table
from wattwright.core.basis import Basis
from wattwright.core.findings import Severity
from wattwright.handover.paper import (
    Caution,
    Emphasis,
    KeyFigure,
    KeyFigures,
    Lead,
    MarginNote,
    Paper,
    PictureBlock,
    Section,
    Steps,
    TableBlock,
    Text,
    TitleBlock,
)

# Words that would do harm where they are read as markup: typst, HTML, template.
WICKED = '#eval("1") $x$ <script>alert(1)</script> & {{ 7 * 7 }} *bold* "quoted" \\ [link] @ref'

TITLE = TitleBlock(
    "Almond Terrace guesthouse",
    "14 Quarry Lane, Stonebeck",
    "What the record says",
    "2026-03-31",
    "A",
    "Meter record of 2025",
    True,
)

READINGS = Table(
    (Column("Interval", align="left"), Column("Demand", "kW", basis=Basis.MEASURED), Column("Running", align="left")),
    tuple((f"4 Feb 2025 {i // 4:02d}:{i % 4 * 15:02d}", f"{3 + i / 7:.2f}", "base load") for i in range(96)),
    "All readings of the busiest day",
    "Meter file almond-2025.csv (invented)",
)

FIGURES = KeyFigures(
    (
        KeyFigure("Energy in a year", "31,482", "kWh", Basis.MEASURED, "1 January to 31 December 2025"),
        KeyFigure("Highest demand", "11.2", "kW", Basis.ESTIMATED, "15-minute mean, 4 February 2025, 07:15"),
        KeyFigure("Days", "365", ""),
    )
)


def paper(title: TitleBlock = TITLE) -> Paper:
    """Five sections with every kind of block, nine pictures, a table over several sheets, and wicked words."""
    clock = MarginNote(
        Severity.LOOK,
        "The clock of the meter ran 7 minutes fast from 3 March.",
        "Ask who set it.",
        "Record, rows 5,810 to 8,120",
        "record.clock",
    )
    peak = MarginNote(
        Severity.STOP, "The 1-minute peak exceeds the inverter's 12 kW.", "Do not quote this inverter.", code="peak.band"
    )
    pictures = {make.__name__: PictureBlock(make()) for make in gallery.MAKERS}
    return Paper(
        title,
        (
            Section(
                "The supply is nearly full in the morning",
                ("The highest demand was 11.2 kW on ", Emphasis("4 February"), "."),
                (
                    clock,
                    FIGURES,
                    Text("96 readings were estimated."),
                    pictures["duration"],
                    peak,
                    MarginNote(Severity.NOTE, "88 hours."),
                ),
            ),
            Section(
                "The record is nearly whole",
                "Of the 400 days 96 % were measured.",
                (pictures["strip"], MarginNote(Severity.LOOK, "Fourteen days are missing."), Text("After the strip.")),
            ),
            Section(
                "Evenings carry the load", "Five hours use 41 %.", (pictures["heat"], pictures["profile"], pictures["seasons"])
            ),
            Section(
                "The bill follows the months",
                "July cost most.",
                (pictures["bill"], replace(pictures["months"], with_table=True), pictures["compare"]),
                new_page=True,
            ),
            Section(
                "Peaks fall in the morning",
                WICKED,
                (
                    pictures["peaks"],
                    TableBlock(READINGS),
                    TableBlock(gallery.TABLE, wide=True),
                    Lead("What follows from this."),
                    Steps((WICKED, ("Leave it for ", Emphasis("two weeks"), "."))),
                    Caution("Mains work can kill. Isolate, prove dead, and leave the work to a licensed electrician."),
                ),
            ),
        ),
    )
