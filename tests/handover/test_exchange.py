"""A site that gives power back, and meters behind the main one: taken, given and net told apart, every file named."""

from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

from tests.handover.kit import PLAIN, assessment_of, captioned, cells, context_with, hours, sentences
from wattwright.core.errors import WattwrightError
from wattwright.core.quality import Quality
from wattwright.core.series import Series
from wattwright.handover.costs import costs
from wattwright.handover.evidence import evidence
from wattwright.handover.exchange import together
from wattwright.handover.heights import heights
from wattwright.handover.opening import opening
from wattwright.handover.paper import KeyFigures, PictureBlock
from wattwright.handover.pdf import pdf
from wattwright.handover.report import report
from wattwright.handover.usage import months, when

# Each day: 1 kW from the grid for 20 h, 2 kW at 19:00, and 4 kW given back for three hours from 11:00.
SUNNY = [-4.0 if i % 24 in (11, 12, 13) else 2.0 if i % 24 == 19 else 1.0 for i in range(48)]
GIVING = [-2.0 * one for one in SUNNY]

SUB = (
    PLAIN.replace(
        "[[files]]",
        """[[meters]]
id = "heater"
name = "Heater"
behind = "main"
[[files]]""",
        1,
    )
    + """
[[files]]
id = "heater-readings"
path = "heater.csv"
meter = "heater"
"""
)

TARIFF = """
[[tariff]]
id = "one"
name = "One (invented)"
currency = "EUR"
[[tariff.energy]]
label = "Energy"
price = "0.10"
"""


def test_taken_and_given_are_told_apart(tmp_path: Path) -> None:
    """Over two days 44 kWh are taken and 24 given back: 20 more taken than given, and no base load is claimed."""
    first = opening(context_with(tmp_path, hours(SUNNY)))
    text = sentences(first)
    assert "took 44.00 kWh from the grid and gave 24.00 kWh back: 20.00 kWh more taken than given" in text
    assert "The most drawn over 1 h was 2.000 kW, on 2025-03-03 19:00" in text
    assert "The most given back over 1 h was 4.000 kW, on 2025-03-03 11:00" in text
    assert "most was drawn in the hour from 19:00, and most given back in the hour from 11:00" in text
    figures = next(block for block in first.blocks if isinstance(block, KeyFigures)).figures
    assert [(one.label, one.value) for one in figures[:2]] == [("Energy imported", "44.00"), ("Energy exported", "24.00")]
    assert "20.00" in figures[1].note
    assert "Base load" not in [one.label for one in figures]
    assert "5 % of the hours" not in text


def test_more_given_than_taken(tmp_path: Path) -> None:
    """With the signs turned and doubled 48 kWh are taken and 88 given: 40 more given than taken, never a negative use."""
    text = sentences(opening(context_with(tmp_path, hours(GIVING))))
    assert "took 48.00 kWh from the grid and gave 88.00 kWh back: 40.00 kWh more given than taken" in text
    assert "\N{MINUS SIGN}" not in text


def test_only_given(tmp_path: Path) -> None:
    """A meter that only ever saw export makes a report; no section claims that power was drawn."""
    paper = report(assessment_of(tmp_path, hours([-1.0 - i % 3 for i in range(48)])))
    text = " ".join(sentences(one) for one in paper.sections)
    assert "No power was drawn" in text
    assert "took 0.000 kWh from the grid" in text
    assert pdf(paper).startswith(b"%PDF")


def test_shares_are_of_what_was_taken(tmp_path: Path) -> None:
    """Of the 22 kWh taken in a day, 7 are between 14:00 and 20:00 (five of 1 kW, one of 2), the most in six hours."""
    context = context_with(tmp_path, hours(SUNNY))
    section = when(context)
    assert "31.8 % of the energy taken from the grid was taken between 14:00 and 20:00" in sentences(section)
    heat = next(b.picture for b in section.blocks if isinstance(b, PictureBlock) and b.picture.id == "year-heat")
    assert "given back" in heat.alt
    assert [column.head for column in captioned(section, "Energy of the typical day").columns][3] == "Net energy"


def test_months_show_both_ways(tmp_path: Path) -> None:
    """Each month stands with what was taken, given and both together."""
    table = captioned(months(context_with(tmp_path, hours(SUNNY))), "The months in figures")
    assert [column.head for column in table.columns][1:4] == ["Imported", "Exported", "Net"]
    assert cells(table)[0][1:4] == ["44.0", "24.0", "20.0"]


def test_pictures_of_export_are_drawn(tmp_path: Path) -> None:
    """The whole report of a site with export is set, its bill as a sentence without a price per kWh."""
    (tmp_path / "tariff.toml").write_text(TARIFF)
    job = PLAIN + '[tariff]\nfiles = ["tariff.toml"]\n'
    assessment = assessment_of(tmp_path, hours(SUNNY), job)
    assert pdf(report(assessment)).startswith(b"%PDF")
    context = context_with(tmp_path, hours(SUNNY), job)
    assert "for each kWh" not in sentences(costs(context))
    assert "Under One (invented) that costs" in sentences(opening(context))
    # Half of the highest is 1 kW; only the two hours of 2 kW lie above it.
    assert "for 2.00 of 48.0 hours" in sentences(heights(context))


def test_channels_of_a_sub_meter_are_told_apart(tmp_path: Path) -> None:
    """A sub-meter with two channels: each is named with its own share, and they are not added up."""
    first, *rest = hours([0.5] * 24).splitlines()
    rows = [f"{first},second kW", *(f"{row},0.25" for row in rest)]
    (tmp_path / "heater.csv").write_text("\n".join(rows) + "\n")
    text = sentences(evidence(context_with(tmp_path, hours([2.0] * 48), SUB)))
    # Over the 24 h both read: 12 and 6 of 48 kWh.
    assert "(Heater) measured 12.00 kWh, 25.0 % of the main meter's 48.00 kWh" in text
    assert "second kW (Heater) measured 6.000 kWh, 12.5 % of the main meter's 48.00 kWh" in text


def test_every_file_is_listed(tmp_path: Path) -> None:
    """Both files stand with size, rows, period and SHA-256, every channel with its energy, and the heater with its share."""
    heater = hours([0.5] * 24)
    (tmp_path / "heater.csv").write_text(heater)
    main = hours([2.0] * 48)
    context = context_with(tmp_path, main, SUB)
    section = evidence(context)
    sums = [sha256(text.encode()).hexdigest() for text in (main, heater)]
    assert cells(captioned(section, "The meter files, unchanged")) == [
        ["readings.csv", "main", f"{len(main):,}", "48", "2025-03-03", "2025-03-04", sums[0][:16]],
        ["heater.csv", "Heater", f"{len(heater):,}", "24", "2025-03-03", "2025-03-03", sums[1][:16]],
    ]
    # 48 h of 2 kW and 24 h of 0.5 kW; both were read on the first day: 12 of 48 kWh.
    assert [row[-1] for row in cells(captioned(section, "What the files hold"))] == ["96.0", "12.0"]
    assert "(Heater) measured 12.00 kWh, 25.0 % of the main meter's 48.00 kWh" in sentences(section)
    last = sentences(report(assessment_of(tmp_path, main, SUB)).sections[-1])
    assert all(one in last for one in sums)


def test_no_share_where_power_is_given_back(tmp_path: Path) -> None:
    """Behind a meter that sees the difference no share of it is claimed."""
    (tmp_path / "heater.csv").write_text(hours([0.5] * 24))
    assert "While both were read" not in sentences(evidence(context_with(tmp_path, hours(SUNNY), SUB)))


def test_an_unreadable_second_file_is_an_error(tmp_path: Path) -> None:
    """A sub-meter's file that cannot be read is refused by name, as any other."""
    (tmp_path / "heater.csv").write_text("time,P [kW]\nno date,1\n")
    with pytest.raises(WattwrightError, match=r"heater\.csv"):
        report(assessment_of(tmp_path, hours([1.0] * 48), SUB))


def test_together_counts_where_both_read() -> None:
    """Quarter hours of 4 kW against hours of 1 kW, one hour and one quarter hour missing: two hours are left to both."""
    quarters = np.full(16, 4000.0)
    quarters[5] = np.nan
    hourly = np.array([1000.0, 1000.0, np.nan, 1000.0])
    both = together(series(900, quarters), series(3600, hourly))
    # Hours 0 and 3: 8 kWh of the one, 2 of the other.
    assert (both.main_kwh, both.sub_kwh, both.seconds) == (pytest.approx(8.0), pytest.approx(2.0), 7200)


def series(step_s: int, values: np.ndarray) -> Series:
    """A power from the first hour of 2025 on, NaN for missing."""
    quality = np.where(np.isnan(values), Quality.MISSING, Quality.VALID).astype(np.uint8)
    return Series(1_735_689_600, step_s, values, quality, values)
