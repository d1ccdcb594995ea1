"""What the desk answers: pages, files, refusals, and a page that says what is wrong where something is."""

import csv
import html
import io
import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import httpx
import pytest

from tests.handover.conftest import DAYS, GAP, JOB, write_job
from tests.handover.kit import PLAIN, hours
from tests.handover.test_page import Elements
from tests.web.conftest import EARLY, PORT, Asked
from wattwright.charts.table import Column, Marked, Table
from wattwright.core.errors import Cancelled
from wattwright.job.graph import State
from wattwright.web.desk import Desk
from wattwright.web.failing import failing
from wattwright.web.figures import as_csv
from wattwright.web.links import SHEETS, links
from wattwright.web.open_job import OpenJob
from wattwright.web.stages import stages_at_first, stages_of
from wattwright.web.words import words

PAGES = ("/meter-files", "/demand")
EVERY_PAGE = tuple(f"/{one}" for one in SHEETS)


@pytest.fixture(scope="module")
def terrace_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented job of two weeks with a gap."""
    return write_job(tmp_path_factory.mktemp("terrace"))


@pytest.fixture(scope="module")
def ask(terrace_folder: Path) -> Asked:
    """The desk with that job."""
    return Asked(terrace_folder)


def plain(answer: httpx.Response) -> str:
    """The words of a page, its elements closed in order, those of two elements kept apart."""
    assert Elements(answer.text).words
    return re.sub(r"[^\S\u202f]+", " ", html.unescape(re.sub(r"<[^>]*>", " ", answer.text)))


@pytest.mark.parametrize("path", [*PAGES, "/nowhere", "/demand/figures/year-heat", "/demand/drawings/peaks.svg"])
def test_every_answer_is_guarded(ask: Asked, path: str) -> None:
    """Policy, type, referrer and origin headers stand on every answer; nothing written into a page runs or styles."""
    headers = ask(path).headers
    policy = dict(part.split(" ", 1) for part in headers["content-security-policy"].split("; "))
    assert policy["default-src"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cross-origin-opener-policy"] == headers["cross-origin-resource-policy"] == "same-origin"
    assert headers["cross-origin-embedder-policy"] == "require-corp"
    assert headers["cache-control"] == "no-store"
    assert "server" not in headers


@pytest.mark.parametrize(
    "host",
    ["", "127.0.0.1", f"127.0.0.1:{PORT + 1}", f"rebound.example:{PORT}", f"127.0.0.1:{PORT}.example", f"LOCALHOST:{PORT}"],
)
def test_other_names_are_refused(ask: Asked, host: str) -> None:
    """A request for any name but the machine's own with the own port is refused in a sentence and shows nothing."""
    answer = ask("/meter-files", host=host)
    assert answer.status_code == 400
    assert f"Open http://127.0.0.1:{PORT} on the machine that runs wattwright." in plain(answer)
    assert "Almond" not in answer.text
    assert "content-security-policy" in answer.headers


def test_own_names_are_answered(ask: Asked) -> None:
    """127.0.0.1 and localhost, each with the own port."""
    assert [ask("/demand", host=f"{name}:{PORT}").status_code for name in ("127.0.0.1", "localhost")] == [200, 200]


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "HEAD", "OPTIONS"])
def test_only_get_and_post(ask: Asked, method: str) -> None:
    """Any other method is refused, said so, and told what is allowed (RFC 9110, 15.5.6)."""
    answer = ask("/demand", method)
    assert (answer.status_code, answer.headers["allow"]) == (405, "GET, POST")
    assert ("This cannot be asked of the desk" in answer.text) == (method != "HEAD")


def test_first_page(ask: Asked) -> None:
    """The bare address lists the jobs, each with a link."""
    answer = ask("/")
    assert answer.status_code == 200
    assert f'href="/jobs/{ask.job}/property"' in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "/nowhere",
        "/nowhere/figures/year-heat",
        "/demand/figures/nothing",
        "/demand/figures/year-heat.xlsx",
        "/demand/drawings/peaks",
        "/demand/drawings/nothing.svg",
        "/demand/",
        "/a/b/c/d",
        "/assets/0/desk.css",
        f"/assets/{links().print_}/paper.html",
        "/docs",
        "/openapi.json",
        "/<script>alert(1)</script>",
    ],
)
def test_addresses_that_lead_nowhere(ask: Asked, path: str) -> None:
    """One page for all of them: what was asked, what there is, what to do; nothing asked for is read as markup."""
    answer = ask(path)
    assert answer.status_code == 404
    words = plain(answer)
    for part in (
        "There is no such page",
        "Where the address",
        "Expected a page of the desk",
        "Do Go on from the stages above",
    ):
        assert part in words
    assert "<script" not in answer.text


def test_meter_files_page(ask: Asked) -> None:
    """Two weeks of quarter hours with six lost: the page says what it read and how it knows."""
    answer = ask("/meter-files")
    words = plain(answer)
    # Fourteen days of 96 quarter hours less the four of the hour that is left out.
    rows = DAYS * 96 - 4
    assert f"main: {rows:,} rows from 2025-03-24 00:00 to 2025-04-07 00:00, a reading for every 15\u202fmin" in words
    assert "1 of the 14 days of readings.csv have gaps or estimates" in words
    assert "the stamps carry their offset from UTC" in words
    assert "2025-03-24 00:00 0.4" in words.replace("0.40", "0.4")
    assert re.search(r" 2 2025-03-24T00:00:00\+02:00 \| 0\.400 \| 1\.74 ", words)
    assert "2025-04-06 23:45" in words
    assert f"{rows - len(GAP):,}" in words


def test_demand_page(ask: Asked) -> None:
    """The demand is that of the invented load: 3.4 kW from six to eight, 5.4 kW once; no script stands in the page."""
    answer = ask("/demand")
    words = plain(answer)
    assert "The busiest hour drew 3.400\u202fkW on average" in words
    # Two of 24 hours hold 3.4 kW and the others 0.4 kW, so half of the time has at least 0.4 kW, a hundredth at least 3.4 kW.
    assert "Half of the time the power lies at 400\u202fW or more, 1 % of the time at 3.40\u202fkW or more" in words
    assert "5.400\u202fkW" in words
    elements = Elements(answer.text)
    scripts = [attributes for name, attributes in elements.seen if name == "script"]
    assert scripts
    assert all(set(one) == {"src", "defer"} for one in scripts)
    assert not [a for _, attributes in elements.seen for a in attributes if a.startswith("on") or a == "style"]


@pytest.mark.parametrize("path", PAGES)
def test_stages_say_how_they_stand(ask: Asked, path: str) -> None:
    """The contents line names each stage with its state in words, and the page one is on."""
    elements = Elements(ask(path).text)
    here = [a.get("href") for name, a in elements.seen if name == "a" and a.get("aria-current") == "page"]
    assert here == [ask.at(path)]
    assert re.search(r"Meter files\s+\d+ to look at", elements.words)
    assert re.search(r"Tariff\s+not worked out yet", elements.words)


@pytest.mark.parametrize("path", PAGES)
def test_every_picture_can_be_taken_along(ask: Asked, path: str) -> None:
    """Each picture has a title, a text alternative, its figures as page and as file, and itself as a file."""
    elements = Elements(ask(path).text)
    figures = [a["id"] for name, a in elements.seen if name == "figure" and "id" in a]
    assert figures
    for id_ in figures:
        page, table, picture = (ask(f"{path}/{part}") for part in (f"figures/{id_}", f"figures/{id_}.csv", f"drawings/{id_}.svg"))
        assert Elements(page.text).words.count("Back to") == 1
        rows = list(csv.reader(io.StringIO(table.content.decode("utf-8-sig"))))
        assert len(rows) > 1
        assert len({len(row) for row in rows}) == 1
        assert ET.fromstring(picture.text).tag.endswith("svg")
        for form in ("wide", "narrow"):
            given = json.loads(ask(f"{path}/drawings/{id_}.{form}.json").text)
            assert {"spec", "colours"} == set(given)
            assert given["spec"]["marks"]


def test_heat_figures_are_those_of_the_load(ask: Asked) -> None:
    """The file of the heat map: a line for each day; at six 3.4 kW, at three 0.4 kW, empty where the hour is left out or lost."""
    text = ask("/demand/figures/year-heat.csv").content.decode("utf-8-sig")
    head, *rows = list(csv.reader(io.StringIO(text)))
    assert (len(rows), len(head), head[7]) == (DAYS, 25, "06:00 [kW]")
    assert {float(row[7]) for row in rows} == {3.4}
    assert [row[4] for row in rows if row[0] == "2025-03-30"] == [""]
    assert {row[4] for row in rows if row[0] != "2025-03-30"} <= {"0.4", ""}


def test_figures_are_no_formulas() -> None:
    """Words that a spreadsheet would work out get an apostrophe; numbers stand in full, missing ones empty."""
    rows = (("=1+1", Marked("−0.50", value=-0.5)), ("@sum", Marked("–", value=float("nan"))), (Marked("+x"), "plain"))
    table = Table((Column("=head"), Column("Power", "kW")), rows, "c")
    assert as_csv(table) == "'=head,Power [kW]\r\n'=1+1,-0.5\r\n'@sum,\r\n'+x,plain\r\n"


@pytest.mark.parametrize(
    ("name", "media_type"),
    [
        ("desk.css", "text/css; charset=utf-8"),
        ("desk.js", "text/javascript; charset=utf-8"),
        ("drawing.js", "text/javascript; charset=utf-8"),
        ("mark.svg", "image/svg+xml"),
        ("WattwrightSans-Regular.latin.woff2", "font/woff2"),
    ],
)
def test_own_files(ask: Asked, name: str, media_type: str) -> None:
    """Style, scripts, mark and typefaces are served as what they are, to be kept, since a change changes their address."""
    answer = ask(links().asset(name))
    assert (answer.status_code, answer.headers["content-type"]) == (200, media_type)
    assert "immutable" in answer.headers["cache-control"]
    assert answer.content


def test_style_has_no_colour_of_its_own(ask: Asked) -> None:
    """Outside the definitions of the palette the style sheet names colours only by their roles, and nothing from elsewhere."""
    text = ask(links().asset("desk.css")).text
    rules = re.sub(r"--[\w-]+: #[0-9A-F]{6};", "", text)
    assert re.findall(r"#[0-9A-Fa-f]{3,8}\b|rgb|hsl", rules) == []
    assert {address.split("/")[1] for address in re.findall(r"url\(([^)]+)\)", text)} == {"assets"}
    assert "@import" not in text


def test_broken_job_is_told(tmp_path: Path) -> None:
    """A kept job that cannot be read any more gives the page that says line, what stands there and what to do, on every page."""
    ask = Asked(None, tmp_path)
    ask.job = ask.store.add(JOB.replace("Europe/Athens", "Europe/Atlantis"), {}, "kept by another version")
    for path in PAGES:
        answer = ask(path)
        words = plain(answer)
        assert answer.status_code == 422
        assert "This cannot be shown as the job stands" in words
        assert "job.toml, line 7" in words
        assert '"Europe/Atlantis"' in words
        assert "Traceback" not in answer.text


def test_broken_job_is_removed(tmp_path: Path) -> None:
    """A job of which no page can be made is removed from the page that says so."""
    ask = Asked(None, tmp_path)
    ask.job = ask.store.add(JOB.replace("Europe/Athens", "Europe/Atlantis"), {}, "kept by another version")
    page = ask("/property").text
    assert f'action="/jobs/{ask.job}/do/remove"' in page
    assert 'name="base" value="1"' in page
    # Made from a page of another revision: told, although the job has no contents line to go back to.
    assert ask.post("/do/remove", {"base": "7"}).status_code == 409
    assert ask.post("/do/remove").status_code == 303
    assert ask.store.jobs() == ()


def test_many_faults_are_counted(tmp_path: Path) -> None:
    """Each of several faults stands apart, and the sentence says how many there are."""
    ask = Asked(None, tmp_path)
    ask.job = ask.store.add(JOB.replace("Europe/Athens", "Europe/Atlantis").replace("37.0", "137.0"), {}, "kept")
    answer = ask("/demand")
    assert "There are 2 things to put right." in answer.text
    assert answer.text.count('class="fault"') == 2


def test_one_bad_file_leaves_the_others(tmp_path: Path) -> None:
    """A meter file that cannot be understood is told in its place, as a stop with what to do; the other is shown."""
    other = '[[meters]]\nid = "sub"\nbehind = "main"\n[[files]]\nid = "other"\npath = "other.csv"\nmeter = "sub"\n[tariff]'
    folder = write_job(tmp_path, JOB.replace("[tariff]", other))
    (folder / "other.csv").write_text("nothing in here\nlooks like readings\n")
    ask = Asked(folder)
    words = plain(ask("/meter-files"))
    assert "Meter files 1 cannot be read" in plain(ask("/meter-files"))
    assert "other.csv cannot be read as it stands." in words
    assert "Stop. " in words
    assert "1,340 rows" in words


def test_every_page_says_why_readings_cannot_be_read(tmp_path: Path) -> None:
    """Dates of day and month taken for month and day: each page gives a reason, and the way to the field that cures it."""
    rows = re.sub(r"(\d+)-(\d+)-(\d+) ", r"\3/\2/\1 ", hours([0.5] * 480))
    (tmp_path / "readings.csv").write_text(rows)
    (tmp_path / "job.toml").write_text(PLAIN)
    ask = Asked(tmp_path)
    ask("/demand")
    ask.post("/do/set", {"group": "file-0", "sheet": "meter-files", "files.0.layout.date_order": "month first"})
    for sheet in ("property", "demand", "survey", "tariff", "plan", "gear", "supply", "handover", "proof"):
        page = ask(f"/{sheet}")
        field = f'href="/jobs/{ask.job}/meter-files#files.0.layout.date_order"'
        assert page.text.count(field) == 1, sheet
        assert "their dates are not month first, as was said. readings.csv, line" in plain(page), sheet
        assert "Next: say how the meter file is to be read" in plain(page), sheet
        assert page.text.count('class="fault"') == (sheet in ("demand", "plan", "supply", "proof")), sheet
        assert "Meter files cannot be read Demand cannot be read" in plain(page), sheet
    told = ask("/meter-files").text
    assert 'id="files.0.layout.date_order"' in told
    assert "Readings that can be read:" not in told  # there each row is told


@pytest.mark.parametrize("text", [PLAIN, EARLY, EARLY.replace("[[loads]]", '[tariff]\nfiles = ["t.toml"]\n[[loads]]')])
def test_what_the_job_file_tells_of_stages_is_told_before_anything_is_worked_out(tmp_path: Path, text: str) -> None:
    """At the first opening each stage says what it says later, or that it is not known yet; nothing is worked out for it."""
    (tmp_path / "readings.csv").write_text(hours([0.5] * 480))
    (tmp_path / "t.toml").write_text('name = "none"\n')
    (tmp_path / "job.toml").write_text(text)
    ask = Asked(tmp_path)
    first = {one.sheet: one.state for one in stages_at_first(ask.opened)}
    later = {one.sheet: one.state for one in stages_of(ask.worked)}
    told = {sheet for sheet, state in first.items() if state != words("state.unknown")}
    assert {sheet: first[sheet] for sheet in told} == {sheet: later[sheet] for sheet in told}
    assert told == {"property", "survey", "gear"} | ({"tariff"} if "t.toml" not in text else set()) | (
        {"meter-files", "demand", "plan", "supply", "handover", "proof"} if text != PLAIN else set()
    )
    assert ask.opened.latest() is None


def test_notes_lead_to_the_field_that_they_name(tmp_path: Path) -> None:
    """What a page notes of the stamps of a file leads to the field of that very file, as what is to be looked at does."""
    (tmp_path / "readings.csv").write_text(hours([0.5] * 480))
    (tmp_path / "pump.csv").write_text(hours([0.2] * 480))
    (tmp_path / "job.toml").write_text(
        PLAIN + '[[meters]]\nid = "pump"\n[[files]]\nid = "pump"\npath = "pump.csv"\nmeter = "pump"\n'
    )
    ask = Asked(tmp_path)
    page = ask("/meter-files").text
    for at in (0, 1):
        field = f"files.{at}.layout.stamps"
        assert f'class="cure" href="/jobs/{ask.job}/meter-files#{field}"' in page
        assert f'id="{field}"' in page


def test_a_file_of_another_kind_leads_to_how_it_is_read(tmp_path: Path) -> None:
    """Where nothing is known of what is wrong with how it is read, to the whole form, with what to do."""
    (tmp_path / "readings.csv").write_text("nothing in here\nlooks like readings\n")
    (tmp_path / "job.toml").write_text(PLAIN)
    ask = Asked(tmp_path)
    assert "Readings that can be read" not in plain(ask("/property"))  # nobody has tried yet
    ask("/demand")
    page = ask("/property")
    assert f'href="/jobs/{ask.job}/meter-files#file-0">Readings that can be read. readings.csv' in page.text


@pytest.mark.parametrize("sheet", ["property", "meter-files", "survey", "tariff", "demand"])
def test_what_is_not_there_to_be_looked_at_is_passed_over(ask: Asked, sheet: str) -> None:
    """An address of what the job has no more gives the page as it is, and nothing is made or kept for it."""
    plain_page = ask(f"/{sheet}").text
    for look in ("no-such", "999", "0-99", "visit", "%2e%2e"):
        assert ask(f"/{sheet}?look={look}").text == plain_page
    assert {look for _, look in ask.opened.pages} | {look for _, look in ask.opened.shown} == {""}


def test_readings_stand_one_below_another(tmp_path: Path) -> None:
    """First and last readings carry the decimals of the one that has most: 0.56 beside 0.557 is 0.560."""
    (tmp_path / "readings.csv").write_text(hours([0.557, 0.56] * 48))
    (tmp_path / "job.toml").write_text(PLAIN)
    words = plain(Asked(tmp_path)("/meter-files"))
    assert "0.560" in words.partition("First and last readings")[2]


def test_job_without_a_file(tmp_path: Path) -> None:
    """An empty page says what it is for and the first useful step; the stages say what they need."""
    (tmp_path / "job.toml").write_text(PLAIN.partition("[[files]]")[0])
    ask = Asked(tmp_path)
    words = plain(ask("/meter-files"))
    assert "No meter file yet" in words
    assert "Choose a file from the meter or the utility below." in words
    assert "Demand needs a meter file" in words
    assert "Tariff needs a tariff" in words
    assert "No readings yet" in plain(ask("/demand"))


def test_a_tariff_alone_needs_a_file(tmp_path: Path) -> None:
    """With prices and no readings it is the readings that costs wait for."""
    (tmp_path / "job.toml").write_text(PLAIN.partition("[[files]]")[0] + '[tariff]\nfiles = ["tariff.toml"]\n')
    (tmp_path / "tariff.toml").write_text("")
    assert "Tariff needs a meter file" in plain(Asked(tmp_path)("/meter-files"))


def test_costs_once_worked_out(tmp_path: Path) -> None:
    """A stage whose result is there says so."""
    folder = write_job(tmp_path)
    ask = Asked(folder)
    ask.worked.assessment.costs()
    assert re.search(r"Tariff (complete|\d+ to look at)", plain(ask("/meter-files")))


def test_stale_stage_says_so(terrace_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stage of which only results from other inputs lie there says that it is out of date."""
    opened = Asked(terrace_folder, terrace_folder.parent / "stale").worked
    monkeypatch.setattr("wattwright.job.graph.Graph.state", lambda self, name: State.STALE)
    assert {one.state for one in stages_of(opened) if one.sheet in ("meter-files", "demand", "tariff")} == {"out of date"}


@pytest.mark.parametrize("exports", [False, True])
def test_days_and_exports(tmp_path: Path, exports: bool) -> None:
    """Readings of whole days have no course of the day; where power is given back the page still comes, with signs."""
    if exports:
        (tmp_path / "readings.csv").write_text(hours(([1.0] * 12 + [-2.0] * 12) * 70))
    else:
        (tmp_path / "readings.csv").write_text(hours([1.0, 2.0] * 30, step_h=24))
    (tmp_path / "job.toml").write_text(PLAIN)
    answer = Asked(tmp_path)("/demand")
    assert answer.status_code == 200
    assert ('id="year-heat"' in answer.text) == exports


def test_no_active_power(tmp_path: Path) -> None:
    """A file of temperatures alone is shown among the meter files; the demand says that it holds no power."""
    (tmp_path / "readings.csv").write_text(hours([20.5] * 48).replace("P [kW]", "temperature [degC]"))
    (tmp_path / "job.toml").write_text(PLAIN)
    ask = Asked(tmp_path)
    assert "temperature" in plain(ask("/meter-files"))
    words = plain(ask("/demand"))
    assert "This sheet cannot be made yet" in words
    assert "active power" in words


def test_own_fault_is_told_as_ours(terrace_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of wattwright gives a page that says so and where, without the trace of calls."""
    ask = Asked(terrace_folder)

    def broken(self: OpenJob, name: str, make: object) -> None:
        raise ZeroDivisionError("secret inside")

    monkeypatch.setattr(OpenJob, "sheet", broken)
    answer = ask("/demand")
    words = plain(answer)
    assert answer.status_code == 500
    assert "This is a fault of wattwright" in words
    assert "ZeroDivisionError" in words
    assert "Where broken, line" in words
    assert "secret inside" not in words


def test_the_way_out_of_a_fault_of_ours(terrace_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It leads to the sheets and the text, and what was changed last can be taken back, also where the job cannot be opened."""
    ask = Asked(terrace_folder, terrace_folder.parent / "way-out")
    before = ask.store.head(ask.job).text
    ask.post("/do/set", {"group": "job", "name": "Breaks it", "place": "", "client": ""})
    number = ask.store.head(ask.job).number

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Desk, "job", broken)
    answer = ask("/demand")
    assert answer.status_code == 500
    for address in (f"/jobs/{ask.job}/text", f"/jobs/{ask.job}/property"):
        assert f'href="{address}"' in answer.text
    assert f'action="/jobs/{ask.job}/do/undo"' in answer.text
    assert f'name="base" value="{number}"' in answer.text
    assert ask.post("/do/undo", {"sheet": ""}).status_code == 303
    assert ask.store.head(ask.job).text == before
    none = ask("/jobs/none/property")
    assert (none.status_code, "/do/undo" in none.text) == (500, False)


def test_stopped_work_is_told() -> None:
    """Work that was stopped is no fault of ours; an error that was never raised has no place to name."""
    assert failing(Cancelled("Stopped while reading.")).faults[0].found == "Stopped while reading."
    assert failing(ValueError("x")).faults[0].place.field == "wattwright"


def test_a_day_of_one_hour_is_no_whole_day(tmp_path: Path) -> None:
    """Four days and one hour more are four whole days; the hour lies in no gap either."""
    (tmp_path / "job.toml").write_text(PLAIN)
    (tmp_path / "readings.csv").write_text(hours([2.0] * 97))
    assert "Every one of the 4 days of readings.csv is whole" in plain(Asked(tmp_path)("/meter-files"))
