"""Quick answers on the desk: without a job, with every field told that cannot be, and kept into a job in one action."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.stored import held
from tests.web.conftest import Asked, Running
from tests.web.test_axe import AXE, GRAVE
from tests.web.test_visit import BARE
from wattwright.gear.usual import USUAL
from wattwright.handover.context import LANGUAGE
from wattwright.web.links import links
from wattwright.web.pages import Frame
from wattwright.web.quick import quick_page

BOTH = {"load": "water heater", "power": "2.4", "power.unit": "kW", "current.unit": "A"}
PUMP = {"load": "pool pump", "power": "1100", "power.unit": "W", "length": "20", "length.unit": "m", "method": "C"}
STORED = Path(__file__).parent / "stored"


@pytest.fixture
def ask(tmp_path: Path) -> Iterator[Asked]:
    """A desk with a job that has a name and a clock."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(BARE)
    made = Asked(folder)
    yield made
    made.desk.close()


def test_without_a_job(tmp_path: Path) -> None:
    """The first page leads there; an answer needs no job, and then none can be kept."""
    ask = Asked(None, tmp_path / "store")
    assert 'href="/quick"' in ask("/").text
    empty = ask("/quick")
    assert (empty.status_code, "What to use" in empty.text) == (200, False)
    answer = ask("/quick", params=PUMP)
    assert answer.status_code == 200
    for told in ("What to use", "IEC 60364", "Mains work can kill", "copper of", 'value="1100"'):
        assert told in answer.text
    assert 'id="keep"' not in answer.text
    assert ask.desk.token not in answer.text  # asking needs no secret, and its address may be kept
    ask.desk.close()


@pytest.mark.parametrize(
    ("told", "what"),
    [
        ({"load": "x"}, "Expected one of water heater"), ({"load": "other"}, "a power or a current"),
        ({"load": "other", "power": "much", "power.unit": "kW"}, "a number with its unit"),
        ({"load": "pool pump", "power": "1.5", "power.unit": "kW", "power_factor": "85"}, "at most 1"),
        # 50 A at 230 V are 11.5 kVA, a fifth of which is drawn: one of the two was misread. 5 A give no more than 1.15 kW.
        ({**BOTH, "current": "50"}, "this one makes 11,500 VA"), ({**BOTH, "current": "5"}, "this one makes 1,150 VA"),
        ({"load": "pool pump", "power": "1.5", "power.unit": "kW", "efficiency": "0.8", "efficiency.unit": "%"}, "at least 10"),
    ],
)  # fmt: skip
def test_what_cannot_be_answered(ask: Asked, told: dict, what: str) -> None:
    """Beside the field, with what was typed."""
    answer = ask("/quick", params=told)
    assert (answer.status_code, what in answer.text, 'class="field wrong"' in answer.text) == (422, True, True)


def test_power_and_current_of_one_plate_are_taken(ask: Asked) -> None:
    """10.4 A and 2.4 kW go together at 230 V, as 10 A do on a plate that is rounded; 6 A with 0.55 kW at a shaft."""
    for told in (
        {**BOTH, "current": "10.4"},
        {**BOTH, "current": "10"},
        {**BOTH, "load": "pool pump", "power": "0.55", "current": "6"},
    ):
        assert ask("/quick", params=told).status_code == 200


def test_a_power_factor_is_typed_as_on_the_plate(ask: Asked) -> None:
    """1.5 kW at the shaft, 80 %, 0.85 at 230 V: 1500 / 0.8 / 0.85 / 230 = 9.59 A; of 0.85 % it was told 96 kA."""
    plate = {"load": "pool pump", "power": "1.5", "power.unit": "kW", "power_factor": "0.85", "efficiency": "80"}
    assert "9.59 A" in ask("/quick", params={**plate, "efficiency.unit": "%"}).text.replace("\u202f", " ").replace("\u2009", " ")


def test_kept_in_a_job(ask: Asked) -> None:
    """One action: the load stands in the survey with what was told, and can be taken back."""
    assert 'id="keep"' in ask("/quick", params=PUMP).text
    done = ask.post("/quick/keep", {**PUMP, "job": ask.job, "name": "2nd pump"})
    assert (done.status_code, done.headers["location"]) == (303, f"/jobs/{ask.job}/survey#load-0")
    [load] = ask.opened.spec.loads
    assert (load.id, load.name, load.kind) == ("load-2nd-pump", "2nd pump", "pool pump")
    assert (load.controllable, load.interrupt) == (True, "mains")
    assert (load.wiring.length_m, load.wiring.method, load.wiring.shaft_w) == (20.0, "C", 1100.0)
    assert load.rating_w == pytest.approx(1100 / 0.65, abs=0.1)
    more = {"load": "fan", "current": "2", "current.unit": "A", "efficiency": "70", "efficiency.unit": "%", "place": "outdoors"}
    ask.post("/quick/keep", {**more, "a_day": "3", "voltage": "240", "voltage.unit": "V", "job": ask.job, "name": ""})
    fan = ask.opened.spec.loads[1]
    assert (fan.id, fan.kind, fan.wiring.plate_a, fan.wiring.place) == ("fan", "motor", 2.0, "outdoors")
    assert fan.wiring.efficiency == pytest.approx(0.7)
    assert (fan.wiring.voltage_v, fan.wiring.switchings_a_day, fan.wiring.shaft_w) == (240.0, 3.0, None)
    ask.post("/do/undo", {"sheet": "survey"})
    assert len(ask.opened.spec.loads) == 1


def test_not_kept(ask: Asked) -> None:
    """Of another page, into a job that is not there, or where the job cannot have it: told, and nothing is changed."""
    own = {"origin": "http://127.0.0.1:4711"}
    assert ask("/quick/keep", "POST", headers=own, data={**PUMP, "job": ask.job}).status_code == 403
    assert ask.post("/quick/keep", {**PUMP, "job": "gone", "name": "x"}).status_code == 404
    assert ask.post("/quick/keep", {"load": "other", "job": ask.job}).status_code == 422
    nothing = ask.post("/quick/keep", {"job": ask.job})
    assert (nothing.status_code, 'class="fault"' in nothing.text) == (422, True)
    ask.post("/do/text", {"text": BARE + '[supply]\nsystem = "split-phase"\nvoltage = "120 V"\n'})
    wrong = ask.post(
        "/quick/keep", {"load": "other", "power": "0.4", "power.unit": "W", "power_factor": "0.0001", "job": ask.job}
    )
    assert wrong.status_code == 422
    assert ask.opened.spec.loads == ()


@pytest.mark.parametrize(("width", "scheme"), [(1440, "light"), (390, "dark")])
def test_can_be_used_by_everybody(browser, early: Running, width: int, scheme: str) -> None:
    """Asked by its labels, answered, no serious finding of axe-core, as it was looked at, and nothing said to the console."""
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page, told = context.new_page(), []
    page.on("console", lambda message: told.append(message.text))
    page.goto(early.address + "/quick")
    page.get_by_label("What it is").select_option("water heater")
    page.get_by_label("Power", exact=True).fill("3")
    page.get_by_role("button", name="Answer").click()
    page.wait_for_url("**/quick?load=water+heater*")
    assert page.get_by_role("heading", name="What to use").is_visible()
    page.evaluate(AXE)
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"] if one["impact"] in GRAVE] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert told == []
    page.evaluate("document.fonts.ready")
    tall = min(2400, page.evaluate("document.documentElement.scrollHeight"))
    held(STORED / f"quick-{scheme}.png", page.screenshot(full_page=True, clip={"x": 0, "y": 0, "width": width, "height": tall}))
    context.close()


def test_every_kind_of_load_is_answered_on_each_supply(ask: Asked) -> None:
    """Each gets a page with sections, whatever the supply."""
    frame = Frame(links(), LANGUAGE, "token")
    for system in ("single-phase", "three-phase"):
        for load in USUAL:
            page, status = quick_page(frame, (), {**PUMP, "load": load, "system": system})
            assert (status, bool(page.paper["sections"])) == (200, True)
