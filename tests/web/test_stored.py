"""Pages of the desk as they were looked at: the top of each held against a small picture in the repository."""

from pathlib import Path

import pytest

from tests.stored import held
from tests.web.test_browser import SEE_ALL

STORED = Path(__file__).parent / "stored"
TALL_PX = 2400
LIGHT = ("property", "demand", "survey", "plan", "gear")
DARK = ("meter-files", "tariff", "supply", "handover")


@pytest.mark.parametrize(
    ("sheet", "width", "scheme"), [*((one, 1440, "light") for one in LIGHT), *((one, 390, "dark") for one in DARK)]
)
def test_page_as_it_was_looked_at(open_page, sheet: str, width: int, scheme: str) -> None:
    """The page of the invented job, its pictures drawn, looks as the stored one does."""
    page = open_page(f"/{sheet}", width, scheme).page
    page.evaluate(SEE_ALL)
    page.evaluate("document.fonts.ready")
    page.evaluate("scrollTo(0, 0)")
    tall = min(TALL_PX, page.evaluate("document.documentElement.scrollHeight"))
    held(STORED / f"{sheet}.png", page.screenshot(full_page=True, clip={"x": 0, "y": 0, "width": width, "height": tall}))
