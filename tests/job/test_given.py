"""Files that a proof is made from: told apart by their content, and none outside the folder of a job that is kept."""

import hashlib
from datetime import date
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN, hours
from wattwright.core.errors import JobError
from wattwright.job.assessment import Assessment
from wattwright.job.file import FILE_NAME, Job, load_job
from wattwright.job.given import given, is_changed
from wattwright.job.proved import Given
from wattwright.job.unsealing import opened, what_is_broken
from wattwright.proof.models.record import Grain
from wattwright.proof.seal import FROZEN, Seal, SealedFile, SealedModel, SealedPlan

OUT = (
    "../secret.csv", "..", "a/../../secret.csv", "inner/../../secret.csv", "./../secret.csv", "/etc/passwd", "link.csv",
    "linked/secret.csv", "linked", "linked/../secret.csv", "chain.csv", "gone.csv", "inner/up/../secret.csv",
)  # fmt: skip
"""Ways out: above the folder, from the root, and by links, also one to another, to a folder, and to what is not there."""
NONE = ("a\0b.csv", "\0", "x" * 300 + ".csv", "round.csv")
"""What no file can have as its name (POSIX), and a link that leads to itself."""
IN = ("readings.csv", "inner/deep.csv", "inner/../readings.csv", "inner/within.csv", "not-there.csv", "..csv", "...", "inner")
DAY = date(2024, 1, 1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job with links inside it, and a secret beside it."""
    made = tmp_path / "job"
    (made / "inner").mkdir(parents=True)
    (tmp_path / "secret.csv").write_text("secret")
    (made / FILE_NAME).write_text(PLAIN)
    (made / "readings.csv").write_text(hours([1.0, 2.0] * 48))
    (made / "inner" / "deep.csv").write_text("deep")
    (made / "inner" / "within.csv").symlink_to(made / "readings.csv")
    (made / "inner" / "up").symlink_to(tmp_path / "job" / "..")
    (made / "link.csv").symlink_to(tmp_path / "secret.csv")
    (made / "linked").symlink_to(tmp_path)
    (made / "chain.csv").symlink_to("link.csv")
    (made / "gone.csv").symlink_to(tmp_path / "nothing.csv")
    (made / "round.csv").symlink_to("round.csv")
    return made


@pytest.fixture
def job(folder: Path) -> Job:
    """The job as the desk holds one."""
    return load_job(folder, confined=True)


def sealing(path: str, role: str = "readings") -> str:
    """A frozen part whose baseline was made from a file, as anybody may write one: its fingerprint fits."""
    plan = SealedPlan(
        option="C", boundary="main", boundary_name="Main", begins=DAY, until=DAY, after=DAY, months=12, confidence=0.9,
        grain=Grain.DAY, variables=("calendar",), static_factors=(), responsible="", accuracy="", weather="", proposed=(),
    )  # fmt: skip
    model = SealedModel(
        grain=Grain.DAY, model="mean", form="mean", numbers={"coefficients": [24.0], "searched": 0}, count=364, parameters=1,
        cv_rmse=0.1, unseen_cv_rmse=0.11, nmbe=0.0, r2=0.0, alike=0.2, energy_kwh=8736.0, told_kwh=8736.0,
    )  # fmt: skip
    file = SealedFile(role=role, path=path, size_bytes=6, sha256=hashlib.sha256(b"secret").hexdigest())
    return Seal(
        job="A", zone="UTC", country="", subdivision="", seed=1, issued=DAY, made_by="0", start_s=0, end_s=1, step_s=1,
        readings="", files=(file,), models=(model,), promise=None, tariff=None, loads=(), shedding=None, plan=plan,
    ).text()  # fmt: skip


@pytest.mark.parametrize("path", OUT)
def test_no_way_out(folder: Path, job: Job, path: str) -> None:
    """Each is refused before anything is read; in a folder of a person's own it is their file."""
    for ask in (lambda: job.inside(path), lambda: is_changed(job, Given(path, ""))):
        with pytest.raises(JobError, match="own folder"):
            ask()
    assert load_job(folder).inside(path) == folder / path


@pytest.mark.parametrize("path", NONE)
@pytest.mark.parametrize("confined", [True, False])
def test_what_can_be_no_file(folder: Path, path: str, confined: bool) -> None:
    """It is told as what it is, wherever the job lies."""
    with pytest.raises(JobError, match="the name of a file"):
        is_changed(load_job(folder, confined=confined), Given(path, ""))


@pytest.mark.parametrize("path", IN)
def test_inside(folder: Path, job: Job, path: str) -> None:
    """What stays within is given, also by a link that does, and what is not there yet."""
    assert job.inside(path) == folder / path


def test_a_file_says_something_else(folder: Path, job: Job) -> None:
    """By its SHA-256 alone; one that is gone says nothing else."""
    sound = Given("inner/deep.csv", hashlib.sha256(b"deep").hexdigest())
    assert not is_changed(job, sound)
    (folder / "inner" / "deep.csv").write_text("other")
    assert is_changed(job, sound)
    (folder / "inner" / "deep.csv").unlink()
    assert not is_changed(job, sound)


def test_files_are_named_from_the_folder(folder: Path, job: Job, tmp_path: Path) -> None:
    """The record of the time after and the files of the job, each with its content; one that is gone has none."""
    named = job.spec.model_copy(
        update={
            "tariff": job.spec.tariff.model_copy(update={"files": ("inner/deep.csv",)}),
            "weather": job.spec.weather.model_copy(update={"file": "not-there.csv"}),
        }
    )
    made = Job(named, folder, job.path, confined=True)
    deep = Given("inner/deep.csv", hashlib.sha256(b"deep").hexdigest())
    secret = Given("../secret.csv", hashlib.sha256(b"secret").hexdigest())
    assert given(made, None) == (deep, Given("not-there.csv", ""))
    # A record may be named from anywhere on the command line; whoever takes such a proof into a store is refused it there.
    assert given(made, tmp_path / "secret.csv")[0] == secret
    assert not is_changed(load_job(folder), secret)
    with pytest.raises(JobError, match="own folder"):
        is_changed(job, secret)


@pytest.mark.parametrize("path", ["../secret.csv", "link.csv", "linked/secret.csv", "/etc/passwd"])
def test_prices_and_weather_from_outside(folder: Path, job: Job, path: str) -> None:
    """Nothing is read of them."""
    for entry, inner, value in (("tariff", "files", (path,)), ("weather", "file", path)):
        named = job.spec.model_copy(update={entry: getattr(job.spec, entry).model_copy(update={inner: value})})
        with pytest.raises(JobError, match="own folder"):
            given(Job(named, folder, job.path, confined=True))


@pytest.mark.parametrize(
    ("path", "wanted"), [*((one, "own folder") for one in OUT), *((one, "the name of a file") for one in NONE)]
)
def test_a_frozen_part_names_no_file_outside(folder: Path, job: Job, path: str, wanted: str) -> None:
    """Whoever wrote it, and though the content of the file outside is the one that it tells."""
    (folder / FROZEN).write_text(sealing(path))
    with pytest.raises(JobError, match=wanted):
        opened(Assessment(job, keep=False))
    assert Assessment(job).proof() is None
    assert wanted in what_is_broken(Assessment(job), sealing(path))


def test_the_frozen_part_itself_is_no_link(folder: Path, job: Job, tmp_path: Path) -> None:
    """One that leads out of the folder is not read."""
    (tmp_path / "else.json").write_text(sealing("readings.csv"))
    (folder / FROZEN).symlink_to(tmp_path / "else.json")
    with pytest.raises(JobError, match="own folder"):
        Assessment(job).frozen_text()
    with pytest.raises(JobError, match="own folder"):
        opened(Assessment(job, keep=False))
