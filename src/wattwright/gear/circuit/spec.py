"""A circuit as a person describes it. What nobody said is taken on the careful side and asked, or not checked; never guessed."""

from typing import Literal, TypeVar

from pydantic import Field, ValidationInfo, field_validator

from wattwright.core.fields import CurrentA, LengthM, ResistanceOhm, Share, Spec, TemperatureC
from wattwright.gear.circuit.appliance import Appliance, RuleSet
from wattwright.gear.circuit.tables import table

One = TypeVar("One")
IecMethod = Literal["A1", "A2", "B1", "B2", "C", "D1", "D2", "E"]
Method = Literal[IecMethod, "raceway", "cable"]
Laid = Literal[
    "bunched", "wall", "ceiling", "tray", "ladder", "ducts touching", "ducts 0.25 m apart", "buried touching",
    "buried one diameter apart", "buried 0.25 m apart",
]  # fmt: skip
Place = Literal["indoors", "outdoors", "bathroom", "pool", "horticulture"]

METHODS = {
    "A1": "single cores in conduit in a heat-insulated wall",
    "A2": "cable in conduit in a heat-insulated wall",
    "B1": "single cores in conduit on a wall",
    "B2": "cable in conduit on a wall",
    "C": "cable clipped to a wall",
    "D1": "cable in a duct in the ground",
    "D2": "cable laid in the ground",
    "E": "cable in free air",
    "raceway": "single wires in raceway",
    "cable": "non-metallic cable",
}
"""Each method of installation in words; those in capitals are of IEC 60364-5-52, the other two of the NEC."""
_LAID: dict[str, tuple[Laid, ...]] = {
    "A1": ("bunched",), "A2": ("bunched",), "B1": ("bunched",), "B2": ("bunched",), "C": ("wall", "ceiling", "bunched"),
    "D1": ("ducts touching", "ducts 0.25 m apart"),
    "D2": ("buried touching", "buried one diameter apart", "buried 0.25 m apart"),
    "E": ("tray", "ladder", "bunched"), "raceway": ("bunched",), "cable": ("bunched",),
}  # fmt: skip
"""How circuits can lie beside one another in each method; the first is the usual."""


class Origin(Spec):
    """What a licensed person measures at the board, for every circuit that begins there."""

    upstream_drop: Share | None = Field(None, ge=0, le=0.2, description="drop from the origin to the board; usual: 0.5 to 2 %")
    earthing: Literal["TN", "TT"] | None = Field(None, description="IEC: earthing of the supply")
    loop_ohm: ResistanceOhm | None = Field(
        None, alias="loop_impedance", gt=0, le=500, description="IEC: fault-loop impedance measured at the board"
    )
    earth_ohm: ResistanceOhm | None = Field(
        None, alias="earth_resistance", gt=0, le=5000, description="TT: resistance of the earth electrode with its conductor"
    )
    prospective_a: CurrentA | None = Field(
        None, alias="prospective_current", gt=0, le=200_000, description="highest short-circuit current at the board"
    )


class CircuitSpec(Origin):
    """One final circuit. Length is that of the route, one way.

    Survey: the route, how the cable lies and beside what, the warmest air or soil, the earthing of the supply; measured by a
    licensed person: prospective current and loop impedance at the board.
    """

    rules: RuleSet = Field("iec", description="rule set: iec (60364) or nec")
    appliance: Appliance = Field(description="what is fed")
    length_m: LengthM = Field(alias="length", gt=0, le=1000, description="of the route from board to appliance, one way")
    method: Method = Field(description="how it is installed: A1 to E by IEC 60364-5-52; raceway or cable under the NEC")
    insulation: Literal["PVC", "XLPE"] = Field("PVC", description="IEC: PVC for 70 °C, XLPE for 90 °C at the conductor")
    conductor_c: Literal[60, 75, 90] = Field(90, alias="conductor", description="NEC: temperature rating of the wire, °C")
    terminals_c: Literal[60, 75] = Field(60, alias="terminals", description="NEC: what all terminals are marked for, °C")
    material: str = Field("copper", description="of the conductors: copper only")
    parallel: int = Field(1, description="conductors in parallel: one only")
    ambient_c: TemperatureC | None = Field(None, alias="ambient", ge=-40, le=80, description="warmest air; the tables' is 30 °C")
    ground_c: TemperatureC | None = Field(None, alias="ground", ge=-10, le=70, description="warmest soil; the tables' is 20 °C")
    soil_resistivity: float | None = Field(None, gt=0, le=10, description="thermal, of the soil, K m/W; the tables' is 2.5")
    circuits: int | None = Field(None, ge=1, le=60, description="loaded circuits side by side, this one counted in")
    laid: Laid | None = Field(None, description="how circuits lie beside one another")
    third_harmonic: Share | None = Field(None, ge=0, le=1, description="third harmonic of the current; usual: motors 0 %")
    drop_limit: Share | None = Field(None, gt=0, le=0.2, description="usual: IEC 3 % for lamps, 5 % for others; NEC 3 %")
    start_drop_limit: Share = Field(0.15, gt=0, le=0.4, description="most drop while a motor starts; usual: 10 to 15 %")
    start_power_factor: Share = Field(0.65, gt=0, le=1, description="of a motor that starts; usual: 35 to 65 %")
    let_through_a2s: float | None = Field(
        None, alias="let_through", gt=0, le=1e9, description="energy the protection lets through, A2s, from its data sheet"
    )
    device: Literal["breaker", "fuse"] = Field("breaker", description="breaker, or (IEC) fuse gG")
    curve: Literal["B", "C", "D"] | None = Field(None, description="IEC breaker: its curve; chosen if left out")
    rated_a: CurrentA | None = Field(None, alias="rated", gt=0, description="rating of protection that is there already")
    residual_a: CurrentA | None = Field(None, alias="residual", gt=0, le=1, description="of an RCD that is there already")
    sockets: bool = Field(False, description="whether it feeds socket-outlets")
    place: Place = Field("indoors", description="where the appliance is")

    @field_validator("material")
    @classmethod
    def _copper(cls, given: str) -> str:
        if given != "copper":
            told = "copper|Aluminium and other metals need tables, terminals and joints of their own, which are not covered here."
            raise ValueError(told)
        return given

    @field_validator("parallel")
    @classmethod
    def _one(cls, given: int) -> int:
        if given != 1:
            raise ValueError("1|Conductors in parallel have rules of their own, which are not covered here.")
        return given

    @field_validator("method")
    @classmethod
    def _of_the_rules(cls, given: str, info: ValidationInfo) -> str:
        nec = info.data.get("rules") == "nec"
        return _among(given, tuple(one for one in METHODS if (one in ("raceway", "cable")) == nec), "the NEC" if nec else "IEC")

    @field_validator("laid")
    @classmethod
    def _of_the_method(cls, given: str, info: ValidationInfo) -> str:
        method = info.data.get("method", "")
        return _among(given, tuple(map(str, _LAID.get(method, ()))), f"method {method}")

    @field_validator("device")
    @classmethod
    def _fuses_are_gg(cls, given: str, info: ValidationInfo) -> str:
        return _among(given, ("breaker",), "the NEC") if info.data.get("rules") == "nec" else given

    @field_validator("curve")
    @classmethod
    def _of_a_breaker(cls, given: str, info: ValidationInfo) -> str:
        if info.data.get("rules") == "nec" or info.data.get("device") == "fuse":
            raise ValueError("no curve here|Letters of curves are those of breakers to IEC 60898-1. Leave it out.")
        return given

    @field_validator("rated_a")
    @classmethod
    def _listed(cls, given: float, info: ValidationInfo) -> float:
        device = info.data.get("device", "breaker")
        return _among(given, ratings(info.data.get("rules", "iec"), device), f"a {device}")

    @field_validator("residual_a")
    @classmethod
    def _sold(cls, given: float) -> float:
        return _among(given, tuple(float(one) for one in table("iec")["residual"]["listed_a"]), "an RCD")

    @property
    def lies(self) -> Laid:
        """Return how circuits lie beside one another, the usual way where nobody said."""
        return self.laid or _LAID[self.method][0]

    @property
    def buried(self) -> bool:
        """Return whether it lies in the ground."""
        return self.method in ("D1", "D2")


def ratings(rules: RuleSet, device: str) -> tuple[float, ...]:
    """Return the listed ratings of a kind of protection, A."""
    return tuple(float(one) for one in table(rules)[device]["rated_a"])


def _among(given: One, listed: tuple[One, ...], of: str) -> One:
    if given not in listed:
        told = ", ".join(f"{one:g}" if isinstance(one, float) else str(one) for one in listed)
        raise ValueError(f"one of {told} for {of}|Say how it really is; what is not listed is not covered.")
    return given
