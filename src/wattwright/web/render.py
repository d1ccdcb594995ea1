"""Pages from their contexts: templates filled, no arithmetic."""

from functools import lru_cache
from pathlib import Path
from typing import Any

from wattwright.handover.page import environment
from wattwright.web.pages import FailingPage, PaperPage, QuickPage, SheetPage, StartPage, TextPage
from wattwright.web.words import words

_TEMPLATES = Path(__file__).parent / "templates"
Page = SheetPage | PaperPage | StartPage | TextPage | QuickPage | FailingPage
TEMPLATE_OF: dict[type[Page], str] = {
    SheetPage: "sheet.html",
    PaperPage: "paper_page.html",
    StartPage: "start.html",
    TextPage: "text.html",
    QuickPage: "quick.html",
    FailingPage: "failing.html",
}


@lru_cache(maxsize=1)
def _environment() -> Any:
    return environment(_TEMPLATES)


def rendered(page: Page) -> str:
    """A page as text."""
    return str(_environment().get_template(TEMPLATE_OF[type(page)]).render(**context(page)))


def context(page: Page) -> dict[str, Any]:
    """What the template of a page may use: the fields of its dataclass, the paper's own parts, and `say` for fixed words."""
    given = {name: getattr(page, name) for name in page.__dataclass_fields__}
    # The blocks that papers and pages share read a paper's parts by their own names.
    paper = given.pop("paper", {})
    return {**given, **paper, "say": words}
