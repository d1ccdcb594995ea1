"""The loads of a survey as a person writes them, and how each behaves where the engine is to simulate it."""

import datetime as dt
from collections.abc import Mapping
from typing import Annotated, Any, Final, Generic, Literal, Self, TypeVar, get_args

from pydantic import Field, WithJsonSchema, model_validator

from wattwright.control.rules import Way
from wattwright.core.fields import Held, PowerW, Share, Spec, VolumeL
from wattwright.core.quantity import Phase
from wattwright.job.gear_spec import RouteSpec
from wattwright.job.names import Id
from wattwright.job.uses import AirUse, Asked, ChargerUse, NoUse, PoolUse, RoomUse, SoilUse, StoreUse, WaterUse
from wattwright.loads.charger import Charger
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.humidity import DryRoom
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.plain import Motor, Resistive
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.room import Room
from wattwright.loads.water_heater import WaterHeater

Model = WaterHeater | PoolPump | Irrigation | Room | DryRoom | Greenhouse | ColdStore | Charger | Motor | Resistive
"""How a load may behave."""

_PLATE: Final = ("rating", "power_factor")
_SURVEYED: Final[Mapping[str, tuple[str, ...]]] = {"water heater": ("rating", "volume")}
"""Entries of a model that stand in the survey, one level up; the plate's where the kind is not named here."""
_SETTLED: Final[Mapping[str, dict[str, str]]] = {"room heating": {"mode": "heat"}, "room cooling": {"mode": "cool"}}
"""Entries of a model that the kind of load settles."""
_MOTORS: Final = ("pool pump", "irrigation pump", "motor")
_RUN_WHEN_FED: Final = (*_MOTORS, "heat lamp")
"""Kinds that run whenever they are fed; of any other, nothing is known without a model: it or people decide."""


MOST_PHOTOS: Final = 12
"""Photos of one load."""


class Running(Spec):
    """When a load runs, as people on site say: hours of the day, on which days and in which seasons, and what share of them."""

    begins: dt.time = Field(dt.time(0), alias="from", description="when it begins, on the site's clock")
    ends: dt.time = Field(dt.time(0), alias="until", description="when it ends; the same as from: all day")
    days: tuple[Literal["working day", "Saturday", "Sunday or holiday"], ...] = Field(
        ("working day", "Saturday", "Sunday or holiday"), min_length=1, description="types of day"
    )
    seasons: tuple[Literal["winter", "spring", "summer", "autumn"], ...] = Field(
        ("winter", "spring", "summer", "autumn"), min_length=1, description="seasons, quarters from December on in the north"
    )
    duty: Share = Field(1.0, gt=0, le=1, description="share of that time in which it draws its rating; usual: 10 to 60 %")


class SurveyedLoad(Spec):
    """One piece of equipment that uses power, or several alike."""

    id: Id
    name: str = Field(min_length=1, max_length=80, description="what people call it")
    quantity: int = Field(1, ge=1, le=10_000, description="how many of them")
    rating_w: PowerW = Field(alias="rating", ge=0, le=1e8, description="rated power of each")
    power_factor: float = Field(1.0, ge=0.1, le=1, description="power factor when running")
    phase: Phase = Field(Phase.UNKNOWN, description="conductor it is connected to")
    meter: str = Field("", description="id of the sub-meter that measures it alone, if there is one")
    volume_l: VolumeL | None = Field(None, alias="volume", gt=0, le=1e6, description="content of a store of hot water")
    controllable: bool = Field(False, description="whether something may switch it")
    interrupt: Way = Field("never", description="how it may be interrupted")
    runs: tuple[Running, ...] = Field((), alias="hours", description="when it runs and at what duty, to add the survey up")
    note: str = Field("", max_length=300, description="duty, hours, what was seen on the plate")
    photos: tuple[str, ...] = Field(
        (), max_length=MOST_PHOTOS, description="photos of its plate: paths of JPEG files, from the folder of job.toml"
    )
    wiring: RouteSpec = Field(default_factory=RouteSpec, description="how it is fed, for the choice of equipment")
    basis: Literal["measured", "assumed", "published"] = Field("assumed", description="what the rating rests on")


KindT = TypeVar("KindT", bound=str)
ModelT = TypeVar("ModelT", bound=Model)
UseT = TypeVar("UseT", bound=Asked)


class Modelled(SurveyedLoad, Generic[KindT, ModelT, UseT]):
    """A load of one kind, with how it behaves and what is asked of it where the engine is to simulate it."""

    kind: KindT = Field(description="what it is")
    model: ModelT | None = Field(None, description="how it behaves; left out, it is part of the rest of the site")
    read_on_site: tuple[str, ...] = Field(
        (), description="entries of the model that were read on site and not judged, such as set_point; a fit leaves them"
    )
    use: UseT | None = Field(None, description="what people and goods ask of it; the usual if left out")

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """Return a name for the schema: the kinds of load, such as ColdRoomFreezerLoad."""
        return "".join(word.capitalize() for kind in get_args(params[0]) for word in kind.split()) + "Load"

    @model_validator(mode="before")
    @classmethod
    def _with_survey(cls, given: Any) -> Any:
        """Hand the model what the survey says already, so that no figure is written twice."""
        if not isinstance(given, dict) or not isinstance(given.get("model"), dict):
            return given
        kind = str(given.get("kind"))
        surveyed, settled = _SURVEYED.get(kind, _PLATE), _SETTLED.get(kind, {})
        twice = [name for name in (*surveyed, *settled) if name in given["model"]]
        if twice:
            raise ValueError(f"{twice[0]} in the entry of the load alone|Take it out of the model; it is handed on.")
        known = {name: _handed(given[name]) for name in surveyed if name in given}
        return {**given, "model": {**settled, **known, **given["model"]}}

    @model_validator(mode="after")
    def _stands_for_one(self) -> Self:
        if self.model is not None and self.quantity > 1:
            raise ValueError("a model of a single piece|Give each its own entry: alike, they still do not run in step.")
        return self

    @model_validator(mode="after")
    def _read_what_is_there(self) -> Self:
        known = (
            {field.alias or name for name, field in type(self.model).model_fields.items()} if self.model is not None else set()
        )
        unknown = [word for word in self.read_on_site if word not in known]
        if unknown:
            raise ValueError(f"entries of the model of this load, not {unknown[0]}|Write for example set_point.")
        return self

    @property
    def can_be_simulated(self) -> bool:
        """Return whether the engine knows when it draws: by its model, or because it runs whenever it is fed."""
        return self.model is not None or self.kind in _RUN_WHEN_FED

    @property
    def asked(self) -> Asked:
        """Return what people and goods ask of it: what is written, or the usual of its kind."""
        return self.use if self.use is not None else _USUAL.get(self.kind, NoUse)()

    def compiled(self) -> CompiledLoad:
        """Return the load as a row for the engine: its model, or one that runs whenever it is fed."""
        if self.model is not None:
            return self.model.compiled(self.id)
        plate = {"rating_w": Held(max(self.rating_w, 1e-3) * self.quantity), "power_factor": Held(self.power_factor)}
        return (Motor if self.kind in _MOTORS else Resistive).model_validate(plate).compiled(self.id)


def handed_on(kind: str) -> tuple[str, ...]:
    """Return the entries of a model that the load itself says, or its kind: they are not written into the model."""
    return (*_SURVEYED.get(kind, _PLATE), *_SETTLED.get(kind, {}))


def _handed(value: Any) -> Any:
    """Return an entry of the survey for its model: a plain number, such as a power factor, is already in our unit."""
    return Held(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def _own(model: type[Spec], *elsewhere: str) -> WithJsonSchema:
    """Return the schema of a model without the entries that stand elsewhere in the load."""
    schema = model.model_json_schema(by_alias=True)
    schema["properties"] = {name: one for name, one in schema["properties"].items() if name not in elsewhere}
    schema["required"] = [name for name in schema.get("required", []) if name not in elsewhere]
    return WithJsonSchema(schema)


_USUAL: Final[Mapping[str, type[Asked]]] = {
    "water heater": WaterUse, "pool pump": PoolUse, "irrigation pump": SoilUse, "room heating": RoomUse, "room cooling": RoomUse,
    "humidity": AirUse, "greenhouse": AirUse, "cold room": StoreUse, "freezer": StoreUse, "charger": ChargerUse,
}  # fmt: skip
_Rooms = Literal["room heating", "room cooling"]
_Stores = Literal["cold room", "freezer"]
_Plain = Literal["heat lamp", "lighting", "cooking", "laundry", "standby", "other"]

LoadSpec = Annotated[
    Modelled[Literal["water heater"], Annotated[WaterHeater, _own(WaterHeater, "rating", "volume")], WaterUse]
    | Modelled[Literal["pool pump"], Annotated[PoolPump, _own(PoolPump, *_PLATE)], PoolUse]
    | Modelled[Literal["irrigation pump"], Annotated[Irrigation, _own(Irrigation, *_PLATE)], SoilUse]
    | Modelled[_Rooms, Annotated[Room, _own(Room, *_PLATE, "mode")], RoomUse]
    | Modelled[Literal["humidity"], Annotated[DryRoom, _own(DryRoom, *_PLATE)], AirUse]
    | Modelled[Literal["greenhouse"], Annotated[Greenhouse, _own(Greenhouse, *_PLATE)], AirUse]
    | Modelled[_Stores, Annotated[ColdStore, _own(ColdStore, *_PLATE)], StoreUse]
    | Modelled[Literal["charger"], Annotated[Charger, _own(Charger, *_PLATE)], ChargerUse]
    | Modelled[Literal["motor"], Annotated[Motor, _own(Motor, *_PLATE)], NoUse]
    | Modelled[_Plain, Annotated[Resistive, _own(Resistive, *_PLATE)], NoUse],
    Field(discriminator="kind"),
]
KINDS: Final = tuple(kind for one in get_args(get_args(LoadSpec)[0]) for kind in get_args(one.model_fields["kind"].annotation))
"""Every kind of load."""
