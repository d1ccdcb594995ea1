"""What a visit brings into a job: photos of plates, and what was entered on the phone; each read beside the server, in bounds."""

import hashlib
from dataclasses import replace

from wattwright.core.errors import InputError
from wattwright.core.files import write_bytes
from wattwright.job.edit import Edit, no_entry
from wattwright.job.loads import MOST_PHOTOS
from wattwright.job.visited import attach, take
from wattwright.web.desk import Desk
from wattwright.web.links import Links
from wattwright.web.posted import Posted
from wattwright.web.showing import Tried
from wattwright.web.visit_forms import entered_of, entries_fields, entries_forms, kept_at, photo_form, read_form, typed_in
from wattwright.web.words import words


def photos_given(desk: Desk, id_: str, given: Posted, links: Links) -> Tried | str:
    """Attach photos to a load; return where they are shown, or why they are not kept."""
    job, at = desk.job(id_), given.number("index")
    if given.base != job.revision.number:
        return Tried(None, words("conflict.remove"))
    if at >= len(job.spec.loads):
        raise no_entry("loads", at)
    form = photo_form(job, at, links)
    if not given.files:
        return Tried(form, words("nothing-chosen"))
    if len(job.spec.loads[at].photos) + len(given.files) > MOST_PHOTOS:
        return Tried(form, words("survey.photos.many", count=MOST_PHOTOS))
    made = [desk.making.bench.photo(name, content) for name, content in given.files.items()]
    refused = tuple(fault for one in made for fault in one.faults)
    if refused:
        return Tried(form, words("not-taken-in"), refused)
    files: dict[str, bytes] = {}
    edit = Edit(job.revision.text)
    attach(edit, at, [one.content for one in made], frozenset(job.revision.files), files)
    desk.change(job, edit.text, words("cause.photo", name=job.spec.loads[at].name), files)
    return links.load(id_, at, f"photos-{at}")


def photo_removed(desk: Desk, id_: str, given: Posted, links: Links) -> Tried | str:
    """Take a photo out of a load; it can be taken back like every change."""
    job, at, number = desk.job(id_), given.number("index"), given.number("photo")
    if given.base != job.revision.number:
        return Tried(None, words("conflict.remove"))
    if at >= len(job.spec.loads) or number >= len(job.spec.loads[at].photos):
        raise no_entry("loads", at)
    load = job.spec.loads[at]
    gone, left = load.photos[number], [path for place, path in enumerate(load.photos) if place != number]
    elsewhere = [path for one in job.spec.loads if one.id != load.id for path in one.photos]
    take_out = () if gone in (*left, *elsewhere) else (gone,)

    def edit(made: Edit) -> None:
        made.set(f"loads.{at}.photos", left or None)

    desk.change(job, edit, words("cause.photo", name=load.name), take_out=take_out)
    return links.load(id_, at, f"photos-{at}")


def entries_given(desk: Desk, id_: str, given: Posted, links: Links) -> Tried | str:
    """Read what the phone saved; return where it is shown before anything is changed, or why it cannot be read."""
    job = desk.job(id_)
    form = read_form(job, links)
    if not given.files:
        return Tried(form, words("nothing-chosen"))
    name, content = next(iter(given.files.items()))
    made = desk.making.bench.entries(name, content)
    if made.faults:
        return Tried(form, words("not-taken-in"), made.faults)
    print_ = hashlib.sha256(made.content).hexdigest()
    path = kept_at(job, print_)
    assert path is not None  # a fingerprint, made here
    write_bytes(path, made.content)
    return links.entries(id_, print_)


def entries_taken(desk: Desk, id_: str, given: Posted, links: Links) -> Tried | str:
    """Take what was ticked of a visit into the job, as one change."""
    job, print_ = desk.job(id_), given.values.get("entries", "")
    if given.base != job.revision.number:
        return Tried(None, words("conflict.remove"))
    entered = entered_of(job, print_)
    if entered is None:
        return Tried(None, words("visit.gone"))
    form = entries_forms(job, print_, links)[0]
    now = typed_in(entered, given.values, form.fields)
    ticked = {name.removeprefix("take.") for name, value in given.values.items() if name.startswith("take.") and value == "yes"}
    # Whatever is refused stands there again as it was ticked and typed.
    fields = tuple(
        replace(one, value="yes" if one.name.removeprefix("take.") in ticked else "") if one.kind == "flag" else one
        for one in entries_fields(job, entered, now)
    )
    again = replace(form, fields=fields)
    if not ticked:
        return Tried(again, words("nothing-ticked"))
    edit = Edit(job.revision.text)
    files = take(now, edit, frozenset(ticked), frozenset(job.revision.files))
    try:
        desk.change(job, edit.text, words("cause.visit"), files)
    except InputError as error:
        beside = any(one.fault and one.name.split(".")[1] in ticked for one in fields)
        return Tried(again, words("not-saved"), () if beside else error.faults)
    return links.sheet(id_, "survey")
