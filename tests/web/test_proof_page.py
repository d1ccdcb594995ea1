"""The page of the proof: looked at, frozen, held against a record of the time after, tampered with; asked, and in a browser."""

import io
import zipfile
from pathlib import Path

import pytest

from tests.job.proved import copied, table, write_job
from tests.proof.invented import site
from tests.web.conftest import Asked, end, start
from tests.web.test_answers import plain
from tests.web.test_reading import Figure
from wattwright.core.progress import SILENT
from wattwright.proof.seal import FROZEN, read_seal
from wattwright.store.exchange import read_folder, read_zip
from wattwright.web.errand import FREEZE, PROVE, Errand, do

WAITS = "import time; time.sleep(60)"
DAYS = 364


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A year before and a year after, a tenth saved; nothing frozen."""
    return write_job(tmp_path_factory.mktemp("proof-page"), office_w=0.0, seed=3)


@pytest.fixture
def ask(folder: Path, tmp_path: Path) -> Asked:
    """The desk with that job; long work waits, and the tests do it themselves."""
    return Asked(copied(folder, tmp_path), program=WAITS)


def done(ask: Asked, kind: str) -> None:
    """Do the work that the page asked for, and stop the run that waits for it."""
    run = ask.store.last_run(ask.job, kind)
    ask.post("/do/stop", {"run": run.id, "sheet": "proof"})
    do(Errand(kind, ask.store.laid_out(ask.store.head(ask.job)), ask.store.results(ask.job)), SILENT)


def looked(ask: Asked) -> str:
    """Have what would be frozen worked out; return its fingerprint as the page sends it along."""
    assert ask.post(f"/do/begin-{FREEZE}").headers["location"].endswith("/proof#run")
    done(ask, FREEZE)
    return ask("/proof").text.split('name="print" value="')[1].split('"')[0]


def freeze(ask: Asked) -> None:
    """Freeze what the page shows."""
    shown = looked(ask)
    assert ask.post("/do/freeze", {"print": shown, "agreed": "yes"}).status_code == 303


def given(ask: Asked, folder: Path, name: str = "after.csv", what: str = "record"):
    """Give a file of the time after."""
    return ask.post("/do/add-after", {"what": what}, {"files": (name, (folder / name).read_bytes())})


def test_it_is_looked_at_and_then_frozen(ask: Asked) -> None:
    """First nothing; then what would be frozen with its warnings; frozen only with a tick, and exactly as it was shown."""
    told = plain(ask("/proof"))
    assert "Nothing is promised yet" in told
    assert "not frozen yet" in told
    shown = looked(ask)
    told = plain(ask("/proof"))
    assert "What would be frozen" in told
    assert "No plan that saves anything" in told
    assert "a saving shows from about" in told
    assert "boundary, after, what must stay as it is" in told
    assert "static_factors" not in told
    refused = ask.post("/do/freeze", {"print": shown})
    assert refused.status_code == 422
    assert "the agreement of both sides" in plain(refused)
    assert ask.post("/do/freeze", {"print": "other", "agreed": "yes"}).status_code == 409
    assert FROZEN not in ask.store.head(ask.job).files
    assert ask.post("/do/freeze", {"print": shown, "agreed": "yes", "base": "9"}).status_code == 409
    assert ask.post("/do/freeze", {"print": shown, "agreed": "yes"}).status_code == 303
    head = ask.store.head(ask.job)
    seal = read_seal(ask.store.content(head.files[FROZEN]).decode(), FROZEN)
    assert seal.fingerprint == shown
    told = plain(ask("/proof"))
    assert seal.shown in told
    assert "static_factors" not in told
    assert "What would be frozen" not in told
    assert "Nothing is known of the time after" in told
    assert seal.shown in head.cause


def test_a_record_is_held_against_it(ask: Asked, folder: Path, tmp_path: Path) -> None:
    """A record given is kept in the job and begins the work; then saving, picture, figures and residuals stand on the page."""
    freeze(ask)
    assert ask.post("/do/add-after", {"what": "record"}).status_code == 422
    assert ask.post("/do/add-after", {"base": "1"}, {"files": ("a.csv", b"x")}).status_code == 409
    assert given(ask, folder).status_code == 303
    assert "is not held against the promise as it stands" in plain(ask("/proof"))
    assert ask.store.last_run(ask.job, PROVE).is_open
    done(ask, PROVE)
    page = ask("/proof")
    told = plain(page)
    assert "Saved " in told
    assert "How well the model of the baseline fits" in told
    assert 'id="proof-weeks"' in page.text
    assert ask("/proof/drawings/proof-weeks.svg".replace("/proof", f"/jobs/{ask.job}/proof", 1)).status_code == 200
    # All of it goes along: out as a zip, in again, and out of a folder.
    text, files = read_zip(ask(f"/jobs/{ask.job}/job.zip").content)
    assert {FROZEN, "after/record/after.csv"} <= set(files)
    with zipfile.ZipFile(io.BytesIO(ask(f"/jobs/{ask.job}/job.zip").content)) as archive:
        archive.extractall(tmp_path / "out")
    assert read_folder(tmp_path / "out") == (text, files)
    # Another record takes its place: what was shown of the one before is shown no more.
    power, outside = site(2 * DAYS, office_w=0.0, seed=3)
    (tmp_path / "news.csv").write_text(table(DAYS, 70, power.values * 0.9, outside.values))
    assert given(ask, tmp_path, "news.csv").status_code == 303
    assert "Saved " not in plain(ask("/proof"))
    done(ask, PROVE)
    assert "This is news, and no claim yet" in plain(ask("/proof"))
    assert [one for one in ask.store.head(ask.job).files if one.startswith("after/")] == ["after/record/news.csv"]


def test_weather_of_the_time_after(ask: Asked, folder: Path) -> None:
    """Weather alone begins no work; a record then finds it beside itself."""
    freeze(ask)
    assert given(ask, folder, "after.csv", "weather").status_code == 303
    assert ask.store.last_run(ask.job, PROVE) is None
    assert given(ask, folder).status_code == 303
    assert {"after/record/after.csv", "after/weather/after.csv"} <= set(ask.store.head(ask.job).files)
    done(ask, PROVE)
    assert "Saved " in plain(ask("/proof"))


def test_another_promise_keeps_the_first(ask: Asked) -> None:
    """Freezing again asks for a look and a tick too, and the first promise stays in the job under its fingerprint."""
    freeze(ask)
    first = ask.store.head(ask.job).files[FROZEN]
    ask.post("/do/set", {"group": "measurement", "measurement.months": "6"})
    assert "measurement" in ask.store.head(ask.job).text
    freeze(ask)
    head = ask.store.head(ask.job)
    copy = next(one for one in head.files if one.startswith("frozen-"))
    assert head.files[copy] == first
    assert head.files[FROZEN] != first


@pytest.mark.parametrize("damage", ["seal", "readings", "lost"])
def test_tampering_is_said(ask: Asked, folder: Path, damage: str) -> None:
    """A changed frozen part, changed readings, and a frozen part that is gone are told on the page, and no saving with them."""
    freeze(ask)
    given(ask, folder)
    done(ask, PROVE)
    head = ask.store.head(ask.job)
    content = ask.store.content(head.files[FROZEN])
    if damage == "lost":
        ask.store.change(head, head.text, "lost", {}, (FROZEN,))
    elif damage == "seal":
        ask.store.change(head, head.text, "bent", {FROZEN: content.replace(b'"confidence": 0.9', b'"confidence": 0.5')})
    else:
        bent = ask.store.content(head.files["before.csv"]) + b"2024-01-01T00:00:00Z,1.0,5.0\n"
        ask.store.change(head, head.text, "bent", {"before.csv": bent})
    told = plain(ask("/proof"))
    assert "Saved " not in told
    assert ("is gone" if damage == "lost" else "can no longer be relied on") in told
    assert ("not frozen yet" if damage == "lost" else "cannot be read") in told


def test_without_a_record_there_is_nothing_to_hold(ask: Asked) -> None:
    """Work asked for without a record fails with what to do."""
    from wattwright.core.errors import InputError

    freeze(ask)
    ask.post(f"/do/begin-{PROVE}")
    with pytest.raises(InputError):
        done(ask, PROVE)


OVERFLOW = "() => [document.documentElement.scrollWidth, innerWidth]"


def test_in_a_browser(root: Path, folder: Path, tmp_path: Path, browser) -> None:
    """With the real program: look, tick, freeze, give a record, and read what was saved, at two widths, light and dark."""
    running = start(root, str(copied(folder, tmp_path)))
    page = browser.new_page(viewport={"width": 1440, "height": 1000})
    try:
        page.goto(running.at("/proof"))
        page.get_by_role("button", name="Work it out").click()
        page.get_by_role("heading", name="What would be frozen").wait_for(timeout=120_000)
        page.get_by_label("Both sides have read").check(timeout=120_000)
        page.get_by_role("button", name="Freeze the promise").click()
        page.get_by_text("Nothing is known of the time after").wait_for(timeout=60_000)
        page.set_input_files("#after-files", folder / "after.csv")
        page.get_by_role("button", name="Hold it against the promise").first.click()
        page.get_by_role("heading", name="What was saved, and how sure that is").wait_for(timeout=120_000)
        for width in (390, 1440):
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                page.set_viewport_size({"width": width, "height": 1000})
                page.goto(running.at("/proof"))
                reach, inner = page.evaluate(OVERFLOW)
                assert reach <= inner
                page.screenshot(path=tmp_path / f"proof-{width}-{scheme}.png", full_page=True)
                figures = page.locator("figure:has([data-reading])").evaluate_all("(all) => all.map((one) => one.id)")
                assert "proof-weeks" in figures
                for id_ in figures:
                    picture = Figure(page, id_)
                    picture.at(0.4)
                    page.wait_for_function("(one) => one.textContent !== ''", arg=picture.output)
                    assert picture.read in picture.told()
    finally:
        page.close()
        assert end(running) == (0, "")
