"""Found loads as entries of the survey."""

import numpy as np
import pytest
import tomlkit

from tests.job.hand import write_job
from wattwright.core.clock import SiteClock
from wattwright.core.errors import JobError, UsageError
from wattwright.core.series import of_values
from wattwright.demand.switched.analyse import in_series
from wattwright.job.file import load_job
from wattwright.job.found import accept_load, fitting, proposal_lines, proposed
from wattwright.job.refused import NotLoad


@pytest.fixture(scope="module")
def load():
    """A load of 1.5 kW, on for 20 minutes of every hour."""
    minute = np.arange(4 * 1440)
    values = 300 + np.random.default_rng(1).normal(0, 5, len(minute)) + 1500 * (minute % 60 < 20)
    return in_series(of_values(0, 60, values), SiteClock("UTC")).loads[0]


def test_lines_are_the_entry(load) -> None:
    """The lines that are shown read as what would be written."""
    told = tomlkit.parse("\n".join(proposal_lines(load))).unwrap()
    assert told == {"loads": [proposed(load)]}
    assert told["loads"][0]["rating"] == "1.50 kW"
    assert "33 % of the time" in told["loads"][0]["note"]


def test_loads_of_the_survey_that_it_may_be(load, tmp_path) -> None:
    """1.5 kW may be a rating within a tenth of it, the nearest first; standby never switches, and a survey may be empty."""
    entry = '[[loads]]\nid = "{0}"\nname = "{0}"\nkind = "{1}"\nrating = "{2}"\n'
    survey = [
        ("far", "other", "1.7 kW"),
        ("near", "other", "1.4 kW"),
        ("same", "cooking", "1.52 kW"),
        ("idle", "standby", "1.5 kW"),
    ]
    path = write_job(tmp_path / "job") / "job.toml"
    path.write_text(path.read_text().split("[[loads]]")[0] + "".join(entry.format(*one) for one in survey))
    loads = load_job(path).spec.loads
    assert [one.id for one in fitting(load, loads)] == ["same", "near"]
    assert fitting(load, ()) == ()


@pytest.mark.parametrize(
    ("entry", "fits"),
    [
        ({"level": "1.4 kW"}, True),
        ({"level": "1.3 kW"}, False),
        ({"level": "1.5 kW", "from": "18:00", "until": "06:30"}, True),
        ({"level": "1.5 kW", "from": "06:30", "until": "18:00"}, False),
    ],
)
def test_a_refused_load_is_known_by_level_and_hours(load, entry, fits) -> None:
    """1.5 kW is within a tenth of 1.4 and not of 1.3; of a load that runs evenly 12.5 hours of the day hold half, 11.5 do not."""
    assert NotLoad.model_validate({"reason": "seen on site", **entry}).fits(load) is fits


def test_an_accepted_load_stands_in_the_survey_and_comments_stay(load, tmp_path) -> None:
    """The job file is sound afterwards and holds every line it had; a second time is refused in a sentence."""
    write_job(tmp_path / "job")
    path = tmp_path / "job" / "job.toml"
    path.write_text(path.read_text() + "\n# the last word\n")
    before = path.read_text()
    had = len(load_job(path).spec.loads)
    accept_load(path, load)
    assert [one for one in before.splitlines() if one not in path.read_text().splitlines()] == []
    spec = load_job(path).spec
    assert len(spec.loads) == had + 1
    assert (spec.loads[-1].id, spec.loads[-1].rating_w) == (load.id, 1500.0)
    with pytest.raises(UsageError, match="already"):
        accept_load(path, load)


def test_loads_that_are_no_tables_are_refused(load, tmp_path) -> None:
    """A survey written as one value is left as it is."""
    path = tmp_path / "job.toml"
    path.write_text("loads = []\n")
    with pytest.raises(JobError, match="loads"):
        accept_load(path, load)
    assert path.read_text() == "loads = []\n"
