"""Pages of the desk as they were looked at: the top of each held against a small picture in the repository."""

from pathlib import Path

import pytest

from tests.stored import held
from tests.web.conftest import Running, settled
from tests.web.test_browser import SEE_ALL

STORED = Path(__file__).parent / "stored"
TALL_PX = 2400
LIGHT = ("property", "demand", "survey", "plan", "gear")
ONE_ID = """() => {
  const id = location.pathname.split("/")[2], words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) { words.currentNode.data = words.currentNode.data.replaceAll(id, "4d5e6f708192"); }
}"""
DARK = ("meter-files", "tariff", "supply", "handover")


@pytest.mark.parametrize(
    ("sheet", "width", "scheme"), [*((one, 1440, "light") for one in LIGHT), *((one, 390, "dark") for one in DARK)]
)
def test_page_as_it_was_looked_at(open_page, sheet: str, width: int, scheme: str) -> None:
    """The page of the invented job, its pictures drawn, looks as the stored one does."""
    _held(open_page, f"/{sheet}", sheet, width, scheme)


@pytest.mark.parametrize(("look", "name"), [("0", "load"), ("found", "found")])
@pytest.mark.parametrize(("width", "scheme"), [(1440, "light"), (390, "dark")])
def test_part_of_the_survey_as_it_was_looked_at(
    open_page, running: Running, look: str, name: str, width: int, scheme: str
) -> None:
    """The forms of all that can be said of a load, and those of the loads found in the readings, unfolded, look as the stored."""
    settled(running.at(f"/survey?look={look}"))
    _held(open_page, f"/survey?look={look}", f"survey-{name}-{width}", width, scheme, "#change")


def _held(open_page, path: str, name: str, width: int, scheme: str, begins: str = "html") -> None:
    """Hold a page against its stored picture, from the place ``begins`` on, with all that was folded there in sight."""
    page = open_page(path, width, scheme).page
    page.evaluate("(at) => document.querySelectorAll(`${at} > details`).forEach((one) => { one.open = true; })", begins)
    page.evaluate(SEE_ALL)
    # The id of a job is another in every store.
    page.evaluate(ONE_ID)
    page.evaluate("document.fonts.ready")
    page.evaluate("scrollTo(0, 0)")
    top = page.evaluate("(at) => document.querySelector(at).getBoundingClientRect().top", begins)
    tall = min(TALL_PX, page.evaluate("document.documentElement.scrollHeight") - top)
    held(STORED / f"{name}.png", page.screenshot(full_page=True, clip={"x": 0, "y": top, "width": width, "height": tall}))
