"""The forms of a visit: photos of a load's plate, the file that the phone saved, and what of it is to be taken."""

import re
from pathlib import Path

from wattwright.job.visited import Entered, Proposed, proposed, survey_print
from wattwright.web.forms import Field, Form, Photo
from wattwright.web.held import HeldJob
from wattwright.web.links import Links
from wattwright.web.words import words

VISIT = "visit-"
"""How the page of the survey is asked to show what was entered on a visit."""
_PRINT = re.compile(r"[0-9a-f]{64}")


def photo_form(job: HeldJob, at: int, links: Links) -> Form:
    """The form that attaches photos to a load, with those that are there."""
    load = job.spec.loads[at]
    shown = []
    for number, path in enumerate(load.photos):
        title = words("survey.photos.remove", count=number + 1)
        hidden = (("index", str(at)), ("photo", str(number)))
        away = Form(f"remove-photo-{at}-{number}", title, links.act(job.id, "remove-photo"), (), title, quiet=True, hidden=hidden)
        alt = words("survey.photos.alt", name=load.name, count=number + 1)
        shown.append(Photo(links.photo(job.id, path.rpartition("/")[2]), alt, away))
    return Form(
        f"photos-{at}", words("survey.photos", name=load.name), links.act(job.id, "add-photos"), (), words("do.attach"),
        hidden=(("index", str(at)),), files=words("survey.photos.choose"), many=True, accept="image/jpeg,image/png",
        photos=tuple(shown),
    )  # fmt: skip


def read_form(job: HeldJob, links: Links) -> Form:
    """The form that takes the file which the survey on the phone saved."""
    return Form(
        "read-survey", words("visit.read"), links.act(job.id, "read-survey"), (), words("do.read"), words("visit.read.note"),
        files=words("visit.read.choose"), accept=".json", closed=True,
    )  # fmt: skip


def kept_at(job: HeldJob, print_: str) -> Path | None:
    """Where what was entered is kept until it is taken, None for what is no fingerprint."""
    return job.results / "visits" / f"{print_}.json" if _PRINT.fullmatch(print_) else None


def entered_of(job: HeldJob, print_: str) -> Entered | None:
    """What was entered on a visit, None where it is not kept any more."""
    path = kept_at(job, print_)
    if path is None or not path.is_file():
        return None
    return Entered.model_validate_json(path.read_bytes())


def entries_forms(job: HeldJob, print_: str, links: Links) -> tuple[Form, ...]:
    """The form in which each change of a visit is taken or left; where it is gone, the form that reads it anew."""
    entered = entered_of(job, print_)
    back = (links.sheet(job.id, "survey"), words("visit.back"))
    if entered is None:
        gone = read_form(job, links)
        return (Form(gone.id, gone.title, gone.action, (), gone.button, words("visit.gone"), files=gone.files, more=(back,)),)
    changes = proposed(entered, job.revision.text)
    notes = [words("visit.take.note" if changes else "visit.nothing")]
    if entered.job != job.spec.name:
        notes.insert(0, words("visit.other-job", name=entered.job[:80]))
    elif entered.made_from != survey_print(job.spec):
        notes.append(words("visit.changed-since"))
    if not changes:
        gone = read_form(job, links)
        return (
            Form(gone.id, words("visit.take"), gone.action, (), gone.button, " ".join(notes), files=gone.files, more=(back,)),
        )
    fields = tuple(_field(one) for one in changes)
    hidden = (("entries", print_),)
    action = links.act(job.id, "take-survey")
    return (Form("entries", words("visit.take"), action, fields, words("do.take"), " ".join(notes), hidden=hidden, more=(back,)),)


def _field(one: Proposed) -> Field:
    name = words("visit.supply") if one.key == "supply" else words("visit.new", name=one.name) if one.is_new else one.name
    told = [
        words("visit.line" if line.before else "visit.line.new", entry=line.entry, before=line.before, after=line.after)
        for line in one.lines
    ]
    told += [words("visit.photos", count=one.photos)] if one.photos else []
    return Field(f"take.{one.key}", name, "; ".join(told), "flag", value="" if one.wrong else "yes", fault=one.wrong)
