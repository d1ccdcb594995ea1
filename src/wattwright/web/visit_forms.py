"""The forms of a visit: photos of a load's plate, the file that the phone saved, and what of it is to be taken."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from wattwright.handover.phone import load_fields, supply_fields
from wattwright.job.visited import LOAD, SUPPLY, Entered, Proposed, entries_of, mended, proposed, survey_print
from wattwright.web.forms import Field, Form, Kind, Photo, told, typed
from wattwright.web.groups import label_of
from wattwright.web.held import HeldJob
from wattwright.web.links import Links
from wattwright.web.words import words

VISIT = "visit-"
"""How the page of the survey is asked to show what was entered on a visit."""
_MEND = "mend."
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
    fields = entries_fields(job, entered, entered)
    notes = [words("visit.take.note" if fields else "visit.nothing")]
    if entered.job != job.spec.name:
        notes.insert(0, words("visit.other-job", name=entered.job[:80]))
    elif entered.made_from != survey_print(job.spec):
        notes.append(words("visit.changed-since"))
    if not fields:
        gone = read_form(job, links)
        return (
            Form(gone.id, words("visit.take"), gone.action, (), gone.button, " ".join(notes), files=gone.files, more=(back,)),
        )
    if any(one.fault for one in fields):
        notes.append(words("visit.mend.note"))
    hidden = (("entries", print_),)
    action = links.act(job.id, "take-survey")
    return (Form("entries", words("visit.take"), action, fields, words("do.take"), " ".join(notes), hidden=hidden, more=(back,)),)


def entries_fields(job: HeldJob, entered: Entered, now: Entered) -> tuple[Field, ...]:
    """The fields of what was entered: each change to be ticked, and under it what of it cannot be taken, to be mended.

    ``now`` is the same with what was mended so far; what was wrong once stays a field.
    """
    first = {one.key: one for one in proposed(entered, job.revision.text)}
    fields: list[Field] = []
    for one in proposed(now, job.revision.text):
        fields.append(_tick(one))
        was = first.get(one.key)
        wrong = dict.fromkeys(name for slip in (*(was.wrong if was else ()), *one.wrong) for name in slip.entries)
        asked = {field["name"]: field for field in (supply_fields() if one.key == "supply" else load_fields())}
        fields += [_mend(one, asked[name], entries_of(now, one.key).get(name, "")) for name in asked if name in wrong]
    return tuple(fields)


def typed_in(entered: Entered, given: Mapping[str, str], fields: tuple[Field, ...]) -> Entered:
    """What was entered, with what was typed into the fields that mend it."""
    texts: dict[str, dict[str, str]] = {}
    for one in typed((field for field in fields if field.name.startswith(_MEND) and field.name in given), given):
        key, _, name = one.name.removeprefix(_MEND).partition(".")
        text = one.value.strip()
        texts.setdefault(key, {})[name] = f"{text} {one.unit}" if text and one.unit else text
    return mended(entered, texts)


def _tick(one: Proposed) -> Field:
    lines = [
        words("visit.line" if line.before else "visit.line.new", entry=label_of(line.entry), before=line.before, after=line.after)
        for line in one.lines
    ]
    lines += [words("visit.photos", count=one.photos)] if one.photos else []
    return Field(f"take.{one.key}", _named(one), "; ".join(lines), "flag", value="yes")


def _named(one: Proposed) -> str:
    return words("visit.supply") if one.key == "supply" else words("visit.new", name=one.name) if one.is_new else one.name


def _mend(one: Proposed, asked: Mapping[str, Any], text: str) -> Field:
    """The field that mends an entry of a change, made as the phone asks for it, with why it cannot be taken."""
    units = tuple(asked.get("units") or filter(None, [asked.get("unit")]))
    unit = next((unit for unit in units if text.endswith(f" {unit}")), units[0] if units else "")
    value = text.removesuffix(f" {unit}") if unit else text
    choices = ("", *asked["choices"]) if "choices" in asked else ()
    # Where it cannot be said which entry is meant, each may be, and the first says why.
    slips = [slip for slip in one.wrong if asked["name"] in slip.entries]
    fault = " ".join(dict.fromkeys(told(slip.fault) for slip in slips if asked["name"] == slip.entries[0]))
    entry = (SUPPLY if one.key == "supply" else LOAD).get(asked["name"])
    named = asked["label"] if entry is None else label_of(entry)
    label = words("visit.mend", name=one.name or words("visit.supply"), label=named)
    kind: Kind = "choice" if choices else "quantity" if units else "number" if asked.get("whole") else "text"
    return Field(
        f"{_MEND}{one.key}.{asked['name']}", label, asked.get("help", ""), kind, value=value, unit=unit, units=units,
        choices=choices, fault=fault,
    )  # fmt: skip
