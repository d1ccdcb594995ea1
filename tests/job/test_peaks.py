"""What a job says about peaks: which loads count, and the limit in W."""

import numpy as np
import pytest

from tests.job.hand import JOB, write_job
from wattwright.core.errors import JobError
from wattwright.core.series import Series
from wattwright.job.file import load_job
from wattwright.job.peaks import behind_means, limit_named, limit_w, listed_loads

SUPPLY = '\n[supply]\nsystem = "{system}"\nvoltage = "230 V"\npower_factor = 0.9\n'


def spec_of(tmp_path, more):
    """The spec of the small job with more written below it."""
    folder = write_job(tmp_path / "job")
    (folder / "job.toml").write_text(JOB + more)
    return load_job(folder).spec


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("", None),
        ('\n[limit]\npower = "9 kW"\n', 9000.0),
        (SUPPLY.format(system="single-phase"), None),
        (SUPPLY.format(system="single-phase") + 'agreed_power = "6 kW"\n', 6000.0),
        (SUPPLY.format(system="single-phase") + 'agreed_apparent_power = "6 kVA"\n', 5400.0),
        (SUPPLY.format(system="single-phase") + 'main_protection = "40 A"\n', 40 * 230 * 0.9),
        (SUPPLY.format(system="split-phase") + 'main_protection = "40 A"\n', 2 * 40 * 230 * 0.9),
        (SUPPLY.format(system="three-phase") + '[limit]\ncurrent = "25 A"\n', 3 * 25 * 230 * 0.9),
    ],
)
def test_limit_in_watts(tmp_path, more, expected):
    """A power as written; a current times voltage, conductors and power factor; the protection or agreed power where none is."""
    told = limit_w(spec_of(tmp_path, more), "job.toml")
    assert told == (expected if expected is None else pytest.approx(expected))


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("", ""),
        (SUPPLY.format(system="single-phase") + '[limit]\npower = "9 kW"\n', ""),
        (SUPPLY.format(system="single-phase"), ""),
        (SUPPLY.format(system="single-phase") + 'agreed_power = "6 kW"\n', "the power agreed with the grid operator"),
        (SUPPLY.format(system="split-phase") + 'main_protection = "40 A"\n', "the main protection of 40 A"),
        (SUPPLY.format(system="three-phase") + '[limit]\ncurrent = "25 A"\n', "25 A"),
    ],
)
def test_what_the_limit_is(tmp_path, more, expected):
    """Where the limit was not given as a power its watts are said together with what they stand for."""
    assert limit_named(spec_of(tmp_path, more)) == expected


def test_a_limit_of_current_needs_a_supply(tmp_path):
    """Without a supply nothing turns current into power."""
    with pytest.raises(JobError, match="supply"):
        limit_w(spec_of(tmp_path, '\n[limit]\ncurrent = "25 A"\n'), "job.toml")


def test_two_limits_are_refused(tmp_path):
    """A power and a current at once leave open which holds."""
    with pytest.raises(JobError, match="one limit"):
        spec_of(tmp_path, '\n[limit]\ncurrent = "25 A"\npower = "5 kW"\n')


def test_loads_that_may_make_a_peak(tmp_path):
    """Standby makes no peak; a plate is surer than a guess; a motor of 1.15 kW at 230 V, 0.8 draws 6 x 6.25 A at its start."""
    more = (
        '\n[[loads]]\nid = "idle"\nname = "Idle"\nkind = "standby"\nrating = "90 W"\n'
        '\n[[loads]]\nid = "pump"\nname = "Pump"\nkind = "motor"\nrating = "1.15 kW"\npower_factor = 0.8\n'
        'basis = "published"\nquantity = 2\n[loads.use]\n'
    )
    heater, pump = listed_loads(spec_of(tmp_path, more))
    assert (heater.name, heater.start_a, heater.spread) == ("Heater", 0.0, 0.3)
    assert (pump.count, pump.spread) == (2, 0.05)
    assert pump.start_a == pytest.approx(37.5)
    model = '\n[[loads]]\nid = "saw"\nname = "Saw"\nkind = "motor"\nrating = "2.3 kW"\n[loads.model]\nstart_ratio = 4\n'
    assert listed_loads(spec_of(tmp_path, model))[-1].start_a == pytest.approx(40.0)


LOAD = '\n[[loads]]\nid = "{0}"\nname = "{0}"\nkind = "water heater"\nrating = "{1} kW"\n'


def hourly(tmp_path, name, *ratings, limit=""):
    """The peaks of a week of hours, the highest of 2.4 kW, with loads of so many kW in the survey, held against a limit."""
    folder = write_job(tmp_path / name)
    loads = "".join(LOAD.format(f"load-{at}", kw) for at, kw in enumerate(ratings))
    (folder / "job.toml").write_text(
        'version = 2\nname = "A house (invented)"\n[site]\nzone = "UTC"\n[papers]\ndate = 2025-02-01\n' + limit + loads
    )
    values = np.where(np.arange(168) % 24 == 19, 2400.0, 400.0 + 20.0 * (np.arange(168) % 24))
    power = Series(1736121600, 3600, values, np.zeros(168, np.uint8), values)
    return behind_means(load_job(folder), power, None)


def test_a_survey_that_the_readings_contradict_bounds_no_peak(tmp_path):
    """One load of 1.5 kW in the survey of a house that drew 2.4 kW in the mean lowered the highest minute from 8.8 to 2.8 kW."""
    none, short, whole = hourly(tmp_path, "a"), hourly(tmp_path, "b", "1.5"), hourly(tmp_path, "c", "1.5", "2", "2.2")
    assert [one.code for one in short.findings].count("job.survey-short") == 1
    assert [one.whole.high_w for one in short.windows] == [one.whole.high_w for one in none.windows]
    assert not any(one.code == "job.survey-short" for one in (*none.findings, *whole.findings))
    assert whole.shortest.whole.high_w <= 5700.0 * 1.21 + 1000.0


def test_no_limit_above_all_loads_is_passed(tmp_path):
    """5.7 kW make 6.9 kW at 10 % more voltage, and 1 kW is allowed for others: 8 kW can never be passed, 3 kW can."""
    limits = (f'[limit]\npower = "{kw} kW"\n' for kw in (8, 3))
    above, below = (hourly(tmp_path, f"at-{at}", "1.5", "2", "2.2", limit=limit) for at, limit in enumerate(limits))
    assert (above.passing.limit_w, above.passing.minutes, above.passing.longest_min) == (8000.0, (0.0,) * 3, (0.0,) * 3)
    assert "demand.peaks-pass-limit" not in {one.code for one in above.findings}
    assert below.passing.minutes[2] > 0.0
    assert "demand.peaks-pass-limit" in {one.code for one in below.findings}
