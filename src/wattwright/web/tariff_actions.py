"""Changes of a tariff by its forms: the file is written anew and checked whole, or what is wrong is told beside its field."""

from collections.abc import Callable
from dataclasses import replace

from wattwright.core.errors import TariffError
from wattwright.job.edit import Edit, no_entry
from wattwright.tariff.load import parse_tariff
from wattwright.web.desk import Desk
from wattwright.web.entries import Many
from wattwright.web.forms import Field, Form, typed
from wattwright.web.groups import Group
from wattwright.web.held import HeldJob
from wattwright.web.links import Links
from wattwright.web.posted import Posted
from wattwright.web.showing import Tried
from wattwright.web.tariff_forms import (
    Place,
    new_tariff_entry,
    tariff_entries,
    tariff_file,
    tariff_form,
    tariff_group,
    tariff_place,
)
from wattwright.web.words import words

Answer = tuple[Tried, int, str] | str
"""What was tried, the HTTP status and the tariff it is of; or the address where to go on."""


def tariff_set(desk: Desk, id_: str, given: Posted, links: Links) -> Answer:
    """Set the entries of a group of a tariff."""
    job, place = _asked(desk, id_, given)
    edit = tariff_file(job, place[0]).edit
    one = tariff_group(given.values.get("group", ""), place[1], edit)
    if one is None:
        raise no_entry("the form", 0)
    form = tariff_form(job, place, one, edit, links)
    fields = one.compact(typed(form.fields, given.values))

    def write(made: Edit) -> None:
        for entry, value in list(one.written(fields, made)):
            made.set(entry, value)

    return _changed(desk, given, job, place, (form, one, fields), write, links)


def tariff_entry_added(desk: Desk, id_: str, given: Posted, links: Links) -> Answer:
    """Add an entry of those a tariff may have several of."""
    job, place = _asked(desk, id_, given)
    edit, many = tariff_file(job, place[0]).edit, _many(given, place)
    form, at = new_tariff_entry(job, place, many, edit, links), many.count(edit)
    one = many.group(at)
    fields = one.compact(typed(form.fields, given.placed(many.entry, at).values))
    new = many.made(fields, edit)
    return _changed(desk, given, job, place, (form, one, fields), lambda made: made.append(many.entry, new), links)


def tariff_entry_removed(desk: Desk, id_: str, given: Posted, links: Links) -> Answer:
    """Take an entry out of a tariff."""
    job, place = _asked(desk, id_, given)
    edit, many, index = tariff_file(job, place[0]).edit, _many(given, place), given.number("index")
    if index not in many.places(edit):
        raise no_entry(many.entry, index)
    title = words("entry.remove", what=words("entry.title", what=many.title, number=index + 1))
    form = Form(f"new-{many.id}", title, "", (), "")
    return _changed(desk, given, job, place, (form, None, ()), lambda made: made.remove(many.entry, index), links)


def _changed(
    desk: Desk, given: Posted, job: HeldJob, place: Place, tried: tuple[Form, Group | None, tuple[Field, ...]],
    write: Callable[[Edit], None], links: Links,
) -> Answer:  # fmt: skip
    """Save the file as it is to be; on another revision than the page showed, or with wrong entries, show what was typed."""
    (form, one, fields), look = tried, f"{place[0]}-{place[1]}"
    typed_form = replace(form, fields=fields, closed=False) if one is not None else None
    if given.base != job.revision.number:
        note = words("conflict") if one is not None else words("conflict.remove")
        return Tried(typed_form, note), 409, look
    file = tariff_file(job, place[0])
    name, before = str(file.edit.value(f"tariff.{place[1]}.name") or ""), file.edit.text
    write(file.edit)
    if file.edit.text == before:
        return links.tariff(job.id, *place, form.id)
    try:
        parse_tariff(file.edit.text, file.path)
    except TariffError as error:
        if one is None or typed_form is None:
            return Tried(None, words("not-saved"), error.faults), 422, look
        shown, left = one.told(fields, error.faults)
        return Tried(replace(typed_form, fields=shown), words("not-saved"), left), 422, look
    cause = words("cause.tariff-set", name=name, title=form.title)
    desk.change(job, job.revision.text, cause, {file.path: file.edit.text.encode()})
    return links.tariff(job.id, *place, form.id)


def _asked(desk: Desk, id_: str, given: Posted) -> tuple[HeldJob, Place]:
    job = desk.job(id_)
    place = tariff_place(job, f"{given.number('file')}-{given.number('entry')}")
    if place is None:
        raise no_entry("tariff", given.number("entry"))
    return job, place


def _many(given: Posted, place: Place) -> Many:
    many = next((one for one in tariff_entries(place[1]) if one.id == given.values.get("many")), None)
    if many is None:
        raise no_entry("the form", 0)
    return many
