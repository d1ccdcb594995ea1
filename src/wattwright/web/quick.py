"""Quick answers: one load asked about without a job, answered by the rooms below, and kept into a job where wanted."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace

from wattwright.catalogue.equipment.range import generic_range
from wattwright.core.errors import Fault, InputError
from wattwright.core.show import Show
from wattwright.core.specfile import SpecText, validated
from wattwright.gear.quick import Quick, QuickSpec, quick
from wattwright.gear.usual import USUAL
from wattwright.handover.align import paper_data
from wattwright.handover.quick import quick_paper
from wattwright.job.edit import Edit
from wattwright.job.quick_load import as_load
from wattwright.store.jobs import Listed
from wattwright.store.store import Files
from wattwright.web.desk import Desk, free, slug
from wattwright.web.forms import Field, Form, fields_of, filled, plain_entries, to_write, typed, with_faults
from wattwright.web.held import HeldJob
from wattwright.web.links import Links
from wattwright.web.pages import Frame, QuickPage
from wattwright.web.posted import Posted
from wattwright.web.titles import title
from wattwright.web.words import words

_LABELS = {"load": "What it is", "a_day": "Switched a day", "senses": "By a probe", "ambient": "Warmest air", "length": "Cable"}


def quick_fields() -> tuple[Field, ...]:
    """The fields that describe a load, empty."""
    made = filled(fields_of(QuickSpec, "", plain_entries(QuickSpec)), {})
    named = (replace(one, label=_LABELS.get(one.name, one.label)) for one in made)
    return tuple(replace(one, kind="choice", choices=tuple(USUAL)) if one.name == "load" else one for one in named)


def quick_page(
    frame: Frame, jobs: Sequence[Listed], asked: Mapping[str, str], faults: tuple[Fault, ...] = ()
) -> tuple[QuickPage, int]:
    """The page for what was asked, nothing yet where no load was named, and its HTTP status."""
    fields = quick_fields()
    ask = Form("ask", words("quick.ask"), frame.links.quick, fields, words("do.ask"), asks=True)
    if "load" not in asked:
        return QuickPage(frame, {"sections": ()}, {}, words("not-answered") if faults else "", faults, (ask,)), 200
    fields = typed(fields, asked)
    try:
        made = answered(fields)
    except InputError as error:
        shown, left = with_faults(fields, error.faults)
        return QuickPage(frame, {"sections": ()}, {}, words("not-answered"), (*faults, *left), (replace(ask, fields=shown),)), 422
    paper = paper_data(quick_paper(made, Show(), dt.date.today().isoformat()))
    note = words("not-saved") if faults else ""
    keep = (_keep_form(frame, jobs, made, fields),) if jobs else ()
    return QuickPage(frame, paper, {}, note, faults, (*keep, replace(ask, fields=fields))), 200


def answered(fields: tuple[Field, ...]) -> Quick:
    """What to use for the load that the fields describe. Raises InputError with the fields that cannot be."""
    written = {one.name: value for one in fields if (value := to_write(one)) is not None}
    spec = validated(SpecText("", "", written, {}), QuickSpec, InputError)
    return quick(spec, generic_range())


def keep_load(desk: Desk, given: Posted, links: Links) -> str | InputError:
    """Add the load to the survey of the job that was chosen, and return where it stands; what refuses it instead."""
    job = given.values.get("job", "")
    try:
        made = answered(typed(quick_fields(), given.values))

        def edit(written: Edit, held: HeldJob) -> tuple[Files, str]:
            name = given.values.get("name", "").strip()[:80] or made.spec.load.capitalize()
            written.append("loads", as_load(made, name, free(slug(f"load-{name}" if not name[0].isalpha() else name), ids(held))))
            return {}, words("cause.load", name=name)

        desk.add(job, edit)
    except InputError as error:
        if error.faults[0].code.startswith("store."):
            raise
        return error
    return links.sheet(job, "survey", f"load-{len(desk.job(job).spec.loads) - 1}")


def ids(job: HeldJob) -> list[str]:
    """The ids of the loads of a job."""
    return [one.id for one in job.spec.loads]


def _keep_form(frame: Frame, jobs: Sequence[Listed], made: Quick, fields: tuple[Field, ...]) -> Form:
    choices = tuple(one.id for one in jobs)
    told = tuple(title(one)[0] for one in jobs)
    job = Field("job", words("quick.job"), "", "choice", value=choices[0], choices=choices, told=told)
    name = Field("name", words("quick.name"), words("quick.name.help"), "text", value=made.spec.load.capitalize())
    hidden = [(one.name, one.value) for one in fields] + [(f"{one.name}.unit", one.unit) for one in fields if one.unit]
    note = words("quick.keep.note")
    return Form("keep", words("quick.keep"), frame.links.keep, (job, name), words("do.keep"), note, hidden=tuple(hidden))
