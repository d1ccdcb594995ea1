"""The demo job is whole, is never written over, and its bills agree with the tariff room."""

import csv
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from wattwright.control.programmes import Span
from wattwright.core.clock import SiteClock
from wattwright.core.errors import FileError
from wattwright.core.progress import Reporting
from wattwright.core.series import of_values
from wattwright.demo.bills import paid_bills
from wattwright.demo.job import demo_job
from wattwright.demo.place import DEMO_SEED, LATITUDE_DEG, MAIN_FUSE_A, PROPERTY_NAME, ZONE
from wattwright.demo.survey import SURVEY
from wattwright.demo.tariffs import tariff_today, tariffs_to_compare
from wattwright.demo.truth import truth
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.simulated_site import simulated_site
from wattwright.job.trial import load_trial
from wattwright.tariff.bill import bill
from wattwright.tariff.load import load_tariff
from wattwright.tariff.usage import Usage


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo job, written once."""
    into = tmp_path_factory.mktemp("demo") / "job"
    demo_job(into)
    return into


def test_whole(folder: Path) -> None:
    """Job file, tariffs, story and meter files lie there, and the job file is right and says that it is invented."""
    names = {path.name for path in folder.iterdir()}
    assert {
        "job.toml",
        "tariffs.toml",
        "trial.toml",
        "story.md",
        "main-meter-2025.csv.gz",
        "water-heaters-2025.csv",
        "bills-2025.csv",
    } <= names
    spec = load_job(folder).spec
    assert spec.invented
    assert all((folder / file.path).is_file() for file in spec.files)


def test_job_file_agrees_with_the_generator(folder: Path) -> None:
    """What the job file says of place, supply and loads is what the readings were drawn from."""
    spec = load_job(folder).spec
    assert (spec.name, spec.site.zone, spec.site.latitude_deg) == (PROPERTY_NAME, ZONE, LATITUDE_DEG)
    assert spec.seed == DEMO_SEED
    assert spec.supply is not None
    assert spec.supply.main_protection_a == MAIN_FUSE_A
    told = {load.id.replace("-", "_"): (load.quantity, load.rating_w, load.power_factor) for load in spec.loads}
    assert told == {one.id: (one.quantity, one.rating_w, one.power_factor) for one in SURVEY}


def test_bills_of_the_job_are_those_handed_over(folder: Path) -> None:
    """The job file holds the twelve bills of the file beside it, day after day, and the record of the year agrees with them."""
    job = load_job(folder)
    with (folder / "bills-2025.csv").open(newline="") as source:
        paid = list(csv.DictReader(source))
    assert [(one.first.isoformat(), f"{one.paid_wh / 1000:.0f}") for one in job.spec.bills] == [
        (one["from"], one["kwh"]) for one in paid
    ]
    assert [one.until.isoformat() for one in job.spec.bills[:-1]] == [one["from"] for one in paid[1:]]
    told = Assessment(job, keep=False).paid_bills()
    assert [one.code for one in told.findings] == ["demand.bills-agree"]
    assert told.ratio == pytest.approx(1.0, abs=0.002)  # a whole kWh of each bill is 0.0008 of the smallest


def test_changes_are_kept_and_nothing_is_drawn_twice(folder: Path) -> None:
    """A second writing leaves what a person changed and does not draw the year again; a lost file is drawn again."""
    job = folder / "job.toml"
    job.write_text(job.read_text() + "\n# mine\n")
    drawn: list[str] = []
    progress = Reporting(lambda what, _done, _total: drawn.append(what))
    demo_job(folder, progress)
    assert job.read_text().endswith("# mine\n")
    assert drawn == []
    water = (folder / "water-heaters-2025.csv").read_bytes()
    (folder / "water-heaters-2025.csv").unlink()
    demo_job(folder, progress)
    assert drawn
    assert (folder / "water-heaters-2025.csv").read_bytes() == water


@pytest.mark.parametrize("index", range(3))
def test_bills_agree_with_the_tariff_room(folder: Path, index: int) -> None:
    """The generator's own small calculation and the tariff room price the true year alike, to the cent of each month's lines."""
    known = truth(DEMO_SEED)
    data = [tariff_today(), *tariffs_to_compare()][index]
    tariff = load_tariff(folder / "tariffs.toml").tariffs[index]
    theirs = paid_bills(known.total_w, data, known.year)
    usage = Usage(of_values(int(known.year.start_s[0]), 60, np.asarray(known.total_w)))
    ours = bill(tariff, usage, SiteClock(ZONE))
    assert len(ours.by_month) == 12
    for mine, other in zip(ours.by_month, theirs, strict=True):
        # The paid bills go by whole kWh of a register, which shifts a month by at most one kWh at its highest price with tax.
        assert abs(mine.amount - other.amount.amount) <= Decimal("0.40")
    assert abs(ours.total - sum(one.amount.amount for one in theirs)) <= Decimal("0.60")


@pytest.mark.parametrize("text", ['version = 1\nname = "A real house"\n', "not toml ["])
def test_job_of_another_property_is_left_alone(tmp_path: Path, text: str) -> None:
    """The demo never goes into a folder that holds another job, readable or not, and changes nothing there."""
    (tmp_path / "job.toml").write_text(text)
    with pytest.raises(FileError, match="nothing was changed"):
        demo_job(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]
    assert (tmp_path / "job.toml").read_text() == text


def test_rules_to_try_fit_the_job(tmp_path):
    """The rules that come with the demo name its loads, contradict nothing and say that they are invented."""
    (tmp_path / "job.toml").write_bytes(files("wattwright.demo").joinpath("job.toml").read_bytes())
    text = files("wattwright.demo").joinpath("trial.toml").read_text(encoding="utf-8")
    (tmp_path / "trial.toml").write_text(text, encoding="utf-8")
    job = load_job(tmp_path)
    rules = load_trial(tmp_path / "trial.toml", job)
    assert "invented" in text
    assert simulated_site(job, rules).of_rules(rules, Span(1_754_427_600, 1_754_514_000, job.clock)) == ()
