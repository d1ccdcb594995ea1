"""What a person can change from the pages of a job, each by its name: saved as a revision, or told why not."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from wattwright.core.errors import Fault, InputError, JobError, StoreError
from wattwright.job.edit import Edit, no_entry
from wattwright.store.named import require_short
from wattwright.store.paths import name_of
from wattwright.store.runs import RunState
from wattwright.store.store import Files
from wattwright.web.desk import Desk, add_files, empty_table, free, is_conflict, slug
from wattwright.web.entries import MANY, Many, entry_group
from wattwright.web.errand import BUILD, FREEZE, PLAN, PROVE, QUOTE
from wattwright.web.estimates import judged
from wattwright.web.forms import Field, Form, changes, typed, with_faults
from wattwright.web.groups import Group, detail, group, hours_rows
from wattwright.web.held import HeldJob
from wattwright.web.links import FOUND, SHEETS, Links
from wattwright.web.page_forms import (
    MODEL,
    WEATHER_OF,
    answer_of,
    forms_of,
    group_form,
    new_entry_form,
    new_load_form,
    with_fields,
)
from wattwright.web.posted import Posted
from wattwright.web.proof_actions import frozen, record_given
from wattwright.web.showing import Tried
from wattwright.web.simple_tariff import tariff_fields, tariff_text
from wattwright.web.tariff_actions import Answer, tariff_entry_added, tariff_entry_removed, tariff_set
from wattwright.web.visit_actions import entries_given, entries_taken, photo_removed, photos_given
from wattwright.web.words import words

_MOST_PLANS = 100_000


@dataclass(frozen=True, slots=True)
class Went:
    """An action that was carried out, and where to go on."""

    address: str


@dataclass(frozen=True, slots=True)
class Refused:
    """An action that was not: the page it belongs to, what was tried, the HTTP status, and what the page looks at."""

    sheet: str
    tried: Tried
    status: int = 422
    look: str = ""


Done = Went | Refused


class Actions:
    """The actions of one desk."""

    def __init__(self, desk: Desk, links: Links) -> None:
        self._desk, self._links = desk, links
        self._by_name: Mapping[str, Callable[[str, Posted], Done]] = {
            "set": self._set, "undo": self._undo, "redo": self._redo, "remove": self._remove, "add-files": self._add_files,
            "remove-file": self._remove_file, "answer": self._answer, "add-load": self._add_load,
            "remove-load": self._remove_load,
            "add-entry": self._add_entry, "remove-entry": self._remove_entry,
            "set-tariff": self._on_tariff(tariff_set), "add-tariff-entry": self._on_tariff(tariff_entry_added),
            "remove-tariff-entry": self._on_tariff(tariff_entry_removed),
            "estimates": self._estimates,
            "add-weather": self._add_weather, "add-tariff": self._add_tariff, "simple-tariff": self._simple_tariff,
            f"begin-{PLAN}": self._begin(PLAN, "plan"), f"begin-{QUOTE}": self._begin(QUOTE, "supply"),
            f"begin-{BUILD}": self._begin(BUILD, "handover"), "stop": self._stop, f"begin-{FREEZE}": self._begin(FREEZE, "proof"),
            f"begin-{PROVE}": self._begin(PROVE, "proof"), "freeze": self._on_proof(frozen),
            "add-after": self._on_proof(record_given), "add-photos": self._on_survey(photos_given),
            "remove-photo": self._on_survey(photo_removed), "read-survey": self._on_survey(entries_given),
            "take-survey": self._on_survey(entries_taken),
        }  # fmt: skip

    def names(self) -> tuple[str, ...]:
        """The names of all actions."""
        return tuple(self._by_name)

    def do(self, job: str, name: str, given: Posted) -> Done | None:
        """Carry out an action, None where there is none of that name. Raises InputError."""
        action = self._by_name.get(name)
        return None if action is None else action(job, given)

    def _set(self, id_: str, given: Posted) -> Done:
        """Set the entries of a group; on another revision than the page showed they are shown again and not saved."""
        job = self._desk.job(id_)
        asked = given.values.get("group", "")
        one = detail(asked, job.spec) or entry_group(asked, job.text) or group(asked)
        if one is None or not _stands(one, job):
            raise no_entry("the form", 0)
        form = group_form(job, one, self._links)
        fields = one.compact(typed(form.fields, given.values))
        if job.revision.number != given.base:
            return self._conflict(job, one, fields, given.base)
        try:
            self._desk.change(job, lambda edit: _write(edit, one, fields), words("cause.set", title=form.title))
        except JobError as error:
            shown, left = one.told(fields, error.faults)
            return Refused(one.sheet, Tried(with_fields(form, shown), words("not-saved"), left))
        except InputError as error:
            if not is_conflict(error):
                raise
            return self._conflict(self._desk.job(id_), one, fields, given.base)
        if detail(one.id, job.spec) is not None:
            return Went(self._links.load(id_, int(one.id.partition("-")[2]), one.id))
        return self._to(id_, one.sheet, one.id)

    def _conflict(self, job: HeldJob, one: Group, fields: tuple[Field, ...], base: int) -> Refused:
        """Show the entries as they are now, and over them what the person changed since the revision of the page."""
        form = group_form(job, one, self._links)
        seen = one.fields(Edit(self._desk.store.revision(job.id, base).text))
        before = {field.name: (field.value, field.unit) for field in seen}
        typed_now = {field.name: field for field in fields if before.get(field.name) != (field.value, field.unit)}
        both = tuple(
            replace(field, value=typed_now[field.name].value, unit=typed_now[field.name].unit)
            if field.name in typed_now
            else field
            for field in form.fields
        )
        return Refused(one.sheet, Tried(with_fields(form, both), words("conflict")), 409)

    def _undo(self, id_: str, given: Posted) -> Done:
        self._desk.store.undo(id_, given.base)
        return self._to(id_, given.values.get("sheet", ""))

    def _redo(self, id_: str, given: Posted) -> Done:
        self._desk.store.redo(id_, given.base)
        return self._to(id_, given.values.get("sheet", ""))

    def _remove(self, id_: str, given: Posted) -> Done:
        self._desk.remove(id_, given.base)
        return Went(self._links.start)

    def _add_files(self, id_: str, given: Posted) -> Done:
        if not given.files:
            return self._nothing_chosen(id_, "meter-files", "upload")
        whose = given.values.get("whose", "behind")

        def edit(made: Edit, job: HeldJob) -> tuple[Files, str]:
            named = add_files(made, given.files, whose, tuple(job.revision.files))
            return named, words("cause.files", names=", ".join(named))

        self._desk.add(id_, edit)
        return self._to(id_, "meter-files")

    def _remove_file(self, id_: str, given: Posted) -> Done:
        job, index = self._desk.job(id_), given.number("index")
        if given.base != job.revision.number:
            return Refused("meter-files", Tried(None, words("conflict.remove")), 409)
        if index >= len(job.spec.files):
            raise no_entry("files", index)
        path = job.spec.files[index].path
        self._desk.change(job, lambda edit: edit.remove("files", index), words("cause.remove", name=path), take_out=(path,))
        return self._to(id_, "meter-files")

    def _answer(self, id_: str, given: Posted) -> Done:
        """Write the answer to an open question of a meter file into the job file."""
        job, index = self._desk.job(id_), given.number("file")
        if given.base != job.revision.number:
            return Refused("meter-files", Tried(None, words("conflict.remove")), 409)
        if index >= len(job.spec.files):
            raise no_entry("files", index)
        file = job.spec.files[index].id
        pages = [one for (name, _), one in job.pages.items() if name == "meter-files" and file in one.looks]
        if not pages:
            # The desk was started anew since: the file is looked at once more.
            return Went(self._links.looked(id_, file))
        look = pages[-1].looks[file]
        try:
            entries = {} if look is None else answer_of(look, given.number("question"), given.number("choice"))
        except IndexError as error:
            raise no_entry("files", index) from error
        self._desk.change(
            job, lambda edit: _write_answer(edit, index, entries), words("cause.answer", name=job.spec.files[index].path)
        )
        return self._to(id_, "meter-files")

    def _estimates(self, id_: str, given: Posted) -> Done:
        """Take or refuse all estimates of a rule."""
        job, rule, take = self._desk.job(id_), given.values.get("rule", ""), given.values.get("take") == "yes"
        if given.base != job.revision.number:
            return Refused("meter-files", Tried(None, words("conflict.remove")), 409)
        cause = words("cause.estimates.taken" if take else "cause.estimates.refused", rule=rule)
        self._desk.change(job, lambda edit: judged(edit, job.spec.repair, rule, take=take), cause)
        return self._to(id_, "meter-files")

    def _add_load(self, id_: str, given: Posted) -> Done:
        """Add a load on whatever revision holds."""
        seen = self._desk.job(id_)
        at = len(seen.spec.loads)
        form, rows, named = new_load_form(seen, self._links), hours_rows(at), given.placed("loads", at).values
        lines = rows.compact(typed(rows.fields_for(rows.lines_in(named)), named))
        plain = typed(form.fields, named)
        begins, hours = f"loads.{at}.", rows.written(lines)
        fields = (*plain, *lines)

        def edit(made: Edit, job: HeldJob) -> tuple[Files, str]:
            values = dict(_new(plain, begins, [one.id for one in job.spec.loads]))
            values |= {"hours": hours} if hours else {}
            made.append("loads", values)
            return {}, words("cause.load", name=str(values.get("name", "")))

        try:
            self._desk.add(id_, edit)
        except JobError as error:
            back = (("back", FOUND),) if self._back(id_, given) else ()
            return _refused("survey", replace(form, hidden=back), fields, error.faults)
        return self._back(id_, given) or self._to(id_, "survey", "new-load")

    def _back(self, id_: str, given: Posted) -> Went | None:
        """The page of found loads, where what was said came from it: the next of them waits there."""
        return Went(self._links.found(id_)) if given.values.get("back") == FOUND else None

    def _remove_load(self, id_: str, given: Posted) -> Done:
        job, index = self._desk.job(id_), given.number("index")
        if given.base != job.revision.number:
            return Refused("survey", Tried(None, words("conflict.remove")), 409)
        if index >= len(job.spec.loads):
            raise no_entry("loads", index)
        name = job.spec.loads[index].name
        self._desk.change(job, lambda edit: edit.remove("loads", index), words("cause.remove", name=name))
        return self._to(id_, "survey")

    def _add_entry(self, id_: str, given: Posted) -> Done:
        """Add an entry of those a job may have several of, on whatever revision holds."""
        seen, many = self._desk.job(id_), _many(given)
        form, at = new_entry_form(seen, many, self._links), many.count(seen.text)
        fields = many.group(at).compact(typed(form.fields, given.placed(many.entry, at).values))
        new = many.made(fields, seen.text)

        def edit(made: Edit, _job: HeldJob) -> tuple[Files, str]:
            made.append(many.entry, new)
            return {}, words("cause.entry", what=many.title)

        try:
            self._desk.add(id_, edit)
        except JobError as error:
            return _refused(many.sheet, form, fields, error.faults)
        return self._back(id_, given) or self._to(id_, many.sheet, form.id)

    def _remove_entry(self, id_: str, given: Posted) -> Done:
        job, many, index = self._desk.job(id_), _many(given), given.number("index")
        if given.base != job.revision.number:
            return Refused(many.sheet, Tried(None, words("conflict.remove")), 409)
        if index not in many.places(job.text):
            raise no_entry(many.entry, index)
        title = words("entry.title", what=many.title, number=index + 1)
        self._desk.change(job, lambda edit: edit.remove(many.entry, index), words("cause.remove", name=title))
        return self._to(id_, many.sheet, f"new-{many.id}")

    def _add_weather(self, id_: str, given: Posted) -> Done:
        """Keep a weather file in the job and have an entry name it, in place of the one that it named."""
        entry = given.values.get("entry", "")
        if entry not in WEATHER_OF:
            raise no_entry("the form", 0)
        if not given.files:
            return self._nothing_chosen(id_, WEATHER_OF[entry], "weather-file")
        name, content = next(iter(given.files.items()))

        def edit(made: Edit, job: HeldJob) -> tuple[Files, str]:
            path = free(name_of(name), tuple(job.revision.files))
            made.set(entry, path)
            return {path: content}, words("cause.weather", name=path)

        self._desk.add(id_, edit)
        return self._to(id_, WEATHER_OF[entry], entry)

    def _add_tariff(self, id_: str, given: Posted) -> Done:
        if not given.files:
            return self._nothing_chosen(id_, "tariff", "upload")
        for name, content in given.files.items():
            faults = _wrong_tariff(self._desk, name, content)
            if faults:
                return Refused("tariff", Tried(None, words("tariff.wrong", name=name), faults))
        return self._keep_tariff(id_, given.files)

    def _simple_tariff(self, id_: str, given: Posted) -> Done:
        fields = typed(tariff_fields(), given.values)
        text, faults = tariff_text(fields)
        if faults:
            form = next(one for one in forms_of(self._desk.job(id_), "tariff", self._links) if one.id in ("simple", "tariff"))
            return _refused("tariff", replace(form, id="simple"), fields, faults)
        return self._keep_tariff(id_, {"tariff.toml": text.encode()})

    def _keep_tariff(self, id_: str, files: Mapping[str, bytes]) -> Done:
        def edit(made: Edit, job: HeldJob) -> tuple[Files, str]:
            named: dict[str, bytes] = {}
            for name, content in files.items():
                stem = slug(name.removesuffix(".toml"))
                named[free(f"{stem}.toml", (*job.revision.files, *named))] = content
            made.set("tariff.files", [*(made.value("tariff.files") or []), *named])
            return named, words("cause.tariff", names=", ".join(named))

        self._desk.add(id_, edit)
        return self._to(id_, "tariff")

    def _begin(self, kind: str, sheet: str) -> Callable[[str, Posted], Done]:
        def begin(id_: str, given: Posted) -> Done:
            job = self._desk.job(id_)
            plans = given.values.get("plans", "").strip()
            asked = {}
            if kind == PLAN and plans:
                if not (plans.isascii() and plans.isdigit() and 1 <= int(plans[:9]) <= _MOST_PLANS):
                    fault = Fault("desk.plans", job.job.place("plans"), found=plans, wanted=words("wanted.plans"))
                    form = next(one for one in forms_of(job, sheet, self._links) if one.id == "seek")
                    return _refused(sheet, form, typed(form.fields, given.values), (fault,))
                asked["plans"] = int(plans)
            self._desk.begin(id_, job.revision.number, kind, json.dumps(asked))
            return self._to(id_, sheet, "run")

        return begin

    def _on_proof(self, act: Callable[[Desk, str, Posted, Links], tuple[Tried, int] | None]) -> Callable[[str, Posted], Done]:
        def on_proof(id_: str, given: Posted) -> Done:
            refused = act(self._desk, id_, given, self._links)
            return Refused("proof", *refused) if refused is not None else self._to(id_, "proof", "run")

        return on_proof

    def _on_tariff(self, act: Callable[[Desk, str, Posted, Links], Answer]) -> Callable[[str, Posted], Done]:
        def on_tariff(id_: str, given: Posted) -> Done:
            made = act(self._desk, id_, given, self._links)
            return Went(made) if isinstance(made, str) else Refused("tariff", *made)

        return on_tariff

    def _on_survey(self, act: Callable[[Desk, str, Posted, Links], Tried | str]) -> Callable[[str, Posted], Done]:
        """An action of a visit; where it is refused because of another change, that is a conflict."""

        def on_survey(id_: str, given: Posted) -> Done:
            made = act(self._desk, id_, given, self._links)
            return (
                Went(made)
                if isinstance(made, str)
                else Refused("survey", made, 409 if made.note == words("conflict.remove") else 422)
            )

        return on_survey

    def _stop(self, id_: str, given: Posted) -> Done:
        run = next((one for one in self._desk.store.open_runs() if one.id == given.values.get("run") and one.job == id_), None)
        if run is not None and run.state is not RunState.STOPPING:
            self._desk.store.stop(run.id)
        return self._to(id_, given.values.get("sheet", ""), "run")

    def _nothing_chosen(self, id_: str, sheet: str, form: str) -> Refused:
        shown = next(one for one in forms_of(self._desk.job(id_), sheet, self._links) if one.id == form)
        return Refused(sheet, Tried(shown, words("nothing-chosen")))

    def _to(self, id_: str, sheet: str, field: str = "") -> Went:
        return Went(self._links.sheet(id_, sheet if sheet in SHEETS else SHEETS[0], field))


def _refused(sheet: str, form: Form, fields: tuple[Field, ...], faults: tuple[Fault, ...]) -> Refused:
    shown, left = with_faults(fields, faults)
    return Refused(sheet, Tried(with_fields(form, shown), words("not-saved"), left))


def _many(given: Posted) -> Many:
    many = MANY.get(given.values.get("many", ""))
    if many is None:
        raise no_entry("the form", 0)
    return many


def _stands(one: Group, job: HeldJob) -> bool:
    """Whether what a group changes is there: the load or the meter file of its number."""
    name, _, number = one.id.partition("-")
    counts = {"file": len(job.spec.files), "load": len(job.spec.loads)}
    return name not in counts or int(number) < counts[name]


def _write(edit: Edit, one: Group, fields: tuple[Field, ...]) -> None:
    """Write what differs; the model of a load is a table that is there or not."""
    plain = tuple(field for field in fields if not field.name.endswith(f".{MODEL}"))
    for entry, value in list(one.written(plain, edit)):
        edit.set(entry, value)
    for field in fields:
        if field.name.endswith(f".{MODEL}"):
            _write_model(edit, field)
    name, _, at = one.id.partition("-")
    if name == MODEL and edit.value(f"loads.{at}.{MODEL}") is None:
        edit.set(f"loads.{at}.{MODEL}", empty_table())  # a load with all the usual values is simulated all the same


def _write_model(edit: Edit, field: Field) -> None:
    stands = edit.value(field.name) is not None
    if field.value == "yes" and not stands:
        edit.set(field.name, empty_table())
    elif field.value != "yes" and stands:
        edit.set(field.name, None)


def _new(fields: tuple[Field, ...], begins: str, taken: list[str]) -> "list[tuple[str, object]]":
    """The entries of a new load, its id made of its name."""
    written = list(changes(fields, {}))
    named = [(name.removeprefix(begins), value) for name, value in written if value is not None]
    name = next((str(value) for key, value in named if key == "name"), "load")
    found: list[tuple[str, object]] = [("id", free(slug(name), taken))]
    for key, value in named:
        if key != MODEL:
            found.append((key, value))
        elif value:
            found.append((key, empty_table()))
    return found


def _write_answer(edit: Edit, index: int, entries: Mapping[str, object]) -> None:
    for entry, value in entries.items():
        if entry == "layout.columns" and isinstance(value, list):
            named = {spec["column"] for spec in value}
            before = edit.value(f"files.{index}.layout.columns") or []
            value = [*(spec for spec in before if spec["column"] not in named), *value]
        edit.set(entry if entry.startswith("site.") else f"files.{index}.{entry}", value)


def _wrong_tariff(desk: Desk, name: str, content: bytes) -> tuple[Fault, ...]:
    """What is wrong with a tariff file, with its lines; it is read beside the server."""
    try:
        require_short(len(content), name)
    except StoreError as error:
        return error.faults
    try:
        content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return (Fault("desk.tariff-text", no_entry("tariff", 0).faults[0].place, found=name, wanted=words("wanted.text")),)
    return desk.making.bench.text(content, "tariff", name).faults
