"""The survey for the phone: one HTML file with script and style inside, that asks no network and saves a file for the desk."""

import base64
import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any, Final, get_args

from annotated_types import Ge, Gt, Le, Lt, MaxLen
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from wattwright.charts.fonts import SANS, web_faces
from wattwright.charts.palette import css_variables
from wattwright.control.rules import Way
from wattwright.core.show import Show
from wattwright.core.units import bound_like
from wattwright.handover.context import LANGUAGE
from wattwright.handover.page import TEMPLATES, environment
from wattwright.handover.paper import PaperWords
from wattwright.handover.visit import visit_words
from wattwright.job.loads import KINDS, LoadSpec, Modelled, Running
from wattwright.job.spec import JobSpec
from wattwright.job.visited import DAYS, LOAD, SCHEMA, SUPPLY, survey_print
from wattwright.simulate.supply import PHASES

PHONE: Final = "survey.html"
_CHOICES: Final[Mapping[str, tuple[str, ...]]] = {
    "systems": tuple(PHASES), "earthings": ("TN", "TT"), "kinds": KINDS, "yes_or_no": ("yes", "no"), "ways": get_args(Way),
}  # fmt: skip
_HOURS: Final = tuple(f"hours_{one}" for one in DAYS)
_BOUNDS: Final[Mapping[type, str]] = {Gt: "gt", Ge: "ge", Lt: "lt", Le: "le"}
_PLAIN: Final = Show("en_US")
"""Numbers for fields: a point before decimals, which every reader of ours takes."""


def phone(spec: JobSpec) -> str:
    """Return the survey of a job as the text of one HTML file; nothing but its own script and style runs in it."""
    words = visit_words()["phone"]
    given = {
        "schema": SCHEMA,
        "job": spec.name,
        "made_from": survey_print(spec),
        "file": f"{re.sub(r'[^a-z0-9]+', '-', spec.name.lower()).strip('-')[:40] or 'job'}-survey.json",
        "words": {key: text for key, text in words.items() if isinstance(text, str)},
        "supply_fields": supply_fields(),
        "load_fields": load_fields(),
        "supply": _supply(spec),
        "loads": [{"id": one.id, "entries": _load(one)} for one in spec.loads],
    }
    # Nothing a person wrote can end the block it stands in.
    data = json.dumps(given, ensure_ascii=False).replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    script = (TEMPLATES / "phone.js").read_text(encoding="utf-8")
    made = environment()
    template = made.from_string((TEMPLATES / "phone.css").read_text(encoding="utf-8"))
    style = template.render(faces=web_faces(data), sans=SANS, colours=css_variables())
    invented = PaperWords().invented if spec.invented else ""
    return str(
        made.get_template("phone.html").render(
            language=LANGUAGE, policy=_policy(script, style), words=words, job=spec.name, invented=invented, style=style,
            script=script, given=data,
        )
    )  # fmt: skip


def _policy(script: str, style: str) -> str:
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; font-src data:; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")


@lru_cache(maxsize=1)
def supply_fields() -> tuple[Mapping[str, Any], ...]:
    """Return what is asked of the supply: name, label and help of each field, its units or choices, and what the job file takes.

    `bounds` are, by unit, the kind of bound (gt, ge, lt, le), the number, and what is expected in words; `longest` how many
    letters; where one of those `beside` it is given it cannot be left out.
    """
    own = [name for name, entry in SUPPLY.items() if entry.startswith("supply.")]
    return tuple(_field(one, _info(JobSpec, SUPPLY[one["name"]]), own) for one in visit_words()["phone"]["supply_fields"])


@lru_cache(maxsize=1)
def load_fields() -> tuple[Mapping[str, Any], ...]:
    """Return the same of a load; `spans` says that it holds hours, `of_hours` that it says nothing without them."""
    asked = visit_words()["phone"]["load_fields"]
    return tuple(_field(one, _of_load(one["name"]), [other["name"] for other in asked]) for one in asked)


def _of_load(name: str) -> FieldInfo | None:
    if name in LOAD:
        return _info(Modelled, LOAD[name])
    return Running.model_fields[name] if name == "duty" else None


def _info(model: type[BaseModel], entry: str) -> FieldInfo:
    """Return what a spec says of a dotted entry."""
    first, _, rest = entry.partition(".")
    found = next(info for name, info in model.model_fields.items() if (info.alias or name) == first)
    if not rest:
        return found
    inner = next(one for one in (found.annotation, *get_args(found.annotation)) if hasattr(one, "model_fields"))
    return _info(inner, rest)


def _field(given: Mapping[str, Any], info: FieldInfo | None, beside: list[str]) -> Mapping[str, Any]:
    made = dict(given)
    if "choices" in given:
        made["choices"] = _CHOICES[given["choices"]]
    if info is None:
        return {**made, "spans": True}
    units = given.get("units") or [given.get("unit", "")]
    bounds = {unit: list(_bounds(info, unit)) for unit in units}
    if any(bounds.values()):
        made["bounds"] = bounds
    longest = next((one.max_length for one in info.metadata if isinstance(one, MaxLen)), None)
    of_hours = _HOURS if given["name"] == "duty" else None
    more = {"longest": longest, "beside": beside if info.is_required() else None, "of_hours": of_hours}
    return {**made, **{key: value for key, value in more.items() if value is not None}}


def _bounds(info: FieldInfo, unit: str) -> Iterator[tuple[str, float, str]]:
    """Yield the bounds of an entry in a unit: their kind, the number, and what is expected."""
    words = visit_words()["phone"]["bounds"]
    for one in info.metadata:
        kind = _BOUNDS.get(type(one))
        if kind is not None:
            bound = bound_like(f"1 {unit}", getattr(one, kind))
            yield kind, float(bound.partition(" ")[0]), words[kind].format(bound=bound)


def _supply(spec: JobSpec) -> dict[str, str]:
    supply = spec.supply
    known: dict[str, str] = {"earthing": spec.gear.earthing or ""}
    if supply is not None:
        known |= {"system": supply.system, "voltage": f"{_number(supply.voltage_v)} V"}
        if supply.main_protection_a is not None:
            known["main_protection"] = f"{_number(supply.main_protection_a)} A"
        if supply.agreed_w is not None:
            known["agreed_power"] = f"{_number(supply.agreed_w / 1000)} kW"
    return {key: text for key, text in known.items() if text}


def _load(load: LoadSpec) -> dict[str, str]:
    known = {
        "name": load.name, "kind": load.kind, "quantity": str(load.quantity), "rating": f"{_number(load.rating_w / 1000)} kW",
        "controllable": "yes" if load.controllable else "no", "interrupt": load.interrupt, "note": load.note,
    }  # fmt: skip
    for key, value, unit in (
        ("volume", load.volume_l, "l"), ("breaker", load.wiring.rated_a, "A"), ("length", load.wiring.length_m, "m"),
        ("plate_current", load.wiring.plate_a, "A"),
    ):  # fmt: skip
        if value is not None:
            known[key] = f"{_number(value)} {unit}"
    return {key: text for key, text in known.items() if text}


def _number(value: float) -> str:
    return _PLAIN.plain(value).replace(",", "")
