"""What was entered on the visit, in a file of our own: read with care, and shown as changes of the job before any is made."""

import base64
import binascii
import datetime as dt
import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from wattwright.core.errors import Fault, InputError, Place, quoted
from wattwright.core.fingerprint import fingerprint
from wattwright.job.document import tables_in_line
from wattwright.job.edit import Edit
from wattwright.job.file import FILE_NAME
from wattwright.job.loads import KINDS, MOST_PHOTOS
from wattwright.job.photos import cleaned
from wattwright.job.spec import JobSpec

SCHEMA: Final = "wattwright.survey-entries/1"
MOST_BYTES: Final = 64 * 2**20
_WANTED: Final = "a file that the survey on the phone saved, whole"
_SPAN: Final = re.compile(r"(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})")
_MOST = 300
SUPPLY: Final = {
    "system": "supply.system", "voltage": "supply.voltage", "main_protection": "supply.main_protection",
    "agreed_power": "supply.agreed_power", "earthing": "gear.earthing",
}  # fmt: skip
"""Entries of the supply on the phone, and where they stand in the job file."""
LOAD: Final = {
    **{one: one for one in ("name", "kind", "quantity", "rating", "volume", "controllable", "interrupt", "note")},
    **{one: f"wiring.{one}" for one in ("length", "breaker", "plate_current")},
}
"""Entries of a load on the phone, and where they stand in the load."""
DAYS: Final = {"working": "working day", "saturday": "Saturday", "sunday": "Sunday or holiday"}
_TYPED: Final[Mapping[str, Callable[[str], Any]]] = {"quantity": int, "controllable": lambda text: text == "yes"}


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class EnteredLoad(_Strict):
    """A load as it was entered: the id it has in the job (empty: a new one), its entries as text, its photos in base64."""

    id: str = Field("", max_length=80)
    entries: dict[str, str] = Field(default_factory=dict, max_length=40)
    photos: list[str] = Field(default_factory=list, max_length=MOST_PHOTOS)


class Entered(_Strict):
    """A whole file: the job it was made for (its name and a fingerprint of its survey), and what was entered."""

    schema_: str = Field(alias="schema")
    job: str = Field(max_length=200)
    made_from: str = Field(max_length=80)
    supply: dict[str, str] = Field(default_factory=dict, max_length=40)
    loads: list[EnteredLoad] = Field(default_factory=list, max_length=300)


@dataclass(frozen=True, slots=True)
class Line:
    """One entry that would change: its name, what it says now and what it would say."""

    entry: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Slip:
    """Why a change cannot be taken as it stands: the fault, and the entries of the phone that stand in its place, or may."""

    entries: tuple[str, ...]
    fault: Fault


@dataclass(frozen=True, slots=True)
class Proposed:
    """A change that can be taken or left: the supply, or one load.

    `key` is its place in the file ("supply", "load-3"), `name` what it is about, `is_new` says that the load is not in the job
    yet, `photos` how many come with it; `wrong` says why it cannot be taken as it stands, nothing where it can.
    """

    key: str
    name: str
    is_new: bool
    lines: tuple[Line, ...]
    photos: int
    wrong: tuple[Slip, ...] = ()


def survey_print(spec: JobSpec) -> str:
    """Return a fingerprint of what the phone is given of a job: its supply and its loads."""
    return fingerprint(spec.supply, [one.model_dump(exclude={"photos"}) for one in spec.loads], spec.gear.earthing)


def read_entered(content: bytes, name: str) -> Entered:
    """Return what was entered, its photos decoded and written anew.

    Raises InputError, in one sentence, for what is no such file, is damaged, or is made to harm.
    """
    if len(content) > MOST_BYTES:
        raise _refused(name, f"{len(content) / 2**20:.0f} MB", f"{MOST_BYTES // 2**20} MB at most")
    try:
        data = json.loads(content.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise _refused(name, "what is no such file, or a damaged one") from error
    if not isinstance(data, dict) or data.get("schema") != SCHEMA:
        raise _refused(name, "another kind of file")
    try:
        entered = Entered.model_validate(data)
    except (ValidationError, RecursionError) as error:
        raise _refused(name, "an entry that the phone does not write") from error
    unknown = [*(set(entered.supply) - set(SUPPLY)), *(key for one in entered.loads for key in set(one.entries) - _known())]
    if unknown:
        raise _refused(name, quoted(str(unknown[0])[:60]), "entries that the survey on the phone has")
    loads = [one.model_copy(update={"photos": [_clean(photo, name) for photo in one.photos]}) for one in entered.loads]
    return entered.model_copy(update={"loads": loads})


def as_text(entered: Entered) -> str:
    """Return what was entered as it is kept until somebody has taken or left it."""
    return entered.model_dump_json(by_alias=True)


def proposed(entered: Entered, text: str) -> tuple[Proposed, ...]:
    """Return what each part of the file would change in a job file of this text, but for parts that change nothing."""
    return tuple(one for one in _proposed(entered, Edit(text)) if one.lines or one.photos or one.wrong)


def take(entered: Entered, edit: Edit, keys: frozenset[str], taken: frozenset[str]) -> dict[str, bytes]:
    """Make the changes of `keys` in a job file, and return the photos to keep by path; ``taken`` are paths already in use."""
    files: dict[str, bytes] = {}
    if "supply" in keys:
        for entry, value in _supply(entered):
            edit.set(entry, value)
    for number, load in enumerate(entered.loads):
        if f"load-{number}" in keys:
            at = _place(edit, load)
            if at is None:
                at = len(edit.value("loads") or ())
                edit.append("loads", {"id": _free_id(load, edit)})
            for entry, value in _entries(load):
                edit.set(f"loads.{at}.{entry}", tables_in_line(value) if entry == "hours" else value)
            attach(edit, at, [base64.b64decode(one) for one in load.photos], taken, files)
    return files


def attach(edit: Edit, at: int, photos: list[bytes], taken: frozenset[str], files: dict[str, bytes]) -> None:
    """Add clean photos to the load at a place, under free names that are put into ``files``; ``taken`` are in use."""
    there = list(edit.value(f"loads.{at}.photos") or ())
    stem = edit.value(f"loads.{at}.id")
    for content in photos:
        number = 1
        while (path := f"photos/{stem}-{number}.jpg") in taken or path in files or path in there:
            number += 1
        files[path] = content
        there.append(path)
    if photos:
        edit.set(f"loads.{at}.photos", there)


def _proposed(entered: Entered, edit: Edit) -> Iterator[Proposed]:
    lines = tuple(_changed(edit, list(_supply(entered))))
    yield Proposed("supply", "", False, lines, 0, _wrong(entered, edit, "supply"))
    for number, load in enumerate(entered.loads):
        at, key = _place(edit, load), f"load-{number}"
        stands = "" if at is None else f"loads.{at}."
        named = [(f"{stands}{entry}" if stands else "", entry, value) for entry, value in _entries(load)]
        changed = tuple(
            Line(entry, _shown(edit.value(full)) if full else "", _shown(value))
            for full, entry, value in named
            if not full or not _same(edit.value(full), value)
        )
        name = load.entries.get("name") or (str(edit.value(f"loads.{at}.name")) if at is not None else load.id)
        yield Proposed(key, name, at is None, changed, len(load.photos), _wrong(entered, edit, key))


def _changed(edit: Edit, wanted: list[tuple[str, Any]]) -> Iterator[Line]:
    for entry, value in wanted:
        if not _same(edit.value(entry), value):
            yield Line(entry, _shown(edit.value(entry)), _shown(value))


def mended(entered: Entered, entries: Mapping[str, Mapping[str, str]]) -> Entered:
    """Return the file with other texts for some entries, by the key of the change and the entry; an empty one is as if left out.

    What the phone does not have is passed over.
    """
    known = {"supply": set(SUPPLY)}
    new = {key: {name: text for name, text in one.items() if name in known.get(key, _known())} for key, one in entries.items()}
    loads = [
        one.model_copy(update={"entries": {**one.entries, **new.get(f"load-{number}", {})}})
        for number, one in enumerate(entered.loads)
    ]
    return entered.model_copy(update={"supply": {**entered.supply, **new.get("supply", {})}, "loads": loads})


def entries_of(entered: Entered, key: str) -> Mapping[str, str]:
    """Return the entries of a change by its key, as they were entered."""
    return entered.supply if key == "supply" else entered.loads[int(key.removeprefix("load-"))].entries


def _wrong(entered: Entered, edit: Edit, key: str) -> tuple[Slip, ...]:
    """Return why a change cannot be taken by itself, nothing where it can."""
    trial, given = Edit(edit.text), entries_of(entered, key)
    try:
        take(entered, trial, frozenset([key]), frozenset())
        trial.done()
    except InputError as error:
        slips = tuple(Slip(_at(fault.place.field, key, given) or tuple(given), fault) for fault in error.faults)
        # Of a load without a kind nothing else is checked: what the rest lacks is told in the same breath.
        bare = key != "supply" and given.get("kind") not in KINDS and ("kind",) in [one.entries for one in slips]
        return (*slips, *_wrong(mended(entered, {key: {"kind": KINDS[-1]}}), edit, key)) if bare else slips
    if given.get("duty", "").strip() and not _days(given):
        place = Place(FILE_NAME, field="hours")
        fault = Fault("job.entries-hours", place, quoted(given["duty"].strip()[:20]), "the hours that it is a share of", "")
        return (Slip(("duty", *(f"hours_{one}" for one in DAYS)), fault),)
    return ()


def _at(place: str, key: str, given: Mapping[str, str]) -> tuple[str, ...]:
    """Return the entries of the phone that stand at a place of the job file, such as "loads[2].hours[1].from"."""
    own = place if key == "supply" else re.sub(r"^loads\[\d+\]\.", "", place)
    hours = re.match(r"hours\[(\d+)\]\.(\w+)", own)
    if hours is None:
        return tuple(name for name, entry in (SUPPLY if key == "supply" else LOAD).items() if entry == own)
    if hours[2] == "duty":
        return ("duty",)
    days = list(_days(given).values())[int(hours[1]) - 1]
    return tuple(f"hours_{name}" for name in days)


def _supply(entered: Entered) -> Iterator[tuple[str, Any]]:
    for key, text in entered.supply.items():
        if text.strip():
            yield SUPPLY[key], text.strip()[:_MOST]


def _entries(load: EnteredLoad) -> Iterator[tuple[str, Any]]:
    """Yield the entries of a load that were filled in, as the job file writes them; what cannot be read is refused later."""
    for key, entry in LOAD.items():
        text = load.entries.get(key, "").strip()[:_MOST]
        if text:
            yield entry, _typed(key, text)
    hours = _hours(load.entries)
    if hours:
        yield "hours", hours


def _typed(key: str, text: str) -> Any:
    try:
        return _TYPED.get(key, str)(text)
    except ValueError:
        return text


def _hours(entries: Mapping[str, str]) -> list[dict[str, Any]]:
    duty = entries.get("duty", "").strip()[:20]
    more = {"duty": duty if duty.endswith("%") else f"{duty} %"} if duty else {}
    return [{**_span(span), "days": [DAYS[key] for key in keys], **more} for span, keys in _days(entries).items()]


def _days(entries: Mapping[str, str]) -> dict[str, list[str]]:
    """Return the types of day of each span of hours, in the order in which the job file has them."""
    found: dict[str, list[str]] = {}
    for key in DAYS:
        for span in filter(None, (one.strip() for one in entries.get(f"hours_{key}", "")[:_MOST].split(","))):
            found.setdefault(span, []).append(key)
    return found


def _span(text: str) -> dict[str, Any]:
    match = _SPAN.fullmatch(text)
    try:
        numbers = [int(one) for one in match.groups()] if match else []
        begins, ends = dt.time(numbers[0], numbers[1]), dt.time(*((0, 0) if numbers[2:] == [24, 0] else numbers[2:]))
    except (ValueError, IndexError):
        return {"from": text, "until": text}  # the job's own check says what was expected
    return {"from": begins, "until": ends}


def _known() -> set[str]:
    return {*LOAD, "duty", *(f"hours_{one}" for one in DAYS)}


def _place(edit: Edit, load: EnteredLoad) -> int | None:
    ids = [str(one.get("id")) for one in edit.value("loads") or ()]
    return ids.index(load.id) if load.id in ids else None


def _free_id(load: EnteredLoad, edit: Edit) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", load.entries.get("name", "").lower()).strip("-")[:40]
    stem = plain if plain[:1].isalpha() else f"load-{plain}".strip("-")
    ids = [str(one.get("id")) for one in edit.value("loads") or ()]
    number, made = 1, stem
    while made in ids:
        number += 1
        made = f"{stem}-{number}"
    return made


def _same(before: Any, after: Any) -> bool:
    return bool(before == after) or (before is None and after in (False, "never", "unknown", 1))


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_run(one) if isinstance(one, dict) else str(one) for one in value)
    return f"{value:%H:%M}" if isinstance(value, dt.time) else str(value)


def _run(one: Mapping[str, Any]) -> str:
    """Return a stretch of hours as a person writes it: 06:00-08:30 on working day, at 40 %."""
    days = " and ".join(one.get("days", ()))
    duty = f", at {one['duty']}" if "duty" in one else ""
    return f"{_shown(one.get('from'))}-{_shown(one.get('until'))}{' on ' if days else ''}{days}{duty}"


def _clean(text: str, name: str) -> str:
    encoded = text.partition(",")[2] if text.startswith("data:image/") else text
    try:
        content = base64.b64decode(encoded, validate=True)
    except (binascii.Error, ValueError) as error:
        raise _refused(name, "a photo that is damaged") from error
    return base64.b64encode(cleaned(content, name)).decode("ascii")


def _refused(name: str, found: str, wanted: str = _WANTED) -> InputError:
    step = "Save it again on the phone and give that file. Nothing was changed."
    return InputError.one("job.entries", Place(file=name), found=found, wanted=wanted, next_step=step)
