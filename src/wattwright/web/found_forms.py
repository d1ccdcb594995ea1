"""Loads found in the readings at the desk: each can be taken into the survey, or be said to be none."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from wattwright.demand.switched.analyse import SwitchedLoad
from wattwright.handover.found import found_loads, may_be, when_on
from wattwright.job.found import level_of, proposed, taken_as
from wattwright.job.refused import without_refused
from wattwright.web.entries import MANY
from wattwright.web.forms import Form, filled
from wattwright.web.groups import hours_rows
from wattwright.web.held import HeldJob
from wattwright.web.links import FOUND, Links
from wattwright.web.open_job import OpenJob
from wattwright.web.page_forms import new_entry_form, new_load_form
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper
from wattwright.web.words import words


def found_sheet(job: OpenJob) -> Made:
    """The page of what switches in the readings. Raises InputError where they cannot be worked out."""
    if job.spec.main_file() is None:
        return paper(job, "survey", [nothing_yet("demand", "file")])
    kept, refused = without_refused(job.assessment.switched(), job.spec.not_loads)
    return paper(job, "survey", [found_loads(context_of(job), kept, refused)])


def found_forms(job: OpenJob, links: Links) -> Iterator[Form]:
    """For each load found: the form of a new load that holds what is known of it, and the form that says it is none."""
    if job.spec.main_file() is None:
        return
    kept, _ = without_refused(job.assessment.switched(), job.spec.not_loads)
    context, days, clock = context_of(job), job.assessment.demand().days, job.assessment.job.clock
    for one in kept.loads:
        if taken_as(one, job.spec.loads) is not None:
            continue
        told = {"power": one.level_w, "when": when_on(context, one), "fits": may_be(context, one)}
        note = words("found.note", job.assessment.show, **told)
        title = words("found.take", job.assessment.show, power=one.level_w)
        yield replace(_taken(job, one, proposed(one, days, clock), links), title=title, note=note)
        yield replace(_refused(job, one, links), title=words("found.refuse", job.assessment.show, power=one.level_w))


def _taken(job: HeldJob, one: SwitchedLoad, entry: Mapping[str, Any], links: Links) -> Form:
    """The form of a new load with the proposed entry in it, its hours as lines that can be corrected."""
    bare, at, hours = new_load_form(job, links), len(job.spec.loads), entry.get("hours", ())
    rows = hours_rows(at, more=1)
    lines = filled(rows.fields_for(len(hours) + rows.more), rows.values_of(hours))
    made = _filled(replace(bare, more=()), one, f"loads.{at}", entry, "take")
    return replace(made, fields=(*made.fields, *lines))


def _refused(job: HeldJob, one: SwitchedLoad, links: Links) -> Form:
    many = MANY["not-load"]
    bare = new_entry_form(job, many, links)
    return _filled(bare, one, f"{many.entry}.{many.count(job.text)}", {"level": level_of(one)}, "refuse")


def _filled(bare: Form, one: SwitchedLoad, place: str, values: Mapping[str, Any], what: str) -> Form:
    """The form, closed, with values in its fields and ids of its own."""
    known = {f"{place}.{name}": value for name, value in values.items()}
    fields = tuple(filled((field,), known)[0] if field.name in known else field for field in bare.fields)
    id_ = f"{what}-{one.id}"
    return replace(bare, id=id_, fields=fields, closed=True, mark=f"{id_}.", hidden=(*bare.hidden, ("back", FOUND)))
