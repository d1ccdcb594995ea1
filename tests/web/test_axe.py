"""The pages of the desk held against the rules of axe-core, as far as a program can tell: WCAG 2.2 and good practice."""

import re
from importlib.resources import files

import pytest

from tests.web.conftest import settled
from tests.web.test_browser import EVERY_PAGE, SEE_ALL

AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
MORE = (
    "/text", "/preview/report", "/preview/sheets", "/preview/visit", "/demand/figures/typical-days", "/nowhere",
    "/survey?look=1", "/tariff?look=0-0",
)  # fmt: skip
GRAVE = ("minor", "moderate", "serious", "critical")
OPEN_ALL = "for (const one of document.querySelectorAll('details')) one.open = true"


@pytest.mark.parametrize(("scheme", "width"), [("light", 1440), ("dark", 390)])
@pytest.mark.parametrize("path", [*EVERY_PAGE, *MORE])
def test_no_finding(open_page, running, path: str, scheme: str, width: int) -> None:
    """No rule of axe-core finds anything, minor or worse, all pictures drawn and all forms open."""
    at = running.at("/property").removesuffix("/property") + path if path in MORE else running.at(path)
    if path != "/nowhere":
        settled(at)
    page = open_page(at.removeprefix(running.address), width, scheme).page
    page.evaluate(SEE_ALL)
    page.evaluate(OPEN_ALL)
    page.evaluate(AXE)
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    assert re.fullmatch(r"4\.\d+\.\d+", found["testEngine"]["version"])
    assert len(found["passes"]) > 0
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"] if one["impact"] in GRAVE] == []
