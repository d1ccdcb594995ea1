"""Pages made beside the server: an answer at once, one page at a time, and each shown as soon as it is there."""

import re
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN, hours
from tests.web.conftest import Asked, Here
from tests.web.test_answers import plain
from wattwright.core.errors import OwnFault
from wattwright.store.store import Store
from wattwright.web.bench import Outcome
from wattwright.web.desk import Desk
from wattwright.web.errands import Errands
from wattwright.web.links import PREVIEWS, SHEETS
from wattwright.web.making import Making
from wattwright.web.whole import Wanted


class Slow(Here):
    """A bench that makes a page when it is told to, and knows which it was asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: list[str] = []
        self.may = threading.Semaphore(0)
        self.begun = threading.Semaphore(0)

    def make(self, wanted: Wanted) -> Outcome:
        """Wait, then make it."""
        self.asked.append(wanted.name)
        self.begun.release()
        self.may.acquire()
        return super().make(wanted)


@pytest.fixture
def ask(tmp_path: Path) -> Iterator[Asked]:
    """A desk that waits for no page, on a bench that makes none until it may."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(PLAIN)
    (folder / "readings.csv").write_text(hours([1.0, 2.0] * 48))
    made = Asked(folder)
    made.desk.making.close()
    made.bench = Slow()
    made.desk.making = Making(made.bench, 0.01)
    yield made
    made.bench.may.release(100)
    made.desk.making.close()


def let(ask: Asked, count: int = 1) -> None:
    """Let pages be made, and wait until nobody works at any."""
    ask.bench.may.release(count)
    told = ask(f"/jobs/{ask.job}/demand/ready").text
    assert '"open": false' in told


@pytest.mark.parametrize("sheet", SHEETS)
def test_an_answer_at_once(ask: Asked, sheet: str) -> None:
    """A page that is not made yet says so at once, with its forms, and asks to be shown when it is."""
    answer = ask(f"/{sheet}")
    words = plain(answer)
    assert answer.status_code == 200
    assert "This sheet is being worked out." in words
    assert "not known yet" in words
    assert f'data-run="/jobs/{ask.job}/{sheet}/ready"' in answer.text
    assert '<meta http-equiv="refresh"' in answer.text
    assert ("Add meter files" in words) == (sheet == "meter-files")


def test_shown_when_it_is_made(ask: Asked) -> None:
    """Loading it again does not begin it anew; when it is made it is shown, and kept."""
    for _ in range(3):
        assert "being worked out" in plain(ask("/demand"))
    let(ask)
    words = plain(ask("/demand"))
    assert "being worked out" not in words
    assert "The busiest hour drew" in words
    assert ask("/demand").text == ask("/demand").text
    assert ask.bench.asked == ["demand"]


def test_the_page_asked_for_last_comes_first(ask: Asked) -> None:
    """While one page is made others wait, and the one asked for last is the next."""
    ask("/property")
    ask.bench.begun.acquire()
    for sheet in ("survey", "tariff", "demand"):
        ask(f"/{sheet}")
    ask("/survey")
    ask.bench.may.release(4)
    for _ in range(3):
        ask.bench.begun.acquire()
    assert ask.bench.asked == ["property", "survey", "demand", "tariff"]


def test_a_past_revision_is_not_worked_out(ask: Asked) -> None:
    """What was asked for before a change and has not begun is given up."""
    ask("/property")
    ask.bench.begun.acquire()
    ask("/demand")
    assert ask.post("/do/set", {"group": "job", "name": "Other (invented)", "place": "", "client": ""}).status_code == 303
    ask("/survey")
    ask.bench.may.release(3)
    ask.bench.begun.acquire()
    let(ask)
    assert ask.bench.asked == ["property", "survey"]


def test_what_is_out_of_date_says_so(ask: Asked) -> None:
    """Where something was put on the shelf since, the page shows what it had, says so, and is made anew."""
    ask("/demand")
    let(ask)
    shelf = ask.opened.results / ".wattwright"
    (shelf / "other.zip").write_bytes(b"x")
    words = plain(ask("/demand"))
    assert "Out of date: something changed since this was worked out." in words
    assert "The busiest hour drew" in words
    let(ask)
    assert "Out of date" not in plain(ask("/demand"))
    assert ask.bench.asked == ["demand", "demand"]


def test_after_a_change_the_page_before_is_out_of_date(ask: Asked) -> None:
    """A change shows at once what was there, said to be out of date, then what is; how stages stand is not known till then."""
    ask("/demand")
    let(ask)
    ask.post("/do/set", {"group": "job", "name": "Other (invented)", "place": "", "client": ""})
    words = plain(ask("/demand"))
    assert "Out of date: something changed since this was worked out." in words
    assert "The busiest hour drew" in words
    assert "not known yet" in words
    assert ask("/demand/drawings/year-heat.wide.json?revision=1").status_code == 200
    let(ask)
    assert "Out of date" not in plain(ask("/demand"))


@pytest.mark.parametrize("path", ["/demand/figures/year-heat", "/demand/figures/year-heat.csv", "/demand/drawings/year-heat.png",
                                  "/demand/drawings/year-heat.wide.json", "/wiring/none.svg"])  # fmt: skip
def test_what_belongs_to_a_page_comes_after_it(ask: Asked, path: str) -> None:
    """Figures and pictures of a page that is not made yet are not there yet, and it is said when to ask again."""
    answer = ask(path)
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "5")
    assert "This is still being worked out" in plain(answer)


@pytest.mark.parametrize("name", PREVIEWS)
def test_previews(ask: Asked, name: str) -> None:
    """A paper to look at is made beside the server too; without equipment there are no sheets."""
    answer = ask(f"/preview/{name}")
    assert f'data-run="/jobs/{ask.job}/{name}/ready"' in answer.text
    ask.bench.may.release()
    assert '"open": false' in ask(f"/jobs/{ask.job}/{name}/ready").text
    answer = ask(f"/preview/{name}")
    assert (answer.status_code, "being worked out" in plain(answer)) == (404 if name == "sheets" else 200, False)


def test_a_fault_of_ours_is_told_once(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that breaks is told as a fault of ours at the next look, and tried again at the one after."""
    ask("/demand")
    monkeypatch.setattr("tests.web.conftest.do", lambda *_: 1 / 0)
    let(ask)
    assert ask("/demand").status_code == 500
    assert "being worked out" in plain(ask("/demand"))


def test_the_server_works_nothing_out(ask: Asked) -> None:
    """Whoever asks a job that the server holds for a result that is not kept is told that this is a fault of ours."""
    with pytest.raises(OwnFault, match="works nothing out"):
        ask.opened.assessment.demand()
    assert ask.opened.assessment.plan() is None


def test_ends_while_a_page_waits(tmp_path: Path) -> None:
    """A desk that ends makes no more pages, also where none was ever made."""
    desk = Desk(Store(tmp_path), Errands(Store(tmp_path)), Here())
    desk.close()
    assert desk.making._thread is None


def test_weight_without_drawings(ask: Asked) -> None:
    """No picture is written into a page: each is asked for by its own address, with a still one for a browser without scripts."""
    ask("/demand")
    let(ask)
    text = ask("/demand").text
    assert "<svg" not in text
    stills = re.findall(r'<img src="([^"]+)" alt="[^"]+"', text)
    assert len(stills) == len(re.findall("data-drawing=", text)) > 1
    ask.bench.may.release(10)
    for address in (*stills[:2], *re.findall(r'srcset="([^"]+)"', text)[:2]):
        assert ask(address).content.startswith(b"\x89PNG")


FILES = ("figures/year-heat.csv", "figures/year-heat", "drawings/year-heat.svg", "drawings/year-heat.png")


def test_no_file_of_a_past_revision(ask: Asked) -> None:
    """After a change no file is given of what was there before: of the revision that holds when it is made, or none at all."""
    ask("/demand")
    let(ask)
    first = ask.store.head(ask.job).number
    at = re.findall(r'href="([^"]*/(?:figures|drawings)/year-heat[^"]*)"', ask("/demand").text)
    assert len(at) == len(FILES)
    assert all(one.endswith(f"?revision={first}") and ask(one).status_code == 200 for one in at)
    before = ask("/demand/figures/year-heat.csv").content
    text = ask.opened.revision.text + '[files.layout]\nstamps = "end"\n'
    assert ask.post("/do/text", {"text": text}).status_code == 303
    page = ask("/demand").text
    assert "Out of date" in page
    assert not re.findall(r'href="[^"]*/(?:figures|drawings)/', page)
    bare = re.search(r'data-drawing="([^"]+)"', page)[1].replace("&amp;", "&")
    assert (bare.endswith(f"?revision={first}"), ask(bare).status_code) == (True, 200)
    for one in at:
        old, now = ask(one), ask(one.partition("?")[0])
        assert (old.status_code, now.status_code, now.headers["retry-after"]) == (410, 503, "5")
        assert "another revision of the job" in plain(old)
    assert ask("/demand/drawings/year-heat.wide.json").status_code == 503
    let(ask)
    after = ask("/demand/figures/year-heat.csv")
    assert (after.status_code, after.content == before) == (200, False)
    assert ask("/demand/drawings/year-heat.wide.json").status_code == 200


@pytest.mark.parametrize("path", ["wiring/sheet-01.svg", "visit/survey.pdf"])
def test_no_drawing_or_paper_of_another_revision(ask: Asked, path: str) -> None:
    """Drawings of the equipment and the paper for the visit come of the revision of their address or not at all."""
    answer = ask(f"/jobs/{ask.job}/{path}?revision=99")
    assert answer.status_code == 410
    assert f'href="/jobs/{ask.job}/gear"' in answer.text
    assert f"revision {ask.store.head(ask.job).number}, which holds" in plain(answer)
