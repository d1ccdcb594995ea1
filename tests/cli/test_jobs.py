"""The verb about the jobs of the desk: listed, written into a folder, taken back."""

import json

import pytest

from wattwright.store.exchange import as_zip
from wattwright.store.store import Store


@pytest.fixture
def store(place):
    """The store that the calls are about, with a job of a folder in it."""
    return place / "kept"


def taken(wattwright, store, what) -> str:
    """The id of a job that is taken in."""
    done = wattwright("jobs", "--take", what, "--folder", store, "--json")
    assert (done.code, done.err) == (0, "")
    return json.loads(done.out)["job"]


def test_given_into_a_folder_and_taken_back(wattwright, place, store) -> None:
    """The job of a folder is listed, given by its name into another, changed there, and taken back as a revision of itself."""
    assert "no job yet" in wattwright("jobs", "--folder", store).out
    job = taken(wattwright, store, "job")
    (row,) = json.loads(wattwright("jobs", "--folder", store, "--json").out)["jobs"]
    assert (row["job"], row["revision"], row["folder"]) == (job, 1, str((place / "job").resolve()))
    listed = wattwright("jobs", "--folder", store).out
    assert f"{job}  {row['name']}  (" in listed
    done = wattwright("jobs", "--give", row["name"], "--into", "out", "--folder", store)
    assert (done.code, done.out) == (0, f"out: job {job}, revision 1\n")
    text = (place / "out" / "job.toml").read_text()
    (place / "out" / "job.toml").write_text(text + "# changed in the folder\n")
    assert taken(wattwright, store, "out") == job
    kept = Store(store)
    assert (kept.head(job).number, kept.head(job).text) == (2, text + "# changed in the folder\n")
    (place / "job.zip").write_bytes(as_zip(kept, kept.head(job)))
    kept.close()
    other = taken(wattwright, store, "job.zip")
    assert other != job  # a zip file is a job of its own
    assert f"{other}  {row['name']}\n" in wattwright("jobs", "--folder", store).out
    twice = wattwright("jobs", "--give", row["name"], "--into", "again", "--folder", store)
    assert (twice.code, "2 jobs are named" in twice.err, job in twice.err) == (2, True, True)


@pytest.mark.parametrize("content", [b"PK\x03\x04 cut off", b""])
def test_a_damaged_zip_file_is_named(wattwright, place, store, content: bytes) -> None:
    """What is wrong with the whole of it is told with its name."""
    (place / "z.zip").write_bytes(content)
    done = wattwright("jobs", "--take", "z.zip", "--folder", store)
    assert done.code == 1
    assert "z.zip" in done.err
    assert "what was given" not in done.err


@pytest.mark.parametrize(
    ("given", "code", "words"),
    [
        (("--give", "none", "--into", "out"), 2, 'no job with the id or name "none"'),
        (("--give", "none"), 2, "--give and --into belong together"),
        (("--into", "out"), 2, "--give and --into belong together"),
        (("--give", "a", "--into", "out", "--take", "job"), 2, "--take goes without them"),
        (("--take", "nowhere"), 1, "no such file"),
    ],
)
def test_wrong_calls(wattwright, store, given, code, words) -> None:
    """Each ends with a sentence."""
    done = wattwright("jobs", *given, "--folder", store)
    assert (done.code, words in done.err) == (code, True), done.err
