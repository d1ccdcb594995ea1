"""What a job says is read once: beside the server where it was given, and not again to show or to keep it."""

import io
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.web.conftest import EARLY, Asked
from wattwright.job.edit import Edit
from wattwright.job.file import FILE_NAME, load_job
from wattwright.job.spec import VERSION
from wattwright.web import bench, desk
from wattwright.web.desk import Desk


@pytest.fixture
def ask(tmp_path: Path) -> Iterator[Asked]:
    """A desk with a small job, opened."""
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / FILE_NAME).write_text(EARLY)
    made = Asked(tmp_path / "job")
    assert made.opened.spec.name
    yield made
    made.desk.close()


@pytest.fixture
def unread(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> Asked:
    """The same desk, which fails on whatever it reads itself; what is given to its bench is read there."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("the server reads a text")

    monkeypatch.setattr(desk, "load_job", refuse)
    monkeypatch.setattr(desk, "Edit", refuse)
    return ask


def _same(ask: Asked, id_: str) -> bool:
    """Whether the desk holds of a job what its file says on the disk, in the same place and as closely confined."""
    held = ask.desk.job(id_)
    return held.job == load_job(ask.store.laid_out(held.revision), confined=True)


def test_a_text_that_was_typed(unread: Asked) -> None:
    """What was read beside the server is what is shown; an earlier text taken back is not read again either."""
    assert unread.post("/do/text", {"text": EARLY.replace("Oven", "Stove")}).status_code == 303
    assert (unread.opened.spec.loads[-1].name, _same(unread, unread.job)) == ("Stove", True)
    unread.store.undo(unread.job, unread.opened.revision.number)
    assert (unread.opened.spec.loads[-1].name, _same(unread, unread.job)) == ("Oven", True)


def test_a_zip_file(unread: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its job file is read once, with the photos it names, and kept to the letter also where entries stand scattered."""
    scattered = EARLY + '\n[weather]\n\n[[loads]]\nid = "lamp"\nname = "Lamp"\nkind = "lighting"\nrating = "10 W"\n'
    out, read = io.BytesIO(), list[str]()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr(FILE_NAME, scattered)
    loads = bench.text_in_zip

    def counted(content: bytes) -> str:
        read.append(loads(content))
        return read[-1]

    monkeypatch.setattr(bench, "text_in_zip", counted)
    made = unread.post("/jobs/import", files={"files": ("job.zip", out.getvalue())})
    id_ = made.headers["location"].split("/")[2]
    assert (made.status_code, read, unread.store.head(id_).text) == (303, [scattered], scattered)
    assert Edit(scattered).text != scattered  # what is changed is written in order
    assert (unread.desk.job(id_).spec.loads[-1].name, _same(unread, id_)) == ("Lamp", True)


def test_a_change_of_an_entry(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was checked when it was saved is not read once more from the disk."""
    monkeypatch.setattr(desk, "load_job", None)
    ask.desk.change(ask.opened, lambda edit: edit.set("name", "Mill"), "set")
    assert (ask.opened.spec.name, _same(ask, ask.job)) == ("Mill", True)
    ask.desk.add(ask.job, lambda edit, _: (edit.set("name", "Barn"), ({}, "set"))[1])
    assert (ask.opened.spec.name, _same(ask, ask.job)) == ("Barn", True)


def test_few_are_kept_and_none_of_an_older_version(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """The text read first goes first; one of an older version says more once it is brought up."""
    spec = ask.opened.spec
    for number in range(desk._MOST_SAID + 1):
        ask.desk._note(str(number), spec)
    assert list(ask.desk._said) == [str(number) for number in range(1, desk._MOST_SAID + 1)]
    ask.desk._note("old", spec.model_copy(update={"version": VERSION - 1}))
    assert "old" not in ask.desk._said


def test_nobody_waits_for_the_text_of_another(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """While a long text is read from the disk, a job that is open is shown."""
    other = ask.store.add(EARLY.replace("Oven", "Stove"), {}, "made")
    seen = list[str]()

    def slow(path: Path, *, confined: bool) -> object:
        with ThreadPoolExecutor(1) as thread:
            seen.append(thread.submit(Desk.job, ask.desk, ask.job).result(10).spec.loads[-1].name)
        return load_job(path, confined=confined)

    monkeypatch.setattr(desk, "load_job", slow)
    assert (ask.desk.job(other).spec.loads[-1].name, seen) == ("Stove", ["Oven"])
