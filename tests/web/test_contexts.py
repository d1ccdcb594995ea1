"""What templates are given is what their dataclasses say, no more and no less; and every sentence of the desk is used."""

import re
import tomllib
from dataclasses import fields
from pathlib import Path

import jinja2
import pytest
from jinja2 import meta

from tests.handover.kit import PLAIN, hours
from tests.web.conftest import Asked
from wattwright.core.findings import kinds
from wattwright.handover.align import paper_data
from wattwright.web import cures, render
from wattwright.web.forms import Field, fields_of, filled, to_write, typed
from wattwright.web.groups import Group, group, groups_of
from wattwright.web.links import SHEETS, links
from wattwright.web.page_forms import forms_of
from wattwright.web.pages import PaperPage, QuickPage, SheetPage
from wattwright.web.render import TEMPLATE_OF, context
from wattwright.web.showing import Showing
from wattwright.web.whole import MAKERS

FOLDER = Path(render.__file__).parent
EVERYWHERE = {"say"}
FROM_PAPERS = {"words", "title_block", "sections", "legend", "pictures", "cures"}
"""Parts of a paper that the shared blocks read; only pages with a paper have them."""


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job of four days."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(PLAIN)
    (folder / "readings.csv").write_text(hours([1.0, 2.0] * 48))
    return Asked(folder)


def used(name: str) -> set[str]:
    """The variables that a template and those it extends or includes use."""
    from wattwright.handover.page import TEMPLATES

    loader = jinja2.FileSystemLoader([FOLDER / "templates", TEMPLATES])
    environment = jinja2.Environment(loader=loader, autoescape=True)
    tree = environment.parse(loader.get_source(environment, name)[0])
    others = [one for one in meta.find_referenced_templates(tree) if one not in ("blocks.html", "forms.html")]
    # Blocks and forms are imported under these names.
    return (meta.find_undeclared_variables(tree) - {"b", "w"}).union(*(used(one) for one in others))


@pytest.mark.parametrize("page", list(TEMPLATE_OF), ids=lambda one: one.__name__)
def test_templates_use_what_they_are_given(page: type) -> None:
    """Each variable of a template is a field of its dataclass, or part of the paper where the page has one."""
    named = {one.name for one in fields(page)}
    paper = FROM_PAPERS if page in (SheetPage, PaperPage, QuickPage) else set()
    assert used(TEMPLATE_OF[page]) <= named | EVERYWHERE | paper


@pytest.mark.parametrize("page", list(TEMPLATE_OF), ids=lambda one: one.__name__)
def test_every_field_is_told(page: type) -> None:
    """Each field of a dataclass is named in its description, and used by the template or by the blocks it shares."""
    named = {one.name for one in fields(page)} - {"paper"}
    shared = (FOLDER / "templates" / "forms.html").read_text() + (FOLDER.parent / "handover/templates/blocks.html").read_text()
    assert {one for one in named if one not in used(TEMPLATE_OF[page]) and one not in shared} == set()


def test_rendered_context_is_the_dataclass(ask: Asked) -> None:
    """What a page is rendered with is exactly the fields of its dataclass, its paper in parts, and the fixed words."""
    showing = Showing(ask.desk, links())
    opened = ask.opened
    for sheet in SHEETS:
        page = showing.sheet(opened, sheet)
        given = context(page)
        parts = set(paper_data(ask.worked.sheet(sheet, MAKERS[sheet]).paper))
        assert set(given) == ({one.name for one in fields(page)} - {"paper"}) | parts | EVERYWHERE


def test_every_sentence_is_used() -> None:
    """No sentence of the desk is left over: each key stands in code or template, whole or by its beginning."""
    texts = tomllib.loads((FOLDER / "desk_en.toml").read_text())
    shared = (FOLDER.parent / "handover/templates/blocks.html").read_text()
    code = shared + "".join(path.read_text() for path in (*FOLDER.rglob("*.py"), *FOLDER.rglob("*.html")))
    made = {re.sub(r"\{.*", "", one) for one in re.findall(r'words\(f"([^"]*)"', code)}
    made |= set(re.findall(r'"([a-z-]+\.)" ~', code))
    nothing = re.compile(r"(survey|tariff|plan|gear|supply|handover|files|demand)\.none\.")
    left = [
        key for key in texts
        if f'"{key}"' not in code and not any(one and key.startswith(one) for one in made) and not nothing.match(key)
    ]  # fmt: skip
    assert left == []


def test_cures_lead_to_fields(ask: Asked) -> None:
    """Each beginning of a code is that of some finding, and leads to a page and a form or field that can be there."""
    codes = [one.code for one in kinds()]
    ids = {form.id for sheet in SHEETS for form in forms_of(ask.opened, sheet, links())} | {"load-0", "strings-0"}
    first = group("file-0")
    assert first is not None
    names = {name for one in (first, *(one for sheet in SHEETS for one in groups_of(sheet))) for name in names_of(one)}
    assert 'id="text"' in ask("/text").text  # where the job file is typed
    for start, (sheet, field) in cures.CURED_BY.items():
        assert any(code.startswith(start) for code in codes), start
        assert (sheet, field) == ("", "text") or (sheet in SHEETS and field in ids | names), start
    found = cures.cures_for("x", links())
    assert found["record.zone-unknown"].endswith("/property#site.zone")
    assert found["record.spike"].endswith("/meter-files#file-0")
    assert found["record.column-unit"].endswith("/text#text")


def test_cures_of_several_files_lead_to_the_one_they_are_about() -> None:
    """Of a finding about a further file the same field of that file; of one that is about no file in particular there is one."""
    found = cures.cures_for("x", links(), ("main", "pump"))
    assert found["record.stamps"] == found["record.stamps main"] == "/jobs/x/meter-files#files.0.layout.stamps"
    assert found["record.stamps pump"] == "/jobs/x/meter-files#files.1.layout.stamps"
    assert found["record.spike pump"] == "/jobs/x/meter-files#file-1"
    assert "record.zone-unknown pump" not in found


def test_cures_of_loads_lead_to_the_one_they_are_about() -> None:
    """By its id, as what is chosen for it says, and by its name, as the survey does; what is about no known load to the first."""
    found = cures.cures_for("x", links(), (), (("tank", "Water, 300 l"), ("pump", "Pump")))
    assert found["job.no-switch pump"] == found["job.no-switch Pump"] == "/jobs/x/survey#load-1"
    assert found["demand.survey-rating Water, 300 l"] == found["demand.survey-rating"] == "/jobs/x/survey#load-0"
    assert found["demand.survey-without-hours Pump"] == "/jobs/x/survey?look=1#hours-1"
    assert "job.no-circuit pump" not in found  # what its circuit lacks is said of the gear


def test_where_nothing_is_to_be_done_no_field_cures_it() -> None:
    """A note that says so leads nowhere: its code has no address."""
    assert {one.code for one in kinds()} >= {"record.order", "demand.bills-agree"}
    assert not {"record.order", "demand.bills-agree", "tariff.carried"} & set(cures.cures_for("x", links()))


def names_of(one: Group) -> set[str]:
    """The entries of a group."""
    return {f"{at}.{entry}" if at else entry for _, at, entries in one.parts for entry in entries}


def test_fields_say_unit_bounds_and_usual() -> None:
    """A field made from a spec tells what it is, its unit, its bounds and what is taken where it is left empty."""
    from wattwright.job.spec import SupplySpec

    voltage, fuse, factor, system = fields_of(SupplySpec, "supply", ("voltage", "main_protection", "power_factor", "system"))
    assert (voltage.kind, voltage.units, voltage.wanted, voltage.usual) == (
        "quantity",
        ("V",),
        True,
        "above 0 V, at most 1000 V",
    )
    assert (fuse.kind, fuse.wanted) == ("quantity", False)
    assert (factor.kind, factor.usual) == ("number", "0.95 if left empty, at least 0.1, at most 1")
    assert (system.kind, system.choices) == ("choice", ("single-phase", "split-phase", "three-phase"))


def test_values_come_back_as_they_stand() -> None:
    """What stands in the job file with a unit of its own stays in it, shown and written again."""
    from wattwright.job.spec import SupplySpec

    bare = fields_of(SupplySpec, "supply", ("voltage", "power_factor"))
    [voltage, factor] = filled(bare, {"supply.voltage": "0.23 kV", "supply.power_factor": 0.9})
    assert (voltage.value, voltage.unit, voltage.units) == ("0.23", "kV", ("V", "kV"))
    assert (to_write(voltage), to_write(factor)) == ("0.23 kV", 0.9)
    [odd] = filled(bare[:1], {"supply.voltage": "some"})
    assert odd.value == "some"
    [typed_one] = typed(bare[:1], {"supply.voltage": "230", "supply.voltage.unit": "V"})
    assert to_write(typed_one) == "230 V"
    assert to_write(Field("x", "X", "", "number", value="1,000.5")) == "1,000.5"


def test_groups() -> None:
    """There is a group for each meter file and each load, and none of other names."""
    assert group("load-3").parts[0][1] == "loads.3"
    assert group("file-0").sheet == "meter-files"
    assert [group(one) for one in ("none", "load-x", "other-1", "load-12345")] == [None] * 4


def test_forms_of_every_page(ask: Asked) -> None:
    """No two forms of a page share an id."""
    for sheet in SHEETS:
        ids = [one.id for one in forms_of(ask.opened, sheet, links())]
        assert len(ids) == len(set(ids))
