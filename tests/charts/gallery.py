"""One picture of each maker, from an invented property (guesthouse "Almond Terrace"), for the tests of how they are drawn."""

import datetime as dt

import numpy as np

from wattwright.charts.bands import banded_peaks
from wattwright.charts.compare import Bar, bar_compare
from wattwright.charts.duration import duration_curve
from wattwright.charts.front import Front, front_lines
from wattwright.charts.heat import year_heat
from wattwright.charts.holds import Holding, HoldsPanel, holds_by_hour
from wattwright.charts.lines import Line
from wattwright.charts.months import Group, monthly_bars, monthly_energy_and_peak
from wattwright.charts.peaks import Limit, PeakPanel, peaks_around
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.profile import DayPanel, day_profile
from wattwright.charts.residuals import LeftOver, LeftOverWords, left_over
from wattwright.charts.saved import SavedWords, Weeks, saved_weeks
from wattwright.charts.simulated import Contact, Store, Stretch, simulated_stretch
from wattwright.charts.strip import completeness_strip
from wattwright.charts.table import Column, Marked, Table
from wattwright.charts.tornado import Reach, tornado_bars
from wattwright.core.basis import Basis

SOURCE = "Invented meter on the main supply, 1 January to 31 December 2025, measured."
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
TABLE = Table(
    (Column("Month", align="left"), Column("Energy", "kWh"), Column("Load factor", "%", basis=Basis.CALCULATED)),
    (
        ("January", Marked("1,204.5", Basis.MEASURED), "16.4"),
        ("February", Marked("998", Basis.ESTIMATED), "13.2"),
        ("April", "–", "–"),
        ("Year", "2,202.5", "14.8"),
    ),
    "Energy by month",
    "Meter file almond-2025.csv (invented)",
    totals=1,
)


def caption(name: str, title: str) -> Caption:
    """The words of a picture."""
    return Caption(name, title, f"What {name} shows, in words.", SOURCE, TABLE, "Drawn from 15-minute means.")


def day(scale: float) -> np.ndarray:
    """A day of 48 half hours with a small morning peak and a large evening peak, W."""
    hours = np.arange(48) / 2
    return 900 + scale * (1500 * np.exp(-((hours - 7.2) ** 2) / 2) + 4000 * np.exp(-((hours - 19) ** 2) / 5))


def year(rows: int = 24) -> np.ndarray:
    """A year of days (365, rows) with a season, a fixed scatter, and gaps, W."""
    hours = np.arange(rows) * 24 / rows
    shape = 1500 + 4000 * np.exp(-((hours - 19) ** 2) / 5)
    season = 1 + 0.4 * np.cos(2 * np.pi * (np.arange(365)[:, None] - 200) / 365)
    power = shape * season * (1 + 0.2 * np.sin(np.arange(365 * rows) * 12.9898).reshape(365, rows))
    power[100:112] = np.nan
    power[200, rows // 4 : rows // 2] = np.nan
    return power


def heat() -> Picture:
    """Heat map of the year by hours."""
    return year_heat(caption("heat", "Evenings from May to September carry the load"), year(), dt.date(2025, 1, 1))


def profile() -> Picture:
    """Two day types with night, mean and band."""
    panels = [
        DayPanel(name, day(k), day(k) * 0.6, day(k) * 1.5, day(k) * 1.08, 6.1, 18.4)
        for name, k in (("Working days", 1.0), ("Weekends", 0.7))
    ]
    return day_profile(caption("profile", "Evenings of working days draw the most"), panels)


def seasons() -> Picture:
    """Five day types without mean and night: two rows of panels."""
    panels = [DayPanel(f"Season {i}", day(i / 5), day(i / 5) * 0.6, day(i / 5) * 1.5) for i in range(1, 6)]
    return day_profile(caption("seasons", "The fifth season draws the most"), panels)


def duration() -> Picture:
    """Three duration curves of two bases with the busiest 1 % apart."""
    share = np.concatenate([np.linspace(0, 1, 60), np.linspace(1.2, 100, 150)])
    power = 1500 + 9000 * np.exp(-share / 3) + 3000 * (1 - share / 100)
    curves = [
        Line("today", power),
        Line("shed order", power * 0.7, "grid", Basis.SIMULATED),
        Line("with PV", power * 0.85, "pv", Basis.SIMULATED),
    ]
    return duration_curve(caption("duration", "The power lies above 8 kW for 2 % of the time"), share, curves)


def bill() -> Picture:
    """A year's bill in four groups."""
    energy = np.array([310, 290, 350, 420, 560, 640, 700, 660, 520, 400, 330, 310.0])
    groups = [
        Group("Energy", energy * 2.1),
        Group("Demand charge", energy * 0 + 260),
        Group("Fixed charge", energy * 0 + 45),
        Group("Tax", energy * 0.35),
    ]
    totals = [f"{e * 2.45 + 305:.0f}" for e in energy]
    return monthly_bars(caption("bill", "The demand charge is a fifth of the bill"), MONTHS, groups, "Bill, EUR", totals)


def months() -> Picture:
    """Energy and highest power by month, the last month without a record."""
    energy = [930, 870, 1050, 1260, 1680, 1920, 2100, 1980, 1560, 1200, 990, float("nan")]
    peak_w = [9100, 8800, 9500, 10000, 11100, 12400, 11900, 11200, 10000, 9300, 9000, float("nan")]
    energy_texts = [f"{e:.0f}" if e == e else "–" for e in energy]
    peak_texts = [f"{p / 1000:.1f}" if p == p else "–" for p in peak_w]
    return monthly_energy_and_peak(
        caption("months", "July used most, June peaked"), MONTHS, energy, energy_texts, peak_w, peak_texts
    )


def peaks() -> Picture:
    """Four peaks under the limit of the supply."""
    minutes = np.arange(-120, 120, 15)
    panels = [
        PeakPanel(f"{d} March 2025", minutes, 3000 + a * np.exp(-((minutes / 40.0) ** 2)), f"{3 + a / 1000:.1f} kW at 07:15", ran)
        for d, a, ran in ((3, 9000, "two water heaters and the oven"), (9, 8000, "water heater"), (12, 7900, ""), (20, 7500, ""))
    ]
    return peaks_around(caption("peaks", "All four peaks fall before eight"), panels, Limit("supply 13.8 kW", 13800.0))


def hidden() -> Picture:
    """Twelve months of hidden peaks under and over a limit."""
    read = np.array([4, 4, 5, 5, 6, 7, 7, 6, 5, 5, 4, 4.0]) * 1000
    bands = np.stack([read * 1.1, read * 1.4, read * 1.9])
    limit = Limit("supply 9.2 kW", 9200.0)
    named = ("band", "middle", "highest mean")
    return banded_peaks(caption("hidden", "June may pass the limit"), MONTHS, bands, read, named, limit)


def strip() -> Picture:
    """A record of 400 days with a gap, a repaired stretch and a day of all three."""
    estimated, missing = np.zeros(400), np.zeros(400)
    missing[90:104], estimated[300:310], estimated[203], missing[203] = 1.0, 1.0, 0.3, 0.3
    return completeness_strip(caption("strip", "96 % of the readings are there"), dt.date(2024, 11, 20), estimated, missing)


def compare() -> Picture:
    """Three tariffs of three bases."""
    bars = [
        Bar("Flat tariff (in use)", 4210.4, "EUR 4,210.40", chosen=True),
        Bar("Time of use, with the shed order", 3120.0, "EUR 3,120", Basis.SIMULATED),
        Bar("Demand tariff, gaps filled", 3990.0, "EUR 3,990", Basis.ESTIMATED),
    ]
    return bar_compare(caption("compare", "The time-of-use tariff would cost 26 % less"), bars)


def options() -> Picture:
    """Options by cost and by what they leave undone, under two sets of rules."""
    fronts = [
        Front("with the plan", ((60_900.0, 100.0), (62_000.0, 55.0), (66_000.0, 7.0), (73_500.0, 0.0)), chosen=3),
        Front("with today's switching", ((62_500.0, 100.0), (65_700.0, 46.0), (70_000.0, 5.0), (78_400.0, 0.0))),
    ]
    words = caption("options", "The plan halves what it costs to lose nothing")
    return front_lines(words, fronts, "cost, EUR", "unserved without the grid, %")


def holds() -> Picture:
    """Two seasons of outages under two sets of rules."""
    hours = np.arange(24)
    today, plan = 3600 * (2.0 + np.cos(hours / 4.0)), 3600 * (3.5 + np.cos(hours / 4.0))
    panels = [
        HoldsPanel(season, [Holding(one * 0.7, one, one * 1.2) for one in (today, plan)]) for season in ("winter", "summer")
    ]
    return holds_by_hour(
        caption("holds", "The supply holds two hours longer"), panels, ("today's rules", "rules of the plan"), 24.0 * 3600
    )


def unsure() -> Picture:
    """What moves the worth of an investment."""
    reaches = [
        Reach("demand", -5224.0, 1676.0, "-5,224", "1,676"), Reach("prices", -3200.0, 900.0, "-3,200", "900"),
        Reach("cost", -2784.0, -668.0, "-2,784", "-668"),
    ]  # fmt: skip
    words = caption("unsure", "Of all that is unsure, demand moves the net present value most")
    return tornado_bars(words, reaches, (-1890.0, "-1,890"), "net present value, EUR")


def weeks() -> Picture:
    """Thirty weeks of a saving that is at first lost in its band."""
    number = np.arange(1, 31)
    expected = 200 + 60 * np.cos(number / 6.0)
    used, wide = expected * 0.9 + 8 * np.sin(number * 2.0), np.full(30, 25.0)
    saved, off = np.cumsum(expected - used), 25 * np.sqrt(number) + 0.3 * number
    told = SavedWords("weeks since the measures", "kWh a week", "saved so far, kWh", "used", "would have been", "band 90 %")
    course = Weeks(used, expected, expected - wide, expected + wide, saved, saved - off, saved + off)
    return saved_weeks(caption("weeks", "The saving has been shown since week 10"), course, told)


def left() -> Picture:
    """Seventy days that a model tells but for a wave, which shows as a bend and as days that are alike."""
    day = np.arange(70.0)
    of = np.sin(day / 6) + 0.4 * np.cos(day * 2.3)
    alike = np.cos(np.arange(1, 15) / 6) * 0.8
    words = LeftOverWords("left over, kWh", "days since the first", "mean outdoor temperature, degC", "correlation", "days apart")
    drawn = LeftOver(day, of, 12 + 8 * np.cos(day / 11), alike, 0.23)
    return left_over(caption("left", "What is left over follows a wave"), drawn, words)


MAKERS = (heat, profile, seasons, duration, bill, months, peaks, strip, compare, options, holds, unsure, weeks, left)
"""All pictures of the gallery."""


def figured(low_h: float, high_h: float) -> list[tuple[float, str]]:
    """Every half hour between two."""
    return [(h / 2, f"{h / 2:g} h") for h in range(int(2 * low_h), int(2 * high_h) + 1)]


def simulated() -> Picture:
    """A day as the engine gives it: a heater moved to the night, shed once at breakfast."""
    hours = np.arange(1440) / 60
    rest = 700 + 900 * np.exp(-((hours - 8) ** 2) / 2) + 1500 * ((hours * 4).astype(int) % 7 == 0)
    runs = [(2.0, 4.5), (7.5, 7.8), (8.25, 9.1)]
    heater = sum(3000.0 * ((hours >= a) & (hours < b)) for a, b in runs)
    water = 60 - 12 * np.exp(-((hours - 8.1) ** 2)) - 0.3 * (hours % 5)
    stretch = Stretch(24.0, [(h, f"{h:02d}:00") for h in range(0, 25, 4)], [(0.0, 6.5), (18.5, 24.0)], figured, "{:.2f} h".format)
    return simulated_stretch(
        caption("simulated", "The heater waits for the kettle"), stretch, rest + heater, rest,
        [Store("Water heater, degC", water, "heat", [("use", 40.0), ("set point", 60.0)])],
        [Contact("Water heater", "heat", [(0.0, 7.8), (8.25, 24.0)], runs, [(7.8, "1", "shed"), (8.25, "2", "nights")]),
         Contact("Pool pump", "pump", [(10.0, 18.0)], [(10.0, 18.0)], [(10.0, "3", "times"), (18.0, "4", "times")])],
        [Limit("main fuse 4.6 kW", 4600.0)],
    )  # fmt: skip
