"""What a person comes to the desk for, in the browser, with the real program: from a meter file alone to papers."""

from pathlib import Path

import pytest

from tests.web.conftest import Running, end, start

MOST_ACTIONS = 12
PATIENCE_MS = 240_000


class Acting:
    """A page on which every action of a person is counted: a click, something typed, a file chosen."""

    def __init__(self, page) -> None:
        self.page, self.count = page, 0

    def click(self, name: str, role: str = "button") -> None:
        self.count += 1
        self.page.get_by_role(role, name=name, exact=True).first.click()

    def type(self, label: str, text: str) -> None:
        self.count += 1
        self.page.get_by_label(label, exact=True).first.fill(text)

    def choose(self, label: str, *files: Path) -> None:
        self.count += 1
        self.page.get_by_label(label, exact=True).first.set_input_files([str(one) for one in files])


@pytest.fixture
def desk(root: Path, tmp_path: Path):
    """The real program with an empty store."""
    running = start(root, folder=tmp_path / "store")
    yield running
    assert end(running) == (0, "")


@pytest.fixture
def page(browser, desk: Running):
    """The list of jobs, in a browser."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, accept_downloads=True)
    opened = context.new_page()
    told: list[str] = []
    opened.on("console", lambda message: told.append(message.text))
    opened.on("pageerror", lambda error: told.append(str(error)))
    opened.goto(desk.address)
    yield opened
    assert told == []
    context.close()


def test_from_a_meter_file_to_the_report(page, shared_data: Path, tmp_path: Path) -> None:
    """From an empty store and one real file of hourly readings to the report as PDF in fewer than twelve actions."""
    acting = Acting(page)
    acting.choose("Meter files", shared_data / "residential-hourly.csv")
    acting.type("Time zone", "America/Toronto")
    acting.click("Begin the job")
    assert "/meter-files" in page.url
    acting.click("Handover not built yet", "link")
    acting.click("Build the papers")
    page.get_by_text("The work asked for last is done.").wait_for(timeout=PATIENCE_MS)
    with page.expect_download() as taken:
        acting.click("report.pdf", "link")
    path = tmp_path / "report.pdf"
    taken.value.save_as(path)
    assert path.read_bytes().startswith(b"%PDF-")
    assert acting.count < MOST_ACTIONS


def test_two_tabs(page, browser, desk: Running) -> None:
    """Of two tabs on the same page the later one is told, what it typed stays, and saving again saves it."""
    acting = Acting(page)
    acting.type("Time zone", "Europe/Vienna")
    acting.type("Name", "Lindengasse bakery (invented)")
    acting.click("Begin the job")
    other = page.context.new_page()
    other.goto(page.url)
    page.get_by_label("Place", exact=True).fill("a street in Vienna")
    # Typed before the first saves: a tab nobody has touched shows itself anew when its page is made.
    other.get_by_label("Client", exact=True).fill("the baker")
    with page.expect_navigation():
        page.locator("#job").get_by_role("button", name="Save").click()
    other.locator("#job").get_by_role("button", name="Save").click()
    assert "changed in another tab" in other.get_by_role("alert").inner_text()
    assert other.get_by_label("Client", exact=True).input_value() == "the baker"
    page.goto(page.url)
    assert page.get_by_label("Place", exact=True).input_value() == "a street in Vienna"
    assert other.get_by_label("Place", exact=True).input_value() == "a street in Vienna"
    other.locator("#job").get_by_role("button", name="Save").click()
    page.goto(page.url.partition("#")[0])
    assert page.get_by_label("Client", exact=True).input_value() == "the baker"
    assert page.get_by_label("Place", exact=True).input_value() == "a street in Vienna"
