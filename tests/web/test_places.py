"""An address that names a form or a field: opened, its first field in focus, also after the page was shown anew; in a browser."""

from collections.abc import Callable, Iterator

import pytest

from tests.web.conftest import Running, settled

WHO = "() => document.activeElement.id || document.activeElement.tagName"
BILL = "bills.0.from"


@pytest.fixture
def opened(browser, early: Running) -> Iterator[Callable[..., object]]:
    """Opens a made page of the job before its visit; its first showing tells of work that ends at once, where that is asked."""
    contexts = []

    def at(path: str, *, working: bool = False, script: bool = True, width: int = 390):
        settled(early.at(path.partition("#")[0]))
        contexts.append(browser.new_context(viewport={"width": width, "height": 900}, java_script_enabled=script))
        page = contexts[-1].new_page()
        page.set_default_timeout(20_000)

        def told(route) -> None:
            answer = route.fetch()
            script = answer.text().split('<script src="')[1].split('"')[0].rpartition("/")[0] + "/work.js"
            ready = f'<div data-run="{early.at(path).partition("#")[0]}/ready"><p class="lead"></p></div>'
            work = f'<main id="content" tabindex="-1">{ready}<script src="{script}" defer></script>'
            route.fulfill(response=answer, body=answer.text().replace('<main id="content" tabindex="-1">', work))

        if working:
            page.route(early.at(path).partition("#")[0], told, times=1)
        page.goto(early.at(path))
        return page

    yield at
    for one in contexts:
        one.close()


def focused(page, wanted: str) -> None:
    """Wait until the focus is where it is wanted."""
    page.locator(f'[id="{wanted}"]:focus').wait_for()


@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/tariff#new-bill", BILL), ("/property#supply.main_protection", "supply.main_protection"),
        ("/survey#new-load", "loads.1.name"),
    ],
)  # fmt: skip
def test_the_form_that_an_address_names_is_open_and_in_focus(opened, path: str, field: str) -> None:
    """Also one that was folded; and it is in sight."""
    page = opened(path)
    focused(page, field)
    assert page.locator(f'[id="{field}"]').is_visible()
    assert page.evaluate("(id) => document.getElementById(id).getBoundingClientRect().top", field) < 900


def test_a_form_with_nothing_but_a_button(opened) -> None:
    """What removes the job has no field: its button is in focus. A place that is no form takes no focus from the page."""
    page = opened("/property#remove")
    page.locator("#remove button:focus").wait_for()
    page.evaluate("() => { location.hash = 'supply.voltage'; }")
    focused(page, "supply.voltage")
    for nothing in ("%E0%A4%A", "nowhere"):
        page = opened(f"/tariff#{nothing}")
        page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done))))")
        assert page.evaluate(WHO) == "BODY"


def test_the_focus_outlives_the_page_shown_anew(opened) -> None:
    """When work is done the page is shown anew: the folded form is open and its field in focus as before."""
    page = opened("/tariff#new-bill", working=True)
    page.locator("[data-run]").wait_for(state="detached")
    focused(page, BILL)
    assert page.evaluate("() => history.state") is None


@pytest.mark.parametrize("way", ["key", "click"])
def test_who_has_moved_on_is_not_taken_back(opened, way: str) -> None:
    """The focus went to another field, or nowhere: shown anew the page takes it not to the form again."""
    page = opened("/property#supply.main_protection")
    focused(page, "supply.main_protection")
    if way == "key":
        page.keyboard.press("Tab")
    else:
        page.locator("h1").click()
    with page.expect_event("load"):
        page.evaluate("() => { setTimeout(wattwrightAnew); }")
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done))))")
    assert page.evaluate(WHO) != "supply.main_protection"
    assert page.evaluate("() => history.state.left")


def test_without_script_a_folded_form_is_opened_by_hand(opened) -> None:
    """The address leads to its title, and that opens it."""
    page = opened("/tariff#new-bill", script=False)
    assert page.locator("#new-bill summary").is_visible()
    page.locator("#new-bill summary").click()
    assert page.locator(f'[id="{BILL}"]').is_visible()
