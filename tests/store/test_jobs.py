"""Jobs and revisions in the store, on both databases."""

import hashlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.store.conftest import JOB, READINGS
from wattwright.core.errors import StoreError
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.store.jobs import CHANGED_MEANWHILE
from wattwright.store.store import Store

SHA256 = hashlib.sha256(READINGS).hexdigest()


def code_of(refused: pytest.ExceptionInfo) -> str:
    return refused.value.faults[0].code


def test_a_job_comes_back_as_it_was_given(store: Store) -> None:
    """Text and files of a job are those given, each content under its SHA-256."""
    job = store.add(JOB, {"readings.csv": READINGS}, "made new")
    head = store.head(job)
    assert (head.number, head.parent, head.child, head.cause, head.text) == (1, None, None, "made new", JOB)
    assert head.files == {"readings.csv": SHA256}
    assert store.content(SHA256) == READINGS
    assert [one.id for one in store.jobs()] == [job]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(
    content=st.binary(max_size=300),
    text=st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"]), max_size=200),
)
def test_any_text_and_bytes_come_back(store: Store, content: bytes, text: str) -> None:
    """Whatever a file and a job file hold, it comes back to the last byte."""
    head = store.head(store.add(text, {"a/b.bin": content}, "made"))
    assert head.text == text
    assert store.content(head.files["a/b.bin"]) == content


def test_undo_and_redo(store: Store) -> None:
    """Undo goes to the revision before, redo to the newest made on it; a change after an undo leaves the undone one kept."""
    job = store.add(JOB, {}, "made new")
    second = store.change(store.head(job), JOB + "#2\n", "two")
    third = store.change(second, JOB + "#3\n", "three", {"tariff.toml": b"x"})
    back = store.undo(job, third.number)
    assert (back.number, back.child, back.files) == (2, 3, {})
    assert store.redo(job, 2).number == 3
    store.undo(job, 3)
    other = store.change(store.head(job), JOB + "#4\n", "four")
    assert (other.number, other.parent) == (4, 2)
    assert store.undo(job, 4).child == 4
    assert store.revision(job, 3).text == JOB + "#3\n"
    with pytest.raises(StoreError) as refused:
        store.redo(job, store.redo(job, 2).number)
    assert code_of(refused) == "store.not-there"


def test_nothing_before_the_first(store: Store) -> None:
    """The first revision cannot be taken back, and this is said."""
    job = store.add(JOB, {}, "made new")
    with pytest.raises(StoreError, match="a change to take back"):
        store.undo(job, 1)


def test_two_tabs(store: Store) -> None:
    """A change made on a revision that no longer holds is refused, and what the other one saved stays."""
    job = store.add(JOB, {}, "made new")
    seen = store.head(job)
    store.change(seen, JOB + "# first tab\n", "first")
    with pytest.raises(StoreError) as refused:
        store.change(seen, JOB + "# second tab\n", "second", {"more.csv": b"1"})
    assert code_of(refused) == CHANGED_MEANWHILE
    assert store.head(job).text.endswith("# first tab\n")
    for move in (store.undo, store.remove):
        with pytest.raises(StoreError) as refused:
            move(job, seen.number)
        assert code_of(refused) == CHANGED_MEANWHILE


def test_many_writers_at_once(store: Store) -> None:
    """Of eight changes made on one revision at the same time exactly one holds; the others are told so."""
    job = store.add(JOB, {}, "made new")
    seen = store.head(job)

    def change(number: int) -> str:
        try:
            return store.change(seen, f"{JOB}#{number}\n", str(number), {"same.csv": READINGS}).cause
        except StoreError as error:
            return error.faults[0].code

    with ThreadPoolExecutor(8) as threads:
        told = list(threads.map(change, range(8)))
    assert sorted(told)[1:] == [CHANGED_MEANWHILE] * 7
    assert store.head(job).cause == sorted(told)[0]
    assert store.head(job).number == 2


def test_files_are_taken_out_and_replaced(store: Store) -> None:
    """A revision lists what was added and not what was taken out; earlier ones list theirs still."""
    job = store.add(JOB, {"a.csv": b"1", "b.csv": b"2"}, "made new")
    now = store.change(store.head(job), JOB, "changed", {"a.csv": b"3"}, ("b.csv",))
    assert {path: store.content(sha256) for path, sha256 in now.files.items()} == {"a.csv": b"3"}
    assert set(store.revision(job, 1).files) == {"a.csv", "b.csv"}


def test_remove(store: Store) -> None:
    """A removed job is gone with what only it held; the other keeps what both held."""
    one = store.add(JOB, {"a.csv": b"both", "b.csv": b"one"}, "made")
    other = store.add(JOB, {"a.csv": b"both"}, "made")
    gone = store.head(one).files["b.csv"]
    store.remove(one, 1)
    assert [job.id for job in store.jobs()] == [other]
    assert store.content(store.head(other).files["a.csv"]) == b"both"
    for ask in (lambda: store.content(gone), lambda: store.head(one), lambda: store.revision(other, 9)):
        with pytest.raises(StoreError) as refused:
            ask()
        assert code_of(refused) == "store.not-there"


def test_a_removed_job_leaves_the_disk(store: Store) -> None:
    """Its readings and results go with it; what another job has stays; what was left over goes when it is tidied."""
    one = store.add(JOB, {"a.csv": b"both", "b.csv": b"private"}, "made")
    other = store.head(store.add(JOB, {"a.csv": b"both"}, "made"))
    store.laid_out(store.head(one))
    kept = store.laid_out(other)
    store.results(one).mkdir()
    (store.results(one) / "demand.zip").write_bytes(b"private")
    store.remove(one, 1)
    work = store.folder / "work"
    assert [path for path in work.rglob("*") if path.is_file() and path.read_bytes() == b"private"] == []
    assert {path.name for path in work.iterdir()} == {other.job, "contents"}
    assert (kept / "a.csv").read_bytes() == b"both"
    (work / one / "results").mkdir(parents=True)
    store.tidy()
    assert {path.name for path in work.iterdir()} == {other.job, "contents"}


@pytest.mark.parametrize(
    "path", ["", ".", "../a", "/a", "a/../b", "job.toml", "Job.TOML", ".hidden", "a\\b", "a\x00", "con", "a.", "x" * 201]
)
def test_paths_that_cannot_be_kept(store: Store, path: str) -> None:
    """A path that leads out, hides, or would stand in the place of the job file is refused, and nothing is kept."""
    with pytest.raises(StoreError) as refused:
        store.add(JOB, {path: b"1"}, "made")
    assert code_of(refused) == "store.path"
    assert store.jobs() == ()


def test_a_revision_laid_out_is_a_job(store: Store) -> None:
    """The folder of a revision is a job that can be worked out; asked again it is the same; others have their own."""
    job = store.add(JOB, {"readings.csv": READINGS}, "made new")
    folder = store.laid_out(store.head(job))
    assessed = Assessment(load_job(folder), shelf=store.results(job))
    # Three hourly means of 1.5, 1.25 and 1 kW.
    assert assessed.demand().summary.energy_kwh == pytest.approx(3.75)
    assert any(store.results(job).rglob("demand.*.zip"))
    assert not (folder / ".wattwright").exists()
    assert store.laid_out(store.head(job)) == folder
    second = store.laid_out(store.change(store.head(job), JOB, "again", {"more/other.csv": b"2"}))
    assert (second.name, (second / "more" / "other.csv").read_bytes()) == ("r2", b"2")
    assert (second / "readings.csv").read_bytes() == READINGS


def test_laid_out_without_links(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the file system has no links, files are copied."""

    def refuse(*_: object) -> None:
        raise OSError(1, "no links")

    monkeypatch.setattr(Path, "hardlink_to", refuse)
    folder = store.laid_out(store.head(store.add(JOB, {"readings.csv": READINGS}, "made")))
    assert (folder / "readings.csv").read_bytes() == READINGS


def test_a_file_beside_a_folder_of_its_name_is_refused(store: Store) -> None:
    """In a new job and in a change, whatever way they came; a file taken out in the same change makes room."""
    with pytest.raises(StoreError, match="each name once"):
        store.add(JOB, {"a": b"1", "a/b.csv": b"2"}, "made")
    job = store.add(JOB, {"a": b"1"}, "made")
    with pytest.raises(StoreError, match="each name once"):
        store.change(store.head(job), JOB, "more", {"a/b.csv": b"2"})
    assert set(store.change(store.head(job), JOB, "more", {"a/b.csv": b"2"}, ("a",)).files) == {"a/b.csv"}
