"""Jobs from folders and zip files, and back; hostile zip files refused."""

import io
import stat
import zipfile
from pathlib import Path

import pytest

from tests.store.conftest import JOB, READINGS
from wattwright.core.errors import FileError, JobError, StoreError
from wattwright.proof.seal import FROZEN
from wattwright.store import exchange
from wattwright.store.exchange import as_zip, files_in_zip, read_folder, read_zip, take_folder, text_in_zip
from wattwright.store.store import Store


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job in a folder, with something beside it that it does not name."""
    made = tmp_path / "bakery"
    made.mkdir()
    (made / "job.toml").write_text(JOB)
    (made / "readings.csv").write_bytes(READINGS)
    (made / "private.txt").write_text("not of the job")
    return made


def zipped(*entries: tuple[str, bytes], mode: int = stat.S_IFREG | 0o644) -> bytes:
    """A zip file of some entries."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in entries:
            one = zipfile.ZipInfo(name)
            one.external_attr = mode << 16
            archive.writestr(one, content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def test_folder_to_zip_and_back(store: Store, folder: Path) -> None:
    """A job taken from a folder, given as zip and taken in again is the same; what it does not name stays outside."""
    text, files = read_folder(folder)
    assert (text, files) == (JOB, {"readings.csv": READINGS})
    head = store.head(store.add(text, files, "read"))
    packed = as_zip(store, head)
    assert packed == as_zip(store, head)
    assert read_zip(packed) == (text, files)


def test_a_frozen_promise_goes_along(store: Store, folder: Path) -> None:
    """What was frozen beside the job file is part of the job, though the job file does not name it."""
    (folder / FROZEN).write_text("{}")
    (folder / "frozen-2024-02-01-0123.json").write_text("old")
    (folder / "job.toml").write_text((folder / "job.toml").read_text() + '[measurement]\nweather = "weather.csv"\n')
    (folder / "weather.csv").write_text("time,T")
    text, files = read_folder(folder)
    assert files["frozen-2024-02-01-0123.json"] == b"old"
    assert files["weather.csv"] == b"time,T"
    assert files[FROZEN] == b"{}"
    assert read_zip(as_zip(store, store.head(store.add(text, files, "read")))) == (text, files)


def test_folder_read_again(store: Store, folder: Path) -> None:
    """The same folder is the same job; what changed there is a revision; what changed here meanwhile is kept and stands."""
    job = take_folder(store, folder, "read")
    assert take_folder(store, folder / "job.toml", "read") == job
    assert store.head(job).number == 1
    here = store.change(store.head(job), JOB + "# changed here\n", "here")
    assert take_folder(store, folder, "read") == job
    assert store.head(job).number == here.number
    (folder / "readings.csv").write_bytes(READINGS + b"2025-01-01 03:00,2.0\n")
    take_folder(store, folder, "read again")
    assert store.head(job).cause == "read again"
    assert store.undo(job, 3).text == here.text


def test_a_folder_of_meter_files(folder: Path) -> None:
    """Where a job names a folder of meter files, all of it is taken."""
    (folder / "job.toml").write_text(JOB.replace('path = "readings.csv"', 'path = "days"'))
    (folder / "days").mkdir()
    (folder / "days" / "1.csv").write_bytes(READINGS)
    assert set(read_folder(folder)[1]) == {"days/1.csv"}


def test_zip_with_a_folder_around_it() -> None:
    """A job zipped with its folder is taken as well; what lies outside that folder is left."""
    text, files = read_zip(zipped(("bakery/job.toml", JOB.encode()), ("bakery/readings.csv", READINGS), ("else.csv", b"1")))
    assert (text, files) == (JOB, {"readings.csv": READINGS})


def test_what_leads_out_of_the_folder(folder: Path, tmp_path: Path) -> None:
    """A file outside the folder is refused, by its path and by a link."""
    (tmp_path / "other.csv").write_bytes(READINGS)
    (folder / "job.toml").write_text(JOB.replace("readings.csv", "../other.csv"))
    with pytest.raises(StoreError):
        read_folder(folder)
    (folder / "job.toml").write_text(JOB.replace("readings.csv", "link.csv"))
    (folder / "link.csv").symlink_to(tmp_path / "other.csv")
    with pytest.raises(StoreError, match="a link that leads out"):
        read_folder(folder)


def test_a_folder_that_is_no_job(folder: Path, tmp_path: Path) -> None:
    """A missing file, a missing job and a wrong job are told as they are elsewhere."""
    (folder / "readings.csv").unlink()
    with pytest.raises(FileError):
        read_folder(folder)
    with pytest.raises(FileError):
        read_folder(tmp_path)
    (folder / "job.toml").write_text("name = 1\n")
    with pytest.raises(JobError):
        read_folder(folder)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "a zip file with a job in it"),
        (b"PK\x03\x04 no more", "a zip file with a job in it"),
        (zipped(("readings.csv", READINGS)), "no job.toml"),
        (zipped(("job.toml", b"\xff\xfe\x00")), "not UTF-8"),
        (zipped(("job.toml", JOB.encode()), ("../readings.csv", READINGS)), "../readings.csv"),
        (zipped(("job.toml", JOB.encode()), ("/etc/passwd", READINGS)), "/etc/passwd"),
        (zipped(("../job.toml", JOB.encode())), "../job"),
        (zipped(("job.toml", JOB.encode()), ("a.csv", b"1"), ("A.csv", b"2")), "twice"),
        (zipped(("job.toml", b"/etc/passwd"), mode=stat.S_IFLNK | 0o777), "a link"),
        (zipped(*((f"{i}.csv", b"1") for i in range(exchange.MOST_FILES + 1))), "files and"),
        (zipped(("job.toml", JOB.encode()))[:-30], "zip file"),
    ],
)
def test_hostile_zip(content: bytes, told: str) -> None:
    """Paths that lead out, links, too many files, twins and damage are refused in a sentence."""
    with pytest.raises(StoreError) as refused:
        read_zip(content)
    assert told in str(refused.value)


@pytest.mark.parametrize(
    "names", [("a", "a/b.csv"), ("A/b.csv", "a"), ("a.csv", "./a.csv"), ("b/a.csv", "b//A.csv"), ("e\u0301.csv", "\u00e9.csv")]
)
def test_names_that_cannot_lie_beside_each_other(names: tuple[str, str]) -> None:
    """A file in the place of a folder, and one name written in two ways, are refused: one of them would be lost."""
    with pytest.raises(StoreError, match=r"each (file|name) once"):
        read_zip(zipped(("job.toml", JOB.encode()), *((name, b"1") for name in names)))


def test_what_a_system_puts_beside_a_job_is_passed_over() -> None:
    """A zip file made on a Mac holds a folder of its own with a twin of each file, and one hidden file (from memory)."""
    mac = ("__MACOSX/._job.toml", "__MACOSX/bakery/._readings.csv", "bakery/.DS_Store", ".git/config", "bakery/.hidden/a.csv")
    entries = ("bakery/job.toml", JOB.encode()), ("bakery/readings.csv", READINGS), *((name, b"1") for name in mac)
    assert read_zip(zipped(*entries)) == (JOB, {"readings.csv": READINGS})
    with pytest.raises(StoreError):
        read_zip(zipped(*entries, ("../a.csv", b"1")))


def test_a_byte_order_mark(folder: Path) -> None:
    """The mark that Windows puts before a text is no part of it, from a zip file and from a folder."""
    marked = b"\xef\xbb\xbf" + JOB.encode()
    assert read_zip(zipped(("job.toml", marked), ("readings.csv", READINGS))) == (JOB, {"readings.csv": READINGS})
    (folder / "job.toml").write_bytes(marked)
    assert read_folder(folder)[0] == JOB


def test_the_job_file_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The text is read without what lies beside it; names are looked at all the same, and the job file is tried."""
    monkeypatch.setattr(exchange, "MOST_BYTES", 2**10)
    beside = ("readings.csv", bytes(2**12))
    assert text_in_zip(zipped(beside, ("a/b/job.toml", b"name = 1"), ("a/job.toml", JOB.encode()))) == JOB
    for name, error in (("../a.csv", StoreError), ("a.csv", JobError)):
        with pytest.raises(error):
            text_in_zip(zipped(beside, (name, b"1"), ("job.toml", b"name = 1")))
    for content in (b"PK", zipped(beside)):
        with pytest.raises(StoreError, match="a zip file with a job in it"):
            text_in_zip(content)


def test_the_files_beside_the_job_file() -> None:
    """What read_zip gives beside the text, and the text is not read a second time."""
    entries = (("a/readings.csv", READINGS), ("a/photos/x.jpg", b"1"), ("else.csv", b"1"))
    packed = zipped(("a/job.toml", JOB.encode()), *entries)
    assert files_in_zip(packed) == read_zip(packed)[1] == {"readings.csv": READINGS, "photos/x.jpg": b"1"}
    assert files_in_zip(zipped(("a/job.toml", b"name = 1"), *entries)) == files_in_zip(packed)
    with pytest.raises(StoreError, match="a zip file with a job in it"):
        files_in_zip(zipped(*entries))


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA])
def test_damaged_or_locked(method: int) -> None:
    """A stream that breaks off its own rules, and one locked by a password, are told in a sentence of ours."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        archive.writestr("job.toml", JOB)
    whole = bytearray(out.getvalue())
    begin = 30 + len("job.toml")  # APPNOTE of the zip format: a local header of 30 bytes, then the name
    bent = whole[:begin] + b"\xff" * 40 + whole[begin + 40 :]
    locked = bytearray(whole)
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        locked[whole.index(mark) + at] |= 1  # the bit that says it is locked
    for content in (bent, locked):
        with pytest.raises(StoreError) as refused:
            read_zip(bytes(content))
        assert "a damaged or locked file" in str(refused.value)
        assert "ZipInfo" not in str(refused.value)


def test_zip_bomb(monkeypatch: pytest.MonkeyPatch) -> None:
    """What unpacks to more than a job may hold is refused while it is unpacked, whatever it says of its size."""
    monkeypatch.setattr(exchange, "MOST_BYTES", 2**20)
    bomb = zipped(("job.toml", JOB.encode()), ("readings.csv", bytes(2**22)))
    assert len(bomb) < 2**14
    with pytest.raises(StoreError, match="MB at most"):
        read_zip(bomb)
    lying = bomb.replace((2**22).to_bytes(4, "little"), (10).to_bytes(4, "little"))
    with pytest.raises(StoreError):
        read_zip(lying)


def test_zip_with_a_wrong_job() -> None:
    """A job file with faults is told with each of them."""
    with pytest.raises(JobError):
        read_zip(zipped(("job.toml", b"name = 1\n")))
