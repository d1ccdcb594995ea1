"""The survey on the phone in Chromium without a network, and its file taken into the real desk."""

import json
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.stored import held
from tests.web.conftest import EARLY, Running, settled
from tests.web.test_axe import AXE, GRAVE
from tests.web.test_stored import ONE_ID
from wattwright.core.errors import UnitError
from wattwright.core.units import parse
from wattwright.handover.phone import phone
from wattwright.job.file import load_job
from wattwright.job.visited import read_entered

STORED = Path(__file__).parent / "stored"


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    """A photo as a telephone takes them, larger than is kept."""
    path = tmp_path / "plate.png"
    Image.effect_noise((1800, 1200), 40).convert("RGB").save(path)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The folder of a job with a load."""
    made = tmp_path / "job"
    made.mkdir()
    (made / "job.toml").write_text(EARLY)
    return made


@pytest.fixture
def on_phone(browser, folder: Path):
    """Open the file at a width and in a colour scheme, with no network; tell what was said and asked."""
    contexts = []

    def opened(width: int = 390, scheme: str = "light"):
        path = folder / "survey.html"
        path.write_text(phone(load_job(folder).spec))
        context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme, offline=True, has_touch=True)
        contexts.append(context)
        page = context.new_page()
        page.told = []
        page.on("console", lambda message: page.told.append(message.text))
        page.on("pageerror", lambda error: page.told.append(str(error)))
        page.on("request", lambda request: page.told.append(request.url) if request.url.startswith("http") else None)
        page.goto(path.as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()


def fill(page, plate: Path) -> None:
    """Enter a load with a photo, by its labels."""
    page.get_by_role("button", name="Add a load").tap()
    load = page.locator("details[open]")
    load.get_by_label("Name").fill("Water heater")
    load.get_by_label("Kind").select_option("water heater")
    load.get_by_label("Rating of each", exact=True).fill("3")
    load.get_by_label("Hours on a working day").fill("06:00-08:30")
    load.get_by_label("May something switch it?").select_option("yes")
    load.get_by_label("How may it be interrupted?").select_option("mains")
    load.get_by_label("Photograph the plate").set_input_files(plate)
    expect(load.get_by_role("img")).to_have_count(1)
    expect(page.get_by_role("status")).to_have_text("Kept in this browser.")


def saved(page, into: Path) -> Path:
    """The file that the phone saves."""
    with page.expect_download() as taken:
        page.get_by_role("button", name="Save as a file").tap()
    taken.value.save_as(into / taken.value.suggested_filename)
    return into / taken.value.suggested_filename


def test_entered_kept_and_saved(on_phone, plate: Path, tmp_path: Path) -> None:
    """Entries and photos outlive a reload, only what differs is saved, and what is saved is what the desk reads."""
    page = on_phone()
    fill(page, plate)
    page.reload()
    page.get_by_label("Main fuse or breaker").fill("25")
    page.locator("summary", has_text="Oven").tap()
    page.locator("details[open]").get_by_label("Rating of each", exact=True).fill("2.5")
    expect(page.get_by_role("status")).to_have_text("Kept in this browser.")
    path = saved(page, tmp_path)
    assert path.name == "mill-invented-survey.json"
    entered = read_entered(path.read_bytes(), path.name)
    assert entered.supply == {"main_protection": "25 A"}
    oven, heater = entered.loads
    assert (oven.id, oven.entries) == ("oven", {"rating": "2.5 kW"})
    assert heater.entries == {
        "name": "Water heater", "kind": "water heater", "rating": "3 kW", "hours_working": "06:00-08:30", "controllable": "yes",
        "interrupt": "mains",
    }  # fmt: skip
    assert len(heater.photos) == 1
    assert path.stat().st_size < 2_000_000
    assert page.told == []


NUMBERS = (
    "25",
    "2,5",
    " 25",
    "1 500",
    "1.500,5",
    "1'500",
    "1,500",
    "1,2,3",
    "abc",
    "25a",
    "1 5",
    "-3",
    "0",
    "1e2",
    ".5",
    "5.",
    "1e9999",
)
"""What a thumb may type for a number: read the same on the phone as at the desk."""


def test_what_the_desk_would_refuse_is_told_at_once(on_phone, tmp_path: Path) -> None:
    """By the rules of the job file, in the unit beside the field; it is kept and saved all the same, and told once more then."""
    page = on_phone()

    def told(label: str, text: str, within=page) -> str:
        """Type into a field; return what stands at it, which its mark for those who do not see agrees with."""
        field = within.get_by_label(label, exact=True)
        field.fill(text)
        said = page.locator(f"#{field.get_attribute('id')}-wrong").inner_text()
        assert field.get_attribute("aria-invalid") == ("true" if said else "false")
        return said

    for text in NUMBERS:
        try:
            taken = parse(f"{text.strip()} A", "A") > 0
        except UnitError:
            taken = False
        assert (told("Main fuse or breaker", text) == "") == taken, text
    assert told("Main fuse or breaker", "abc") == "Expected: a number, such as 2.5."
    assert told("Nominal voltage, line to neutral", "1001") == "Expected: a value of at most 1000 V."
    page.get_by_role("button", name="Add a load").tap()
    load = page.locator("details[open]")
    assert load.locator(".wrong:not(:empty)").count() == 0  # nothing is asked of what nobody has begun
    assert told("Name", "Fan", load) == ""
    assert load.locator(".wrong", has_text="The desk needs this beside the rest.").count() == 2  # kind and rating
    for label, text, expected in (
        ("Rating of each", "-1", "Expected: a value of at least 0 kW."), ("Rating of each", "3", ""),
        ("How many", "2.5", "Expected: a whole number, such as 2."), ("How many", "0", "Expected: a value of at least 1."),
        ("Hours on a working day", "all day", "Expected: hours such as 06:00-08:30, 18:00-20:00."),
        ("Hours on a working day", "6:00-08:30, 22:00-26:00", "Expected: hours such as 06:00-08:30, 18:00-20:00."),
        ("Hours on a working day", "6:00-08:30, 22:00-24:00", ""), ("Hours on a working day", "", ""),
    ):  # fmt: skip
        assert told(label, text, load) == expected
    share = "Share of its hours in which it draws its rating"
    assert told(share, "40", load) == "This is a share of hours: enter them below."
    told("Hours on a Saturday", "08:00-09:00", load)
    assert told(share, "140", load) == "Expected: a value of at most 100 %."
    assert load.locator("summary").inner_text() == "Fan: 3 to mend"
    told("Main fuse or breaker", "abc")
    path = saved(page, tmp_path)
    expect(page.get_by_role("status")).to_contain_text("5 of its entries cannot be taken as they stand")
    made = json.loads(path.read_text())
    assert (made["supply"]["main_protection"], made["loads"][0]["entries"]["quantity"]) == ("abc A", "0")
    assert page.told == []


def test_an_empty_load_is_not_saved(on_phone, tmp_path: Path) -> None:
    """A load that was added by a slip of the thumb says nothing."""
    page = on_phone()
    page.get_by_role("button", name="Add a load").tap()
    assert json.loads(saved(page, tmp_path).read_text())["loads"] == []


def test_taken_back_on_the_phone(on_phone, plate: Path, tmp_path: Path) -> None:
    """A photo and a load can be removed; clearing asks once more; what is no photo is told."""
    page = on_phone()
    fill(page, plate)
    load = page.locator("details[open]")
    (tmp_path / "no.jpg").write_text("no photo")
    load.get_by_label("Photograph the plate").set_input_files(tmp_path / "no.jpg")
    expect(page.get_by_role("status")).to_have_text("This is no photo that can be read.")
    load.get_by_role("button", name="Remove this photo").tap()
    expect(load.get_by_role("img")).to_have_count(0)
    load.get_by_role("button", name="Remove this load").tap()
    expect(page.locator("details")).to_have_count(1)
    page.get_by_label("Earthing").select_option("TT")
    page.get_by_role("button", name="Clear what was entered").tap()
    page.get_by_role("button", name="Clear it for good").tap()
    expect(page.get_by_label("Earthing")).to_have_value("")
    made = json.loads(saved(page, tmp_path).read_text())
    assert (made["supply"], made["loads"]) == ({}, [])


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (390, "dark"), (1440, "light")])
def test_can_be_used_by_everybody(on_phone, plate: Path, width: int, scheme: str) -> None:
    """No serious finding of axe-core; nothing to be moved sideways; whatever is tapped is at least 44 px high; as looked at."""
    page = on_phone(width, scheme)
    fill(page, plate)
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    if width == 390:
        held(STORED / f"phone-{scheme}.png", page.screenshot(full_page=True))
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert (
        page.evaluate(
            "[...document.querySelectorAll('button, input:not([type=file]), select, summary, label.take')]"
            ".filter((one) => one.offsetParent && one.getBoundingClientRect().height < 44).map((one) => one.outerHTML)"
        )
        == []
    )
    context = page.context
    found = context.new_cdp_session(page).send(
        "Runtime.evaluate",
        {"expression": AXE + "; axe.run(document, { resultTypes: ['violations'] })", "awaitPromise": True, "returnByValue": True},
    )["result"]["value"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"] if one["impact"] in GRAVE] == []


@pytest.mark.parametrize(("width", "scheme"), [(390, "dark"), (1440, "light")])
def test_from_the_phone_to_the_desk_and_back(
    browser, on_phone, early: Running, plate: Path, tmp_path: Path, width: int, scheme: str
) -> None:
    """Shown first, taken with its photo, taken back as one change."""
    on = on_phone()
    fill(on, plate)
    path = saved(on, tmp_path)
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page, told = context.new_page(), []
    page.on("console", lambda message: told.append(message.text))
    settled(early.at("/survey"))
    page.goto(early.at("/survey"))
    assert page.get_by_role("link", name="survey.html").is_visible()
    page.locator("summary", has_text="What was entered on the phone").click()
    page.get_by_label("A file that ends in -survey.json").set_input_files(path)
    page.locator("#read-survey").get_by_role("button", name="Read").click()
    page.wait_for_url("**/survey?look=visit-*")
    form = page.locator("#entries")
    assert "Rating of each: 3 kW" in form.inner_text()
    assert page.get_by_label("New load: Water heater").is_checked()
    if width == 390:
        page.evaluate(ONE_ID)
        form.scroll_into_view_if_needed()
        held(STORED / "survey-entries.png", page.screenshot())
    form.get_by_role("button", name="Take what is ticked").click()
    page.wait_for_url("**/survey")
    settled(early.at("/survey") + "?look=1")
    page.goto(early.at("/survey") + "?look=1")
    photo = page.get_by_role("img", name="Plate of Water heater, photo 1")
    photo.scroll_into_view_if_needed()
    expect(photo).to_have_js_property("complete", True)
    assert photo.evaluate("(one) => one.naturalWidth") > 1000
    page.evaluate(AXE)
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"] if one["impact"] in GRAVE] == []
    page.get_by_role("button", name="Take out photo 1").click()
    expect(page.get_by_role("img", name="Plate of Water heater, photo 1")).to_have_count(0)
    page.get_by_role("button", name="Take back: photos of Water heater").click()
    page.wait_for_url("**/survey")
    page.get_by_role("button", name="Take back: entries of the visit").click()
    expect(page.locator("summary", has_text="Water heater")).to_have_count(0, timeout=30_000)
    assert told == []
    context.close()


def test_what_was_begun_is_not_lost_when_the_sheet_is_ready(browser, early: Running) -> None:
    """While a sheet is worked out somebody types; when it is ready, it says so and keeps what was typed."""
    context = browser.new_context()
    page = context.new_page()
    told = 'data: {"words": "", "open": false}\n\n'
    settled(early.at("/survey"))
    making = '<div class="run" role="status" data-run="/told" data-ready="It is ready."><p class="lead">Wait.</p></div>'
    page.route("**/told", lambda route: (page.wait_for_timeout(800), route.fulfill(body=told, content_type="text/event-stream")))
    page.route(
        "**/survey",
        lambda route: route.fulfill(
            response=(answer := route.fetch()),
            body=answer.text()
            .replace("<main", making + "<main")
            .replace("</head>", f'<script src="{work_of(answer.text())}" defer></script></head>'),
        ),
    )
    page.goto(early.at("/survey"))
    page.get_by_label("Name", exact=True).first.fill("Half a na")
    expect(page.get_by_text("It is ready.")).to_be_visible()
    assert page.get_by_label("Name", exact=True).first.input_value() == "Half a na"
    context.close()


def work_of(text: str) -> str:
    """The address of the script that waits, beside that of the style sheet."""
    return text.split('rel="stylesheet" href="')[1].split('"')[0].replace("desk.css", "work.js")
