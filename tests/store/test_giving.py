"""A job of the store written into a folder: the same files as in its zip; nothing that is not of the job is written over."""

import io
import zipfile
from pathlib import Path

import pytest

from tests.store.conftest import JOB, READINGS
from wattwright.core.errors import FileError, StoreError
from wattwright.store.exchange import as_zip, take_folder
from wattwright.store.giving import give_folder
from wattwright.store.store import Store

PHOTO = b"of a plate"


@pytest.fixture
def job(store: Store) -> str:
    """A job with a meter file, a tariff and a photo, of which its first state had no photo and another tariff."""
    text = JOB + '[tariff]\nfiles = ["old.toml"]\n'
    made = store.add(text, {"readings.csv": READINGS, "old.toml": b"old"}, "new")
    load = '[[loads]]\nid = "a"\nname = "A"\nkind = "other"\nrating = "1 kW"\nphotos = ["photos/a-1.jpg"]\n'
    more = {"tariff.toml": b"new", "photos/a-1.jpg": PHOTO}
    store.change(store.head(made), text.replace("old.toml", "tariff.toml") + load, "more", more, ("old.toml",))
    return made


def lying(folder: Path) -> dict[str, bytes]:
    """Every file of a folder by its path in it."""
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


def of_zip(store: Store, job: str) -> dict[str, bytes]:
    """Every file of the job's zip file by its path."""
    with zipfile.ZipFile(io.BytesIO(as_zip(store, store.head(job)))) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_folder_is_the_zip_byte_for_byte_and_comes_back_as_the_same_job(store: Store, job: str, tmp_path: Path) -> None:
    """Written into a new folder and taken from there again nothing has changed; what is changed there comes as a revision."""
    into = tmp_path / "given" / "bakery"
    assert give_folder(store, job, into).number == 2
    assert lying(into) == of_zip(store, job)
    assert set(lying(into)) == {"job.toml", "readings.csv", "tariff.toml", "photos/a-1.jpg"}
    redrawn: list[str] = []

    def cleaned(_: str, files: dict[str, bytes]) -> dict[str, bytes]:
        redrawn.extend(files)
        return files

    assert take_folder(store, into, "back", cleaned) == job
    assert (store.head(job).number, redrawn) == (2, [])  # what the job holds is not written anew
    (into / "job.toml").write_text((into / "job.toml").read_text() + "# changed there\n")
    assert take_folder(store, into, "back", cleaned) == job
    assert (store.head(job).number, redrawn) == (3, [])


def test_an_earlier_state_is_brought_up_and_what_else_lies_there_stays(store: Store, job: str, tmp_path: Path) -> None:
    """Files the job has no more go, what it does not name stays, and an empty folder is as good as a new one."""
    into = tmp_path / "bakery"
    into.mkdir()
    store.undo(job, 2)
    give_folder(store, job, into)
    assert lying(into) == of_zip(store, job)
    (into / "private.txt").write_text("of nobody's job")
    store.redo(job, 1)
    give_folder(store, job, into)
    assert lying(into) == {**of_zip(store, job), "private.txt": b"of nobody's job"}
    assert "old.toml" not in lying(into)


def test_a_later_state_is_a_state_of_the_job_too(store: Store, job: str, tmp_path: Path) -> None:
    """After an undo the folder holds what a redo would lead to: the state that holds is written over it, and the other way."""
    into = tmp_path / "bakery"
    give_folder(store, job, into)
    store.undo(job, 2)
    give_folder(store, job, into)
    assert lying(into) == of_zip(store, job)
    store.change(store.head(job), store.head(job).text + "# another way\n", "other")
    give_folder(store, job, into)
    store.undo(job, 3)
    assert give_folder(store, job, into).number == 1
    assert lying(into) == of_zip(store, job)


@pytest.mark.parametrize("text", ["# mine\n", "no job at all =\n"])
def test_what_was_changed_by_hand_is_taken_first(store: Store, job: str, tmp_path: Path, text: str) -> None:
    """It would be lost: told so with what to do, and left as it is; in another place it is another's."""
    into = tmp_path / "bakery"
    give_folder(store, job, into)
    (into / "job.toml").write_text((into / "job.toml").read_text() + text)
    before = lying(into)
    with pytest.raises(StoreError, match=r"changed in the folder since it was written there.*jobs --take .*bakery"):
        give_folder(store, job, into)
    assert lying(into) == before
    into.rename(tmp_path / "elsewhere")
    with pytest.raises(StoreError, match=r"not of this job|another job"):
        give_folder(store, job, tmp_path / "elsewhere")


@pytest.mark.parametrize("name", ["job.toml", "readings.csv"])
def test_a_link_is_not_replaced(store: Store, job: str, tmp_path: Path, name: str) -> None:
    """Whoever had a file of the folder be a link means the file behind it: neither of them is written."""
    into, behind = tmp_path / "bakery", tmp_path / "behind"
    store.undo(job, 2)
    give_folder(store, job, into)
    store.redo(job, 1)
    (into / name).rename(behind)
    (into / name).symlink_to(behind)
    before = behind.read_bytes()
    with pytest.raises(StoreError, match=rf"{name}, which is a link"):
        give_folder(store, job, into)
    assert (into / name).is_symlink()
    assert behind.read_bytes() == before


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"notes.txt": "mine"}, "not of this job"),
        ({"job.toml": "no job at all ="}, "not of this job"),
        ({"job.toml": JOB, "readings.csv": READINGS.decode()}, "another job"),
    ],
)
def test_a_folder_of_something_else_is_left_as_it_is(store: Store, job: str, tmp_path: Path, files, told: str) -> None:
    """Other files, what is no job, and another job: told in a sentence, and not a byte of it changes."""
    into = tmp_path / "taken"
    into.mkdir()
    for name, text in files.items():
        (into / name).write_text(text)
    before = lying(into)
    with pytest.raises(StoreError, match=told):
        give_folder(store, job, into)
    assert lying(into) == before
    with pytest.raises(StoreError, match="a file"):
        give_folder(store, job, into / next(iter(files)))


def test_a_file_that_only_lies_there_is_not_written_over(store: Store, job: str, tmp_path: Path) -> None:
    """Beside an earlier state lies a file of a name that the job has got since, or a link that leads out: nothing is written."""
    into = tmp_path / "bakery"
    store.undo(job, 2)
    give_folder(store, job, into)
    store.redo(job, 1)
    (into / "tariff.toml").write_text("mine")
    before = lying(into)
    with pytest.raises(StoreError, match=r"tariff\.toml that is not of this job"):
        give_folder(store, job, into)
    assert lying(into) == before
    (into / "tariff.toml").unlink()
    (tmp_path / "elsewhere").mkdir()
    (into / "photos").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(StoreError, match="photos"):
        give_folder(store, job, into)
    assert lying(tmp_path / "elsewhere") == {}


def test_a_folder_is_that_of_one_job(store: Store, job: str, tmp_path: Path) -> None:
    """Emptied and given another job, a folder is read as that one; the first is then a job without a folder."""
    into = tmp_path / "bakery"
    give_folder(store, job, into)
    for one in sorted(into.rglob("*"), reverse=True):
        one.unlink() if one.is_file() else one.rmdir()
    other = store.add(JOB.replace("bakery", "mill"), {"readings.csv": READINGS}, "new")
    give_folder(store, other, into)
    assert take_folder(store, into, "back") == other
    assert {one.id: one.origin for one in store.jobs()} == {job: "", other: str(into.resolve())}


def test_what_cannot_be_given(store: Store, job: str, tmp_path: Path) -> None:
    """No such job, and a place that cannot be written to."""
    with pytest.raises(StoreError):
        give_folder(store, "none", tmp_path / "x")
    with pytest.raises(FileError):
        give_folder(store, job, Path("/proc/nowhere/x"))
