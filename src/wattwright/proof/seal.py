"""The frozen part of a job: what the baseline was made from, its model in numbers, the promise, and how it will be proved.

It is text that people can read. Its fingerprint is a hash of all that it says, so a change shows wherever the fingerprint was
written down before.
"""

import hashlib
import json
from datetime import date
from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Field, ValidationError, model_validator

from wattwright.core.calendar import public_holidays
from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, JobError, Place
from wattwright.core.fields import Spec
from wattwright.proof.models.record import Grain

_SCHEMAS = "wattwright.frozen/"
SCHEMA = f"{_SCHEMAS}4"
FROZEN = "frozen.json"
"""The file beside the job file that holds what was frozen of its proof."""
FROZEN_FILES = "frozen*.json"
"""That file, and those that it took the place of."""
AFTER_RECORD, AFTER_WEATHER = "after/record", "after/weather"
"""Folders of a job for the record of the time after, and for measured weather of its days."""
SHOWN = 16
"""So many digits of a fingerprint are printed, as elsewhere."""
Options = Literal["B", "C"]


Sought = Literal["cost", "peak", "own-use", "autonomy", "several"]
_NotBelow = Annotated[float, Field(ge=0)]
_Count = Annotated[int, Field(ge=0)]


class _Sealed(Spec):
    """A part of what is frozen: its numbers are finite."""

    model_config = ConfigDict(allow_inf_nan=False)


class SealedFile(_Sealed):
    """A file that the baseline was made from, as it was."""

    role: Literal["readings", "weather"]
    path: str
    size_bytes: int
    sha256: str


class SealedModel(_Sealed):
    """A baseline model in numbers, how it fits, and the energy that it was fitted to and that it tells."""

    grain: Grain
    model: str
    form: str
    numbers: dict[str, Any]
    count: _Count
    parameters: _Count
    cv_rmse: _NotBelow
    unseen_cv_rmse: _NotBelow
    nmbe: float
    r2: float = Field(le=1)
    alike: float = Field(ge=-1, le=1)
    energy_kwh: float
    told_kwh: float


class Promise(_Sealed):
    """What the plan that was kept promises over ``days`` days, in ``unit``; its band over years drawn anew, 90 %, where told.

    ``objective`` is what was sought, "several" where more than one: of kWh it says what they are.
    ``energy_kwh`` is what its loads draw less, ``peak_w`` by how much the highest quarter of an hour is lower.
    """

    objective: Sought
    unit: str
    days: float = Field(gt=0)
    saving: float
    low: float | None
    high: float | None
    energy_kwh: float
    peak_w: float


class SealedTariff(_Sealed):
    """The tariff that was paid when the promise was made: its id, and the text of the file it stood in."""

    path: str
    id: str
    text: str


class SealedLoad(_Sealed):
    """A load that the plan switches: what it draws when on, and the rules that hold it, as they stand in the job file.

    ``meter`` is the sub-meter that measures it alone, empty where there is none.
    """

    id: str
    name: str
    rating_w: float
    meter: str
    rules: tuple[dict[str, Any], ...]


class SealedPlan(_Sealed):
    """The measurement plan by the protocol IPMVP. ``proposed`` names what no person wrote."""

    option: Options
    boundary: str
    boundary_name: str
    begins: date
    until: date
    after: date
    months: int = Field(ge=1, le=60)
    confidence: float = Field(ge=0.5, le=0.99)
    grain: Grain
    variables: tuple[str, ...]
    static_factors: tuple[str, ...]
    responsible: str
    accuracy: str
    weather: str
    proposed: tuple[str, ...]


class Seal(_Sealed):
    """All that is frozen of a job at handover."""

    job: str
    zone: str
    country: str
    subdivision: str
    seed: int
    issued: date
    made_by: str
    start_s: int
    end_s: int
    step_s: int = Field(gt=0)
    readings: str
    files: tuple[SealedFile, ...]
    models: tuple[SealedModel, ...] = Field(min_length=1)
    promise: Promise | None
    tariff: SealedTariff | None
    loads: tuple[SealedLoad, ...]
    shedding: dict[str, Any] | None = Field(description="the shed order of the plan, as it stands in the job file")
    plan: SealedPlan

    @model_validator(mode="after")
    def _rests_on_readings(self) -> Self:
        if all(one.role != "readings" for one in self.files):
            raise ValueError("a file of readings that the baseline was made from")
        return self

    @model_validator(mode="after")
    def _is_of_one_grain_each(self) -> Self:
        grains = [one.grain for one in self.models]
        if grains[0] is not self.plan.grain or len(set(grains)) < len(grains):
            raise ValueError("one model of each grain, that of the plan first")
        return self

    @model_validator(mode="after")
    def _is_of_a_place(self) -> Self:
        try:
            SiteClock(self.zone)
            public_holidays(self.country, self.subdivision or None, self.issued.year, self.issued.year)
        except InputError as error:
            raise ValueError(error.faults[0].sentence()) from error
        return self

    @property
    def fingerprint(self) -> str:
        """Return SHA-256 (hex) of all that it says."""
        return hashlib.sha256(_canonical(self.model_dump(mode="json")).encode()).hexdigest()

    @property
    def shown(self) -> str:
        """Return the fingerprint as it is printed."""
        return self.fingerprint[:SHOWN]

    def model(self, grain: Grain) -> SealedModel | None:
        """Return the model of such stretches, None where there is none."""
        return next((one for one in self.models if one.grain is grain), None)

    @property
    def main(self) -> SealedModel:
        """Return the model that energy is told by."""
        return self.models[0]

    def text(self) -> str:
        """Return it as the text that is kept: JSON with its schema and its fingerprint."""
        told = {"schema": SCHEMA, "fingerprint": self.fingerprint, "frozen": self.model_dump(mode="json")}
        return json.dumps(told, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def read_seal(text: str, name: str) -> Seal:
    """Return what is frozen in ``text``, the content of the file ``name``.

    Raises JobError where it cannot be read, where another version wrote it in a layout of its own, and where it says anything
    but what its fingerprint was made of.
    """
    try:
        given = json.loads(text, object_pairs_hook=_each_once)
        _canonical(given).encode()
        if given["schema"] != SCHEMA:
            raise _of_another_version(name, str(given["schema"]), str(given["frozen"]["made_by"]))
        fingerprint, content = str(given["fingerprint"]), given["frozen"]
        more = sorted(set(given) - {"schema", "fingerprint", "frozen"})
    except _Twice as error:
        raise _changed(name, f'the entry "{error}" twice') from error
    except UnicodeEncodeError as error:
        raise _changed(name, "half a character, as no frozen part has one") from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise _unreadable(name) from error
    if more:
        raise _changed(name, f'the entry "{more[0]}", which no frozen part has')
    # Held against the text itself, so that nothing that a reader passes over can be changed either.
    if hashlib.sha256(_canonical(content).encode()).hexdigest() != fingerprint:
        raise _changed(name, f"a frozen part that no longer gives its fingerprint {fingerprint[:SHOWN]}")
    try:
        return Seal.model_validate(content)
    except ValidationError as error:
        raise _unreadable(name) from error


class _Twice(Exception):
    """An entry that stands in one table twice: a reader takes the last one, and a person reads the first."""


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict[str, Any]()
    for name, value in pairs:
        if name in made:
            raise _Twice(name.encode(errors="replace").decode())
        made[name] = value
    return made


def _of_another_version(name: str, schema: str, made_by: str) -> JobError:
    """Return that another version of wattwright froze it; raises ValueError where the schema is none of its frozen parts."""
    if not schema.startswith(_SCHEMAS):
        raise ValueError(schema)
    return JobError.one(
        "proof.seal-other-version", Place(name), found=f'a frozen part that wattwright {made_by} wrote, as "{schema}"',
        wanted=f'one as "{SCHEMA}", which this version writes and reads',
        next_step=f"Prove it with wattwright {made_by}, or agree with the client on freezing anew. Nothing was worked out.",
    )  # fmt: skip


def _unreadable(name: str) -> JobError:
    return _broken("proof.seal-unreadable", name, "a frozen part that cannot be read", "one that is as it was written")


def _changed(name: str, found: str) -> JobError:
    return _broken("proof.seal-changed", name, f"{found}: it was changed", "the one that was handed over")


def _broken(code: str, name: str, found: str, wanted: str) -> JobError:
    step = "Put back the copy whose fingerprint stands on the client's report. Nothing was worked out."
    return JobError.one(code, Place(name), found=found, wanted=wanted, next_step=step)


def _canonical(content: Any) -> str:
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
