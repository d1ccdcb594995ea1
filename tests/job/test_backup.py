"""The backup story of a job: which days are tried, supplies handed in, what is kept for the papers, and the report's section."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from tests.job.pv import PV, PV_METER, meter_of_the_house, sunny
from tests.job.simulated import HEAD, HEATER, SUPPLY
from wattwright.control.rules import Control
from wattwright.core.errors import JobError
from wattwright.core.series import of_values
from wattwright.handover.outages import outages
from wattwright.handover.paper import MarginNote, PictureBlock, TableBlock
from wattwright.handover.report import context_of
from wattwright.job import backup as module
from wattwright.job.assessment import Assessment
from wattwright.job.backup import as_quoted, job_backup, kept_backup, typical_days
from wattwright.job.equipping import Ruled
from wattwright.job.file import load_job
from wattwright.job.quoting import quote_case
from wattwright.job.spec import SiteSpec
from wattwright.supply.backup.spec import OutageRate
from wattwright.supply.sizing.answer import Laid

ZONE = SiteSpec(zone="UTC")
INVERTER = '[inverter]\nrating = "5 kVA"\nrole = "carries the site in outages"\n'
BATTERY = '[battery]\ncapacity = "8 kWh"\ncharge_power = "4 kW"\ndischarge_power = "4 kW"\nreserve = "60 %"\nstart = "60 %"\n'
RATE = '[outage_rate]\na_year = 12\ndurations = ["1 h", "4 h"]\n'
DAYS = 4


def hourly(kw=1.0):
    """Readings of four winter days, a steady kilowatt."""
    first = dt.datetime(2025, 1, 6)
    rows = [f"{first + dt.timedelta(hours=hour):%Y-%m-%d %H:%M},{kw:.3f}" for hour in range(24 * DAYS)]
    return "\n".join(["time,P [kW]", *rows]) + "\n"


def assessment(folder, *parts, keep=False, readings=None, **more):
    """A job of these parts with its readings; ``more`` are those of other meters, by the names of their files."""
    folder.mkdir(exist_ok=True)
    (folder / "job.toml").write_text("".join((HEAD, *parts)))
    for name, text in {"readings": readings or hourly(), **more}.items():
        (folder / f"{name}.csv").write_text(text)
    return Assessment(load_job(folder), keep=keep)


def series(days, kw_of, begins="2025-01-01"):
    """Hourly readings of so many days, W, by the number of the day."""
    start_s = int(dt.datetime.fromisoformat(begins).replace(tzinfo=dt.UTC).timestamp())
    return of_values(start_s, 3600, np.repeat([1000.0 * kw_of(day) for day in range(days)], 24))


def test_typical_days_are_quiet_to_busy_days_of_each_season():
    """Of days that rise from 1 to 59 kW the 10, 30, 50, 70 and 90 % are tried, where whole days lie before and after."""
    given = series(59, lambda day: day + 1)  # January and February
    found = typical_days(given, ZONE, 86400.0)
    assert {season for season, _ in found} == {"winter"}
    # Of the days 2 to 58 that have a day before and after, the percentiles are 7.6, 18.8, 30, 41.2 and 52.4 kW.
    assert [day.timetuple().tm_yday for _, day in found] == [8, 19, 30, 41, 52]


def test_days_beside_a_gap_or_a_change_of_the_clock_are_left_out():
    """A missing hour spoils its day and both beside it; so does a day of 23 hours itself."""
    values = series(9, lambda day: 1.0 + day, "2025-03-26").values.copy()
    values[24 * 2 + 5] = np.nan  # 28 March
    gapped = of_values(int(dt.datetime(2025, 3, 26, tzinfo=dt.UTC).timestamp()), 3600, values)
    athens = SiteSpec(zone="Europe/Athens")
    days = [day.day for _, day in typical_days(gapped, athens, 86400.0)]
    assert 30 not in days  # the clock changes
    assert not set(days) & {27, 28, 29}
    assert days
    assert typical_days(series(2, lambda day: 1.0), ZONE, 86400.0) == ()


def test_seasons_turn_with_the_hemisphere():
    """January lies in summer south of the equator."""
    south = SiteSpec(zone="UTC", latitude_deg=-30.0)
    assert {season for season, _ in typical_days(series(20, lambda day: 1.0), south, 86400.0)} == {"summer"}


def test_the_story_of_a_job(tmp_path):
    """A heater within a steady kilowatt: 8 kWh from 60 to 10 % are 3.8 kWh, so about 3.8 h; hours lost are fewer than 30."""
    made = job_backup(assessment(tmp_path, SUPPLY, HEATER, INVERTER, BATTERY, RATE))
    assert [season for season, _ in made.days] == ["winter"] * len(made.days)
    (told,) = made.told
    assert told.name == "today"
    assert all(0.5 < one.middle_s / 3600 < 8.0 for one in told.hours)
    assert np.median([one.middle_s for one in told.hours]) / 3600 == pytest.approx(3.8, rel=0.25)
    assert told.lost.grid_h == pytest.approx(12 * 2.5)
    assert 0.0 < told.lost.mean_h < 30.0
    assert {one.load for one in told.loads} == {"heater"}
    assert "supply.backup-seasons" in [one.code for one in made.findings]


def test_what_is_quoted_stands_in_place_of_the_jobs_own(tmp_path):
    """A site of the grid alone has no story until a quote is kept; with it the plan holds as long as was asked, at any hour."""
    sun = '[[quote.pv]]\npeak = "4 kW"\nlimit = "3.5 kW"\ntilt_deg = 25\nazimuth_deg = 180\n'
    given = assessment(
        tmp_path, SUPPLY, HEATER.replace('interrupt = "mains"', 'interrupt = "mains"\ncontrollable = true'), sun, keep=True
    )
    assert kept_backup(given) is None
    question = given.question()
    made = quote_case(question, question.site().simulated(given.job.spec.control), given.peaks(), 2 * 3600.0).answer()
    given.keep_quote(made)
    job = as_quoted(given.job, made)
    assert job.spec.inverter.rating_va == made.size.inverter_va
    assert job.spec.battery.capacity_wh == made.size.battery_wh
    assert sum(one.peak_w for one in job.spec.pv) == pytest.approx(made.size.pv_w)
    # Of three roofs it is quoted for two, each filled as far as the quote says.
    west, east = (f'peak = "4 kW"\ntilt_deg = 25\nazimuth_deg = {way}\n' for way in (270, 90))
    more = assessment(tmp_path / "roofs", SUPPLY, HEATER, sun, f"[[quote.pv]]\n{west}[[quote.pv]]\n{east}", PV).job
    laid = (Laid("tilt 25°, heading 180°", 2000.0), Laid("tilt 25°, heading 90°", 3000.0))
    on = {one.azimuth_deg: (one.peak_w, one.limit_w) for one in as_quoted(more, replace(made, laid=laid)).spec.pv}
    assert on == {180.0: (2000.0, 1750.0), 90.0: (3000.0, None)}
    assert as_quoted(more, replace(made, laid=())).spec.pv == ()
    story = kept_backup(given)
    assert [one.name for one in story.told] == ["today", "plan"]
    assert {one.reserve.target_s for one in story.told} == {2 * 3600.0}  # nobody said how often the grid goes: as it was quoted
    assert min(one.middle_s for one in story.told[1].hours) >= 2 * 3600.0
    assert any("grid voltage" in one.value for _, settings in story.settings for one in settings)
    beside = quote_case(question, None, given.peaks()).answer()
    given.keep_quote(beside)
    assert kept_backup(given) is None


def test_pv_that_is_measured_gives_nothing_without_the_grid(tmp_path):
    """A house of 1.5 kW from ten to noon and else 0.5 behind an array of 2 kW: from ten 3.8 kWh last 2 h and 0.8 / 0.5 h more.

    What it used is import and generation less export; were the array to go on, the battery would last into the night.
    """
    parts = (SUPPLY, PV_METER, PV + 'meter = "roof"\n', INVERTER, BATTERY)
    given = assessment(tmp_path, *parts, readings=meter_of_the_house(False), roof=sunny())
    made = job_backup(given)
    holds_h = {one.hour: one.middle_s / 3600 for one in made.best.hours}
    assert holds_h[10] == pytest.approx(3.6, rel=0.05)
    assert holds_h[12] == pytest.approx(7.6, rel=0.05)
    # The paper says so beside its figures.
    section = outages(context_of(given), made)
    assert "job.backup-beside" in [one.code for one in section.blocks if isinstance(one, MarginNote)]
    assert "job.backup-beside" not in [one.code for one in job_backup(assessment(tmp_path, *parts[:1], *parts[3:])).findings]


def test_too_short_a_record_is_refused_with_what_it_needs(tmp_path):
    """An outage of three days needs four days after; the record has four in all."""
    given = assessment(tmp_path, SUPPLY, HEATER, INVERTER, BATTERY)
    with pytest.raises(JobError, match="72 h after"):
        job_backup(given, OutageRate.model_validate({"a_year": 1, "durations": ["3 d"]}))


def test_what_is_kept_for_the_papers(tmp_path, monkeypatch):
    """It is made once and found again until an entry it rests on changes; a label answered under [island] changes nothing."""
    parts = (SUPPLY, HEATER, INVERTER, BATTERY, RATE)
    first = kept_backup(assessment(tmp_path, *parts, keep=True))
    monkeypatch.setattr(module, "job_backup", lambda *_, **__: pytest.fail("made again"))
    assert kept_backup(assessment(tmp_path, *parts, '[island]\nlabels = "fitted"\n', keep=True)) == first
    with pytest.raises(BaseException, match="made again"):
        kept_backup(assessment(tmp_path, *parts[:-1], RATE.replace("12", "13"), keep=True))


def test_no_story_where_nothing_carries_or_nothing_can_be_simulated(tmp_path):
    """The grid alone, an inverter beside it, no supply, and a rule on a load that nobody can simulate."""
    beside = INVERTER.replace("carries the site in outages", "beside the grid")
    lamps = '[[loads]]\nid = "lamps"\nname = "Lamps"\nkind = "lighting"\nrating = "0.2 kW"\nphase = "L1"\ncontrollable = true\n'
    rule = (
        '[[control.rule]]\nid = "night"\nload = "lamps"\nkind = "time programme"\ntimes = [{ on = 18:00:00, off = 22:00:00 }]\n'
    )
    for number, parts in enumerate(((SUPPLY, HEATER), (SUPPLY, HEATER, beside, BATTERY), (HEATER,))):
        assert kept_backup(assessment(tmp_path / str(number), *parts)) is None
    given = assessment(tmp_path / "lamps", SUPPLY, INVERTER, BATTERY, lamps, rule)
    why = kept_backup(given)
    assert (why.code, why.where) == ("job.backup-untold", "loads[1]")
    told = outages(context_of(given), why)
    (note,) = told.blocks
    assert "cannot be told" in told.lead
    assert note.sentence.startswith("What becomes of an outage is not told: found ")


def test_a_meter_file_alone_has_a_story(tmp_path):
    """No load is described: 8 kWh from 60 % down to 10 % are 4 kWh, less what the battery loses; the site takes 1 kW."""
    given = assessment(tmp_path, SUPPLY, INVERTER, BATTERY)
    story = kept_backup(given)
    assert np.median([one.middle_s for one in story.told[0].hours]) / 3600 == pytest.approx(3.8, rel=0.1)
    section = outages(context_of(given), story)
    assert "Load" not in [column.head for one in section.blocks if isinstance(one, TableBlock) for column in one.table.columns]


def test_the_section_of_the_report(tmp_path, monkeypatch):
    """One picture with its table, loads, hours lost, settings; with a plan both stand side by side."""
    given = assessment(tmp_path, SUPPLY, HEATER, INVERTER, BATTERY, RATE)
    context = context_of(given)
    assert outages(context, None) is None
    shed = Control.model_validate({"shedding": {"pick_up": "1.5 kW", "restore": "1 kW", "order": ["heater"]}})
    monkeypatch.setattr(module, "ruled_by", lambda _: Ruled(shed, "plan"))
    story = job_backup(given)
    assert [one.name for one in story.told] == ["today", "plan"]
    section = outages(context, story)
    (picture,) = (one for one in section.blocks if isinstance(one, PictureBlock))
    assert picture.with_table
    assert picture.picture.title.startswith("On the middle day the supply holds from ")
    captions = [one.table.caption for one in section.blocks if isinstance(one, TableBlock)]
    assert captions == [
        "What runs until the end, in the order in which it is shed", "Hours without supply in a year", "Settings this rests on",
    ]  # fmt: skip
    assert "rules of the plan" in section.lead
    assert "30" in section.lead
    assert len(picture.picture.table.rows) == 8
    later = tuple(replace(one, shed_share=0.5, shed_after_s=1800.0) for one in story.best.loads)
    shed_later = outages(context, replace(story, told=(story.told[0], replace(story.best, loads=later))))
    (loads,) = (
        one.table for one in shed_later.blocks if getattr(getattr(one, "table", None), "caption", "").startswith("What runs")
    )
    assert {row[5].replace("\u202f", " ") for row in loads.rows} == {"30 min"}
    bare = replace(story, told=tuple(replace(one, lost=None) for one in story.told))
    assert "a year" not in outages(context, bare).lead
    holds = replace(story.told[0], hours=tuple(replace(one, middle_s=86400.0, ends_by="") for one in story.told[0].hours))
    told = outages(context, replace(story, told=(holds,), settings=story.settings[:1]))
    assert "at least 1" in told.lead
    dark = replace(holds, hours=tuple(replace(one, low_s=0.0, middle_s=0.0, high_s=0.0) for one in holds.hours))
    assert "no time" in outages(context, replace(story, told=(dark,), settings=story.settings[:1])).lead
