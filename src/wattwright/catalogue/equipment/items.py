"""The kinds of equipment that are ordered, each by its ratings; no maker and no model number."""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from wattwright.catalogue.equipment.contacts import Coil, Contact
from wattwright.core.fields import (
    ApparentPowerVA,
    CurrentA,
    DifferenceK,
    DurationS,
    LengthM,
    PowerW,
    Spec,
    TemperatureC,
    VoltageV,
)

Element = Literal["NTC 10 kohm", "Pt100 two-wire", "Pt100 three-wire", "Pt1000 two-wire", "digital", "4-20 mA"]
Sensed = Literal["temperature", "humidity", "soil moisture"]


class Item(Spec):
    """Something that can be ordered."""

    id: str = Field(pattern=r"^[a-z][a-z0-9-]*$", max_length=60, description="stable id")
    name: str = Field(min_length=1, max_length=100, description="what it is, in words")
    article: str = Field("", max_length=40, description="article number of whoever sells it")
    price: Decimal | None = Field(None, ge=0, le=1_000_000, description="net price of one, in the currency of the file")
    stock: int | None = Field(None, ge=0, description="how many lie in the store")
    ip: str = Field("IP20", pattern=r"^IP[0-6][0-9]$", description="degree of protection, IEC 60529; usual on the rail: IP20")
    modules: float = Field(0.0, ge=0, le=40, description="width on the rail in modules of 17.5 to 18 mm")
    heat_w: PowerW = Field(0.0, alias="heat", ge=0, le=500, description="heat it gives off at rated current")
    coldest_c: TemperatureC = Field(
        -5.0, alias="coldest", ge=-60, le=60, description="coldest air it works in; usual: -5 to -25 °C"
    )
    hottest_c: TemperatureC = Field(
        55.0, alias="hottest", ge=20, le=125, description="hottest air it works in; usual: 40 to 60 °C"
    )
    source: str = Field(description="where the figures come from")


class Controller(Item):
    """Something with rules or a clock in it, and a contact that carries the load itself or a contactor's coil."""

    kind: Literal[
        "in-line switch", "time switch", "CT meter", "probe controller", "priority relay", "monitoring relay", "bus controller"
    ]
    works_as: tuple[str, ...] = Field((), description="ids of the classes of gear whose settings it holds")
    contact: Contact = Field(description="its output contact")
    outputs: int = Field(1, ge=1, le=64, description="outputs that switch on their own")
    carries_load: bool = Field(True, description="whether its terminals take the load's cable; else it only switches coils")
    dry: bool = Field(True, description="whether the contact is free of its own supply")
    least_supply_v: VoltageV = Field(
        alias="least_supply", gt=0, le=500, description="lowest nominal voltage it works on; usual: 110 V"
    )
    most_supply_v: VoltageV = Field(
        alias="most_supply", gt=0, le=500, description="highest nominal voltage it works on; usual: 240 V"
    )
    own_va: ApparentPowerVA = Field(2.0, alias="own", ge=0, le=100, description="what it takes itself")
    full_to_c: TemperatureC = Field(40.0, alias="full_to", ge=20, le=80, description="air up to which it carries its full rating")
    derates_per_k: float = Field(
        0.0, ge=0, le=0.2, description="share of its rating lost for each kelvin beyond; usual: 0 to 2 %"
    )
    link: Literal["none", "wire", "radio"] = Field("none", description="how it is told what to do from elsewhere")
    measures_to_a: CurrentA | None = Field(None, alias="measures_to", gt=0, description="highest current its transformer takes")
    measures_from_a: CurrentA = Field(0.0, alias="measures_from", ge=0, description="lowest current at which its class holds")
    starts_at_a: CurrentA = Field(0.0, alias="starts_at", ge=0, description="current below which it shows nought")
    window_mm: float | None = Field(None, gt=0, le=200, description="opening of its transformer, mm")
    conductors: int = Field(0, ge=0, le=4, description="conductors it measures")
    probes: tuple[Sensed, ...] = Field((), description="quantities it takes probes for")


class Contactor(Item):
    """A contactor or relay: a coil that closes the contacts of a load."""

    kind: Literal["contactor", "tariff contactor", "interlocked contactors", "interposing relay"]
    contact: Contact = Field(description="its main contacts")
    coil: Coil = Field(description="its coil")
    full_to_c: TemperatureC = Field(40.0, alias="full_to", ge=20, le=80, description="air up to which it carries its full rating")
    derates_per_k: float = Field(
        0.0, ge=0, le=0.2, description="share of its rating lost for each kelvin beyond; usual: 0 to 1 %"
    )
    beside_share: float = Field(
        1.0, gt=0, le=1, description="share of its rating where it stands close to others without a spacer"
    )


class Suppressor(Item):
    """A part across a coil that damps the peak when it is switched off."""

    kind: Literal["suppressor"]
    most_v: VoltageV = Field(alias="most_voltage", gt=0, le=500, description="highest coil voltage")
    most_va: ApparentPowerVA = Field(alias="most_holding", gt=0, description="largest holding power of the coil")


class CurrentTransformer(Item):
    """A current transformer, IEC 61869-2 or with a voltage output."""

    kind: Literal["current transformer"]
    primary_a: CurrentA = Field(alias="primary", gt=0, le=10_000, description="rated primary current")
    secondary: Literal["1 A", "5 A", "333 mV"] = Field(description="output at rated current")
    accuracy: Literal["0.2", "0.5", "0.5S", "1", "3"] = Field(description="accuracy class of IEC 61869-2")
    burden_va: ApparentPowerVA | None = Field(
        None, alias="burden", gt=0, le=100, description="rated burden; none for a voltage output"
    )
    window_mm: float = Field(gt=0, le=200, description="opening, mm")
    split: bool = Field(description="whether it opens, so that nothing need be disconnected")


class Probe(Item):
    """A probe for temperature, humidity or soil moisture."""

    kind: Literal["probe"]
    senses: tuple[Sensed, ...] = Field(min_length=1, description="quantities it senses")
    element: Element = Field(description="what it is and how it is connected")
    coldest_seen_c: TemperatureC | None = Field(
        None, alias="senses_from", description="lowest temperature it senses; usual: -40 °C"
    )
    hottest_seen_c: TemperatureC | None = Field(
        None, alias="senses_to", description="highest temperature it senses; usual: 85 °C"
    )
    driest_pct: float | None = Field(None, ge=0, le=100, description="lowest relative humidity or soil moisture it senses, %")
    wettest_pct: float | None = Field(None, ge=0, le=100, description="highest relative humidity or soil moisture it senses, %")
    accuracy_k: DifferenceK | None = Field(None, alias="accuracy", gt=0, description="of the temperature; usual: 0.3 to 1 K")
    lead_m: LengthM = Field(alias="lead", gt=0, le=100, description="its own lead")
    extends_m: LengthM = Field(
        0.0, alias="extends", ge=0, le=1000, description="by how much the lead may be extended; usual: 5 m"
    )
    core_mm2: float = Field(0.22, gt=0, le=10, description="cross-section of a core of the lead, mm²")
    lag_s: DurationS = Field(alias="time_constant", gt=0, description="until it has followed 63 % of a step; usual: 10 to 60 s")


class Breaker(Item):
    """A circuit-breaker for one circuit."""

    kind: Literal["breaker"]
    rated_a: CurrentA = Field(alias="rated", gt=0, le=1000, description="rated current In")
    curve: Literal["B", "C", "D", "inverse time"] = Field(description="curve of IEC 60898-1, or inverse time")
    breaks_a: CurrentA = Field(alias="breaks", gt=0, description="rated short-circuit capacity Icn; usual: 6 to 10 kA")
    poles: int = Field(ge=1, le=4, description="poles, the neutral's included where it is switched")
    switched_neutral: bool = Field(False, description="whether one of them is the neutral")


class Rcd(Item):
    """A residual-current device."""

    kind: Literal["RCD"]
    rated_a: CurrentA = Field(alias="rated", gt=0, le=1000, description="rated current")
    residual_a: CurrentA = Field(alias="residual", gt=0, le=10, description="rated residual current; usual: 30 mA")
    type: Literal["AC", "A", "F", "B"] = Field(description="residual currents it sees, IEC 60755")
    poles: int = Field(ge=2, le=4, description="poles")


class SurgeProtection(Item):
    """A surge-protective device for the board."""

    kind: Literal["surge protection"]
    type: Literal["1", "2", "3", "1+2"] = Field(description="type of IEC 61643-11")
    continuous_v: VoltageV = Field(alias="continuous", gt=0, description="highest continuous voltage Uc")
    protects_to_v: float = Field(gt=0, le=10_000, description="voltage protection level Up, V")
    poles: int = Field(ge=1, le=4, description="conductors it protects")


class Enclosure(Item):
    """An enclosure with a rail."""

    kind: Literal["enclosure"]
    holds: float = Field(gt=0, le=500, description="modules it holds")
    loses_w: PowerW = Field(
        alias="loses", gt=0, le=5000, description="heat it gives off at 25 K above the room; usual: 1 to 2 W a module"
    )
    metal: bool = Field(False, description="whether it is of metal, through which radio does not pass")


class Cable(Item):
    """A cable, by the metre."""

    kind: Literal["cable"]
    cores: int = Field(ge=1, le=7, description="cores, the protective conductor's included")
    area_mm2: float = Field(gt=0, le=400, description="cross-section of each, mm²")
    insulation: Literal["PVC", "XLPE"] = Field(description="insulation")


Equipment = Annotated[
    Controller | Contactor | Suppressor | CurrentTransformer | Probe | Breaker | Rcd | SurgeProtection | Enclosure | Cable,
    Field(discriminator="kind"),
]
"""Any piece of equipment, told apart by its kind."""
