"""A whole job on the desk, asked in this process: its pictures, plan, equipment, papers and long work."""

import csv
import io
import json
import re
import time
import zipfile
from pathlib import Path

import pytest
from PIL import Image

from tests.handover.kit import hours
from tests.store.conftest import JOB as BAKERY
from tests.web.conftest import Asked
from tests.web.test_answers import plain
from tests.web.test_changes import TARIFF
from wattwright.core.errors import Place, StoreError
from wattwright.handover.papers import write_papers
from wattwright.job.edit import Edit
from wattwright.store.working import lay_out
from wattwright.web import desk as desk_module
from wattwright.web.links import SHEETS

WAITS = 'import json, sys\nprint(json.dumps({"doing": "counting", "done": 1, "total": 3}), flush=True)\nsys.stdin.read()\n'
JOB = """version = 2
name = "Lindengasse bakery (invented)"
place = "Vienna"
[site]
zone = "Europe/Vienna"
country = "AT"
[papers]
date = 2026-01-12
[supply]
system = "single-phase"
voltage = "230 V"
main_protection = "40 A"
[[meters]]
id = "main"
[[files]]
id = "readings"
path = "readings.csv"
meter = "main"
[tariff]
files = ["tariff.toml"]
[[loads]]
id = "boiler"
name = "Boiler"
kind = "water heater"
rating = "2 kW"
volume = "150 l"
controllable = true
interrupt = "mains"
phase = "L1"
[loads.model]
"""


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    """The desk with a job that can be simulated and equipped, and long work that waits to be stopped."""
    folder = tmp_path_factory.mktemp("whole") / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(JOB)
    (folder / "readings.csv").write_text(hours([2.5, 3.0] * 24 * 40))
    (folder / "tariff.toml").write_text(TARIFF)
    return Asked(folder, program=WAITS)


def until(ask: Asked, path: str, words: str) -> str:
    """A page, asked for until some words stand on it."""
    end = time.monotonic() + 60
    while words not in (text := plain(ask(path))):
        assert time.monotonic() < end, text[:2000]
        time.sleep(0.2)
    return text


def test_every_page(ask: Asked) -> None:
    """Every page comes, with what the job says in it."""
    told = {sheet: plain(ask(f"/{sheet}")) for sheet in SHEETS}
    assert "behind 40 A" in told["property"].replace("\u202f", " ")
    assert "Boiler" in told["survey"]
    assert "simulated minute by minute under today's rules" in told["plan"]
    assert "What is fitted" in told["gear"]
    assert "Drawing: " in told["gear"]
    assert "not built yet" in told["handover"]
    assert "No quote yet" in told["supply"]


def test_pictures_of_every_page(ask: Asked) -> None:
    """Each picture can be taken along as SVG and PNG; its figures where it has any."""
    for sheet in ("tariff", "plan", "demand"):
        ids = re.findall(r'<figure id="([^"]+)"', ask(f"/{sheet}").text)
        assert ids
        for id_ in ids:
            assert ask(f"/{sheet}/drawings/{id_}.png").content.startswith(b"\x89PNG")
            assert "<svg" in ask(f"/{sheet}/drawings/{id_}.svg").text
            assert ask(f"/{sheet}/figures/{id_}").status_code == 200


def test_wiring(ask: Asked) -> None:
    """Each drawing of the equipment is a picture of its own, with PNG, tables and a file of what is joined beside it."""
    page = ask("/gear").text
    addresses = re.findall(r'<img src="([^"]+)"', page)
    assert addresses
    answer = ask(addresses[-1])
    assert (answer.status_code, answer.headers["content-type"]) == (200, "image/svg+xml")
    stem, _, of = addresses[-1].partition(".svg")
    assert of == f"?revision={ask.store.head(ask.job).number}"
    assert all(f'href="{stem}{form}{of}"' in page for form in (".svg", ".png", ".csv", ""))
    width, height = Image.open(io.BytesIO(ask(f"{stem}.png").content)).size
    assert width / height == pytest.approx(297 / 210, abs=0.002)  # A4
    told = plain(ask(stem))
    assert "Drawing: Boiler" in told
    assert "Devices and their terminals" in told
    rows = list(csv.DictReader(io.StringIO(ask(f"{stem}.csv").content.decode("utf-8-sig"))))
    assert sorted((row["Terminal"], row["Goes to"]) for row in rows) == sorted((row["Goes to"], row["Terminal"]) for row in rows)
    for name in (f"{stem}.pdf", f"{stem.replace('sheet-', 'other-')}.svg{of}", f"{stem}.svg.png"):
        assert ask(name).status_code == 404


def test_previews(ask: Asked) -> None:
    """Report and sheets can be looked at as pages before they are built."""
    assert "Back to Handover" in plain(ask("/preview/report"))
    assert "Boiler" in plain(ask("/preview/sheets"))


def test_papers_taken_along(ask: Asked) -> None:
    """Papers that were built are given one by one and all together; after a change they are of an earlier state."""
    opened = ask.worked
    write_papers(opened.assessment, opened.papers)
    assert "8 of 8 papers are built" in plain(ask("/handover"))
    assert ask("/papers/report.pdf").content.startswith(b"%PDF-")
    with zipfile.ZipFile(io.BytesIO(ask(f"/jobs/{ask.job}/papers.zip").content)) as archive:
        assert {"report.pdf", "workbook.xlsx", "drawings.pdf"} <= set(archive.namelist())
    ask.post("/do/set", {"group": "job", "name": "Bakery (invented)", "place": "", "client": ""})
    words = plain(ask("/handover"))
    assert "of an earlier state of the job" in words
    assert "out of date" in words


def test_long_work(ask: Asked) -> None:
    """A run is begun once, seen on its page and as it goes on, and stopped from there."""
    assert ask.post("/do/begin-plan", {"plans": "many"}).status_code == 422
    assert ask.post("/do/begin-plan", {"plans": "5"}).headers["location"].endswith("/plan#run")
    ask.post("/do/begin-plan", {"plans": "5"})
    until(ask, "/plan", "counting: 1 of 3")
    run = re.search(r'data-run="/runs/(\w+)/events"', ask("/plan").text)[1]
    assert json.loads(ask.store.find_run(run).asked) == {"plans": 5}
    ask.post("/do/stop", {"run": "none", "sheet": "plan"})
    assert ask.store.find_run(run).is_open
    ask.post("/do/stop", {"run": run, "sheet": "plan"})
    until(ask, "/plan", "The work asked for last was stopped.")
    told = ask(f"/runs/{run}/events")
    assert told.headers["content-type"].startswith("text/event-stream")
    [line] = re.findall(r"data: (.*)", told.text)
    assert json.loads(line)["open"] is False
    for kind, sheet in (("quote", "supply"), ("papers", "handover")):
        assert ask.post(f"/do/begin-{kind}").headers["location"].endswith(f"/{sheet}#run")
        run = ask.store.last_run(ask.job, kind).id
        ask.post("/do/stop", {"run": run, "sheet": sheet})
        until(ask, f"/{sheet}", "The work asked for last was stopped.")


def test_events_end_with_the_run(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is told as work goes on ends when the run is gone, and tells each state once."""
    run = ask.store.begin(ask.job, 1, "other", "{}")
    states = [run, run, run, None]
    monkeypatch.setattr(type(ask.store), "find_run", lambda self, id_: states.pop(0))
    assert ask(f"/runs/{run.id}/events").text.count("data: ") == 1
    monkeypatch.undo()
    ask.store.stop(run.id)


@pytest.mark.parametrize("left", ["", "supply", "loads", "files", "tariff"])
def test_pages_of_a_job_that_lacks_something(tmp_path: Path, left: str) -> None:
    """Whatever a job lacks, every page comes and says what is missing and what the next step is."""
    text = JOB
    if left == "supply":
        text = re.sub(r"\[supply\]\n(.*\n){3}", "", text)
    if left == "loads":
        text = text.partition("[[loads]]")[0]
    if left == "files":
        text = re.sub(r"\[\[files\]\]\n(.*\n){3}", "", text)
    if left == "tariff":
        text = re.sub(r"\[tariff\]\n.*\n", "", text)
    text = text.replace('country = "AT"\n', "").replace('place = "Vienna"\n', "").replace('main_protection = "40 A"\n', "")
    ask = Asked(None, tmp_path)
    files = {"readings.csv": hours([1.0, 2.0] * 48).encode(), "tariff.toml": TARIFF.encode()}
    ask.job = ask.store.add(text.replace("[loads.model]\n", ""), files, "made")
    for sheet in SHEETS:
        words = plain(ask(f"/{sheet}"))
        assert "Next:" in words
        assert "This sheet cannot be made yet" not in words or sheet == "plan"
    assert ("needs the supply" if left == "supply" else "needs the main fuse") in plain(ask("/property"))


def test_a_change_that_comes_between(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """A change saved between reading and writing is not lost: what only adds is added again, the rest is told."""
    change, tried = type(ask.store).change, []

    def between(self, base, *given, **more):
        if not tried:
            tried.append(1)
            change(self, base, base.text + "# between\n", "between")
        return change(self, base, *given, **more)

    monkeypatch.setattr(type(ask.store), "change", between)
    load = {"name": "Kettle", "kind": "other", "rating": "2", "rating.unit": "kW"}
    at = len(ask.opened.spec.loads)
    assert ask.post("/do/add-load", {f"loads.{at}.{k}": v for k, v in load.items()}).status_code == 303
    assert "# between" in ask.store.head(ask.job).text
    tried.clear()
    late = ask.post("/do/set", {"group": "job", "name": "Late", "place": "", "client": ""})
    assert (late.status_code, 'value="Late"' in late.text) == (409, True)
    tried.clear()
    late = ask.post("/do/text", {"text": ask.store.head(ask.job).text + "# mine\n"})
    assert (late.status_code, "# mine" in late.text) == (409, True)


def test_other_refusals_pass_through(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is refused for another reason is told as it is."""

    def refuse(*_: object, **__: object) -> None:
        raise StoreError.one("store.refused", Place(), wanted="less")

    monkeypatch.setattr(type(ask.store), "change", refuse)
    for action, values in (
        ("set", {"group": "job", "name": "Other", "place": "", "client": ""}),
        ("add-files", {"whose": "behind"}),
    ):
        files = {"files": ("x.csv", b"1")} if action == "add-files" else None
        answer = ask.post(f"/do/{action}", values, files)
        assert (answer.status_code, "store.refused" in answer.text) == (422, True)


def test_few_jobs_are_held_open(tmp_path: Path) -> None:
    """Only the jobs asked for last are held in memory."""
    ask = Asked(None, tmp_path)
    jobs = [ask.store.add(BAKERY, {}, "made") for _ in range(desk_module._MOST_OPEN + 2)]
    for job in jobs:
        ask.desk.job(job)
    assert list(ask.desk._open) == jobs[2:]
    ask.desk.close()


def test_entries_of_a_job_file() -> None:
    """Entries are set in arrays, taken out where they are, and left where they are not."""
    edit = Edit(JOB)
    edit.set("loads.0.note", "seen")
    edit.set("loads.0.nothing", None)
    edit.set("nothing.there", None)
    edit.set("loads.0.note", None)
    edit.remove("loads", 0)
    assert edit.value("loads") is None
    text, spec = edit.done()
    assert (spec.loads, "note" in text) == ((), False)


def test_laid_out_by_two_at_once(ask: Asked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where another process was first, its folder is taken; where the place cannot be had, that is told."""
    revision, rename = ask.store.head(ask.job), Path.rename

    def first(self: Path, target: Path) -> None:
        rename(self, target)
        raise OSError(39, "not empty")

    monkeypatch.setattr(Path, "rename", first)
    assert lay_out(revision, tmp_path, ask.store.content).is_dir()
    monkeypatch.setattr(Path, "rename", lambda self, target: (_ for _ in ()).throw(OSError(13, "no")))
    with pytest.raises(OSError, match="no"):
        lay_out(revision, tmp_path / "other", ask.store.content)
