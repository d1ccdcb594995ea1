"""What a job says about peaks: which loads count, and the limit in W."""

import pytest

from tests.job.hand import JOB, write_job
from wattwright.core.errors import JobError
from wattwright.job.file import load_job
from wattwright.job.peaks import limit_named, limit_w, listed_loads

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
