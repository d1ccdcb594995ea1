"""The forms of each page of a job."""

from collections.abc import Iterator
from dataclasses import replace

from wattwright.job.look import Answered, Look
from wattwright.job.spec import FileSpec
from wattwright.web.entries import Many, many_of
from wattwright.web.errand import BUILD, PLAN, QUOTE
from wattwright.web.estimates import estimate_forms
from wattwright.web.forms import Field, Form
from wattwright.web.groups import Group, details_of, group, groups_of
from wattwright.web.held import HeldJob
from wattwright.web.links import FOUND, Links
from wattwright.web.open_job import OpenJob
from wattwright.web.proof_forms import proof_forms
from wattwright.web.simple_tariff import tariff_fields
from wattwright.web.tariff_forms import tariff_forms, tariff_place, tariffs_of
from wattwright.web.visit_forms import VISIT, entries_forms, photo_form, read_form
from wattwright.web.words import words

MODEL = "model"
"""The field of a load that has it simulated with the usual values of its kind."""
WEATHER_OF = {"weather.file": "plan", "measurement.weather": "proof"}
"""The page on which a weather file is given, by the entry that names it."""
_MOST_LOADS = 40
"""Loads whose forms stand on one page: each is 7 kB, and beyond these the page grows slow to make and to read."""
READINGS = ".csv,.txt,.tsv,.gz,.zip,.xlsx,.xls,.xml,.jsonl,.parquet"


def forms_of(job: HeldJob, sheet: str, links: Links, looked_at: str = "") -> tuple[Form, ...]:
    """The forms of a page that rest on the job file alone; of the survey all of one load where ``looked_at`` is its place."""
    if sheet == "tariff" and (place := tariff_place(job, looked_at)) is not None:
        return tuple(tariff_forms(job, place, links))
    if sheet == "survey" and looked_at == FOUND:
        return tuple(entry_forms(job, "survey", links))
    if sheet == "survey" and looked_at.startswith(VISIT):
        return entries_forms(job, looked_at.removeprefix(VISIT), links)
    if sheet == "survey" and (at := _place(looked_at, len(job.spec.loads))) is not None:
        return tuple(_of_load(job, at, links))
    makers = {
        "property": _of_property, "meter-files": _of_files, "survey": _of_survey, "tariff": _of_tariff, "plan": _of_plan,
        "gear": _of_gear, "supply": _of_supply, "handover": _of_handover, "proof": _of_proof,
    }  # fmt: skip
    return tuple(makers[sheet](job, links)) if sheet in makers else ()


def known_look(job: HeldJob, sheet: str, asked: str) -> str:
    """What a page is asked to look at, nothing where the job does not have it: an address may be older than the job is now.

    So nothing is made or kept for what anybody may write into an address.
    """
    known = (
        (sheet == "meter-files" and asked in {one.id for one in job.spec.files})
        or (sheet == "survey" and (asked == FOUND or asked.startswith(VISIT) or _place(asked, len(job.spec.loads)) is not None))
        or (sheet == "tariff" and tariff_place(job, asked) is not None)
    )
    return asked if known else ""


def questions_of(job: OpenJob, links: Links, looked_at: str) -> tuple[Form, ...]:
    """What the file with the id ``looked_at`` and files that cannot be read leave open, each answer tried."""
    open_ = [(index, file) for index, file in enumerate(job.spec.files) if file.id == looked_at or not _reads(job, file)]
    asked = (form for index, file in open_ for form in _questions(job, index, file, links))
    return (*asked, *estimate_forms(job, links))


def group_form(job: HeldJob, one: Group, links: Links, *, closed: bool = False, title: str = "") -> Form:
    """The form of a group, with what the job file says."""
    fields = one.fields(job.text)
    if one.id.startswith("load-"):
        fields = (*fields, model_field(one, job))
    return Form(
        one.id, title or one.title, links.act(job.id, "set"), fields, words("do.save"), closed=closed, hidden=(("group", one.id),)
    )


def model_field(one: Group, job: HeldJob | None) -> Field:
    """The field that says whether a load is simulated."""
    at = int(one.id.partition("-")[2])
    stands = job is not None and at < len(job.spec.loads) and job.spec.loads[at].model is not None
    return Field(f"loads.{at}.{MODEL}", words("field.model"), words("field.model.help"), "flag", value="yes" if stands else "")


def entry_forms(job: HeldJob, sheet: str, links: Links) -> Iterator[Form]:
    """The forms of a page's entries of which there may be several: each that is there, and of each kind a new one."""
    for many in many_of(sheet):
        for at in many.places(job.text):
            title = words("entry.title", what=many.title, number=at + 1)
            away = _removal(job, "remove-entry", at, words("entry.remove", what=title), links, many.id)
            yield replace(group_form(job, many.group(at), links, closed=True, title=title), beside=(away,))
        yield new_entry_form(job, many, links)


def new_entry_form(job: HeldJob, many: Many, links: Links) -> Form:
    """The form of an entry that is not in the job yet."""
    title, fields = words("entry.new", what=many.title), many.group(many.count(job.text)).fields(job.text)
    return Form(
        f"new-{many.id}", title, links.act(job.id, "add-entry"), fields, words("do.add-entry"), closed=True,
        hidden=(("many", many.id),), mark=f"{many.id}." if many.kind else "",
    )  # fmt: skip


def new_load_form(job: HeldJob, links: Links) -> Form:
    """The form of a load that is not in the job yet."""
    made = group(f"load-{len(job.spec.loads)}")
    assert made is not None  # a name that is always known
    fields = (*made.fields(job.text), model_field(made, None))
    more = ((links.found(job.id), words("survey.found")),) if job.spec.main_file() is not None else ()
    return Form("new-load", words("survey.new"), links.act(job.id, "add-load"), fields, words("do.add"), more=more)


def _of_property(job: HeldJob, links: Links) -> Iterator[Form]:
    for one in groups_of("property"):
        yield group_form(job, one, links)
    yield removal(job.id, links)


def removal(job: str, links: Links) -> Form:
    """The form that removes a job for good."""
    return Form(
        "remove", words("property.remove"), links.act(job, "remove"), (), words("do.remove-job"),
        note=words("property.remove.note"), closed=True,
    )  # fmt: skip


def _of_files(job: HeldJob, links: Links) -> Iterator[Form]:
    yield upload_form(job, links)
    for index, file in enumerate(job.spec.files):
        one = group(f"file-{index}")
        assert one is not None  # a name that is always known
        form = group_form(job, one, links, closed=True, title=words("files.reading", name=file.path))
        yield replace(form, beside=(_removal(job, "remove-file", index, words("files.remove", name=file.path), links),))
    for one in groups_of("meter-files"):
        yield group_form(job, one, links)


def upload_form(job: HeldJob, links: Links) -> Form:
    """The form that takes meter files."""
    first = job.spec.main_file() is None
    whose = ("main", "behind") if first else ("behind", "finer", "main")
    told = tuple(words(f"whose.{one}") for one in whose)
    field = Field("whose", words("field.whose"), words("field.whose.help"), "choice", value=whose[0], choices=whose, told=told)
    return Form(
        "upload", words("files.upload"), links.act(job.id, "add-files"), (field,), words("do.read"), files=words("files.choose"),
        many=True, accept=READINGS,
    )  # fmt: skip


def _reads(job: OpenJob, file: FileSpec) -> bool:
    from wattwright.core.errors import InputError

    try:
        job.assessment.record(file.id)
    except InputError:
        return False
    return True


def _questions(job: OpenJob, index: int, file: FileSpec, links: Links) -> Iterator[Form]:
    look = job.look(file)
    for number, asked in enumerate(look.asked if look is not None else ()):
        if not asked.answers:
            continue
        told = tuple(_outcome(job, one) for one in asked.answers)
        values = tuple(str(place) for place in range(len(told)))
        field = Field("choice", words("field.answer"), "", "choice", value="0", choices=values, told=told)
        hidden = (("file", str(index)), ("question", str(number)))
        title = words("files.question", name=file.path)
        note = asked.question.asks(job.assessment.show)
        yield Form(
            f"question-{index}-{number}", title, links.act(job.id, "answer"), (field,), words("do.answer"), note, hidden=hidden
        )


def _outcome(job: OpenJob, one: Answered) -> str:
    show, found = job.assessment.show, one.outcome
    if found is None:
        return words("answer.refused", choice=one.choice.words)
    told = {"choice": one.choice.words, "first": show.time(found.start_s), "last": show.time(found.end_s)}
    if found.energy_kwh == found.energy_kwh:
        return words("answer.energy", show, **told, energy=found.energy_kwh)
    return words("answer.other", show, **told)


def answer_of(look: Look, question: int, choice: int) -> dict[str, object]:
    """The entries of an answer. Raises IndexError for one there is not."""
    return dict(look.asked[question].answers[choice].choice.entries)


def _of_survey(job: HeldJob, links: Links) -> Iterator[Form]:
    yield new_load_form(job, links)
    yield read_form(job, links)
    if len(job.spec.loads) > _MOST_LOADS:
        named = tuple(
            Form(f"load-{at}", load.name, "", (), "", more=((links.load(job.id, at), load.name),))
            for at, load in enumerate(job.spec.loads)
        )
        yield Form("loads", words("survey.each"), "", (), "", beside=named)
        return
    for index, load in enumerate(job.spec.loads):
        more = ((links.load(job.id, index), words("survey.more", name=load.name)),)
        form = _load_form(job, index, links, closed=True)
        yield replace(form, beside=(photo_form(job, index, links), _load_removal(job, index, links)), more=more)


def _of_load(job: HeldJob, at: int, links: Links) -> Iterator[Form]:
    """All forms of one load, and the way back to the others."""
    name = job.spec.loads[at].name
    back = (links.sheet(job.id, "survey", f"load-{at}"), words("survey.all"))
    yield replace(_load_form(job, at, links), more=(back,))
    yield photo_form(job, at, links)
    for more in details_of(job.spec, at):
        yield group_form(job, more, links, title=words("survey.of", name=name, what=more.title))
    yield _load_removal(job, at, links)


def _load_form(job: HeldJob, at: int, links: Links, *, closed: bool = False) -> Form:
    one = group(f"load-{at}")
    assert one is not None  # a name that is always known
    return group_form(job, one, links, closed=closed, title=job.spec.loads[at].name)


def _load_removal(job: HeldJob, at: int, links: Links) -> Form:
    return _removal(job, "remove-load", at, words("survey.remove", name=job.spec.loads[at].name), links)


def _place(text: str, count: int) -> int | None:
    """The place that a text names, None where it names none."""
    known = text.isascii() and text.isdigit() and len(text) < 5 and int(text) < count
    return int(text) if known else None


def _removal(job: HeldJob, action: str, index: int, title: str, links: Links, many: str = "") -> Form:
    hidden = (("index", str(index)), *([("many", many)] if many else ()))
    id_ = "-".join(filter(None, (action, many, str(index))))
    return Form(id_, title, links.act(job.id, action), (), title, quiet=True, hidden=hidden)


def _of_tariff(job: HeldJob, links: Links) -> Iterator[Form]:
    if not job.spec.tariff.files:
        yield Form("simple", words("tariff.simple"), links.act(job.id, "simple-tariff"), tariff_fields(), words("do.save"))
    else:
        more = tuple((links.tariff(job.id, *place), words("tariff.more", name=name)) for place, name in tariffs_of(job))
        for one in groups_of("tariff"):
            yield replace(group_form(job, one, links), more=more)
    yield Form(
        "upload", words("tariff.upload"), links.act(job.id, "add-tariff"), (), words("do.read"), words("tariff.upload.note"),
        files=words("tariff.choose"), accept=".toml",
    )  # fmt: skip
    yield from entry_forms(job, "tariff", links)


def _of_plan(job: HeldJob, links: Links) -> Iterator[Form]:
    if job.spec.files and job.spec.loads:
        help_ = words("field.plans.help")
        plans = Field("plans", words("field.plans"), help_, "number", value="600", usual=words("field.plans.usual"))
        yield Form("seek", words("plan.seek"), links.act(job.id, f"begin-{PLAN}"), (plans,), words("do.seek"))
    for one in groups_of("plan"):
        yield group_form(job, one, links)
    yield weather_form(job, "weather.file", links)
    if job.spec.loads:
        yield from entry_forms(job, "plan", links)


def _of_gear(job: HeldJob, links: Links) -> Iterator[Form]:
    for one in groups_of("gear"):
        yield group_form(job, one, links)


def _of_supply(job: HeldJob, links: Links) -> Iterator[Form]:
    if job.spec.files:
        yield Form("seek", words("supply.seek"), links.act(job.id, f"begin-{QUOTE}"), (), words("do.quote"))
    for one in groups_of("supply"):
        yield group_form(job, one, links, closed=one.id not in ("quote", "prices"))
    yield from entry_forms(job, "supply", links)


def _of_handover(job: HeldJob, links: Links) -> Iterator[Form]:
    if job.spec.files:
        yield Form("build", words("handover.build"), links.act(job.id, f"begin-{BUILD}"), (), words("do.build"))


def _of_proof(job: HeldJob, links: Links) -> Iterator[Form]:
    yield from proof_forms(job, links, READINGS)
    for one in groups_of("proof"):
        yield group_form(job, one, links, closed=job.assessment.frozen_text() is not None)
    yield weather_form(job, "measurement.weather", links)
    yield from entry_forms(job, "proof", links)


def weather_form(job: HeldJob, entry: str, links: Links) -> Form:
    """The form that takes a weather file, which an entry of the job file then names."""
    what = WEATHER_OF[entry]
    return Form(
        "weather-file", words(f"weather.{what}"), links.act(job.id, "add-weather"), (), words("do.keep-weather"),
        words(f"weather.{what}.note"), closed=True, hidden=(("entry", entry),), files=words("weather.choose"),
        accept=READINGS + ",.epw,.tm2",
    )  # fmt: skip


def with_fields(form: Form, fields: tuple[Field, ...]) -> Form:
    """The form with other fields, open."""
    return replace(form, fields=fields, closed=False)
