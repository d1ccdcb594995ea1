"""Everything for one load, without a job: its switch, circuit, clamp and probe, from what can be read on the plate."""

from dataclasses import dataclass, replace
from math import sqrt
from typing import Any, Literal

from pydantic import Field, field_validator

from wattwright.catalogue.equipment.items import CurrentTransformer
from wattwright.catalogue.equipment.range import Range
from wattwright.core.errors import InputError, Place
from wattwright.core.fields import CurrentA, Held, LengthM, PowerW, Share, Spec, TemperatureC, VoltageV
from wattwright.core.specfile import SpecText, validated
from wattwright.gear.circuit.appliance import Appliance, RuleSet, System
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.results import CircuitDesign
from wattwright.gear.circuit.spec import CircuitSpec, Method, Place as Around
from wattwright.gear.select.answer import Answer, answer, with_usual
from wattwright.gear.select.need import Surroundings
from wattwright.gear.select.transformer import Measured, choose_transformer
from wattwright.gear.usual import USUAL, usual_load

USUAL_V = {"single-phase": 230.0, "split-phase": 240.0, "three-phase": 400.0}
_DAYS = 365.0
_MOST_OF_APPARENT, _LEAST_OF_APPARENT, _LEAST_OF_MOTOR = 1.1, 0.25, 0.1
"""Of the volt-amperes that its current makes the power of a load is no more, as plates are rounded and made for other voltages,
and hardly less; a motor's is that of its shaft. Common practice, no source."""


class QuickSpec(Spec):
    """One load as somebody on the telephone describes it."""

    load: str = Field(description="what it is")
    power_w: PowerW | None = Field(
        None, alias="power", gt=0, le=100_000, description="rated power; of a motor what its shaft gives"
    )
    current_a: CurrentA | None = Field(
        None, alias="current", gt=0, le=400, description="current on the plate, where it tells one"
    )
    system: System = Field("single-phase", description="what feeds it: line and neutral, two lines, or three")
    voltage_v: VoltageV | None = Field(
        None, alias="voltage", ge=100, le=480, description="between its conductors; 230, 240 or 400 V by its system if left out"
    )
    power_factor: float | None = Field(
        None, ge=0.1, le=1, allow_inf_nan=False, description="from the plate, such as 0.85; the usual of its kind if left out"
    )
    efficiency: Share | None = Field(None, ge=0.1, le=1, description="of a motor, from the plate; usual: 60 to 90 %")
    rules: Literal["iec", "nec"] | None = Field(None, description="rule set; nec for two lines, else iec, if left out")
    place: Around = Field("indoors", description="where it is")
    ambient_c: TemperatureC = Field(30.0, alias="ambient", ge=-40, le=80, description="warmest air; usual: 30 °C")
    a_day: float | None = Field(None, ge=0, le=100_000, description="how often it is switched in a day")
    length_m: LengthM | None = Field(
        None, alias="length", gt=0, le=1000, description="of its cable, one way; without it no cable"
    )
    method: Method | None = Field(None, description="how the cable is installed: A1 to E by IEC 60364-5-52; else by the NEC")
    senses: bool = Field(False, description="whether a probe of its own switches it")

    @field_validator("load")
    @classmethod
    def _is_known(cls, given: str) -> str:
        if given not in USUAL:
            raise ValueError(f"one of {', '.join(USUAL)}|Take the nearest, or other.")
        return given

    @property
    def rule_set(self) -> RuleSet:
        """Return the rule set: the one told, else that of its system."""
        return self.rules or ("nec" if self.system == "split-phase" else "iec")


@dataclass(frozen=True, slots=True)
class Quick:
    """What to use: the switch with its reasons, the circuit, and the clamp that measures the load.

    ``circuit`` is None where length or method are open or no circuit passes, and ``not_designed`` says why; ``clamp`` is None
    where none of the range takes the current.
    """

    spec: QuickSpec
    answer: Answer
    circuit: CircuitDesign | None
    not_designed: str
    clamp: CurrentTransformer | None

    @property
    def drawn_w(self) -> float:
        """Return what it draws, W: the power told, but of a motor, or where a current was told, that of its plate."""
        appliance, current = self.answer.appliance, self.answer.current
        if self.spec.power_w is not None and appliance.duty != "motor":
            return self.spec.power_w
        factor = sqrt(3.0) if appliance.system == "three-phase" else 1.0
        return factor * appliance.voltage_v * current.plate_a * current.power_factor


def quick(spec: QuickSpec, range_: Range) -> Quick:
    """Return what to use for one load, of a range. Raises InputError with each entry that cannot be."""
    usual = usual_load(spec.load, "load")
    appliance = with_usual(_appliance(spec), usual)
    _require_alike(spec, appliance)
    circuit, why = _circuit(spec, appliance)
    around = Surroundings(
        ambient_c=spec.ambient_c, place=spec.place, switchings_a_year=None if spec.a_day is None else spec.a_day * _DAYS,
        senses=usual.senses.quantity if spec.senses and usual.senses is not None else None,
        protected_a=None if circuit is None else circuit.chosen.protection.rated_a,
    )  # fmt: skip
    made = answer(appliance, usual, spec.rule_set, around, range_)
    carries_a = made.current.running_a if circuit is None else circuit.chosen.protection.rated_a
    found = choose_transformer(Measured(None, None, carries_a, appliance.loaded), range_).selected
    clamp = None if found is None else range_.get(found.id)
    return Quick(spec, made, circuit, why, clamp if isinstance(clamp, CurrentTransformer) else None)


def _require_alike(spec: QuickSpec, appliance: Appliance) -> None:
    """Raise InputError where power and current cannot both be of one load: one of them was misread from the plate."""
    if spec.power_w is None or spec.current_a is None:
        return
    apparent_va = (sqrt(3.0) if appliance.system == "three-phase" else 1.0) * appliance.voltage_v * spec.current_a
    least = _LEAST_OF_MOTOR if appliance.is_motor else _LEAST_OF_APPARENT
    if least <= spec.power_w / apparent_va <= _MOST_OF_APPARENT:
        return
    wanted = (
        f"a current that goes with {spec.power_w:,.0f} W; at {appliance.voltage_v:.0f} V this one makes {apparent_va:,.0f} VA"
    )
    step = "Read both on the plate again, or give one of them alone."
    found = f"{spec.current_a:g} A"
    raise InputError.one("gear.power-and-current", Place(field="current"), found=found, wanted=wanted, next_step=step)


def _appliance(spec: QuickSpec) -> Appliance:
    known = {
        "power": spec.power_w, "current": spec.current_a, "voltage": spec.voltage_v or USUAL_V[spec.system],
        "power_factor": spec.power_factor, "efficiency": spec.efficiency,
    }  # fmt: skip
    written: dict[str, Any] = {name: Held(value) for name, value in known.items() if value is not None}
    written |= {"name": spec.load, "duty": USUAL[spec.load].duty, "system": spec.system}
    try:
        return validated(SpecText("", "", written, {}), Appliance, InputError, of_code=True)
    except InputError as error:
        # What is wrong with the load as a whole is wrong with what it draws.
        faults = [replace(one, place=replace(one.place, field=one.place.field or "power")) for one in error.faults]
        raise InputError(faults) from error


def _circuit(spec: QuickSpec, appliance: Appliance) -> tuple[CircuitDesign | None, str]:
    if spec.length_m is None or spec.method is None:
        return None, "Say how long its cable is and how it is installed, and it is designed too."
    written: dict[str, Any] = {
        "rules": spec.rule_set, "appliance": appliance, "length": Held(spec.length_m), "method": spec.method,
        "ambient": Held(spec.ambient_c), "place": spec.place,
    }  # fmt: skip
    try:
        return design(validated(SpecText("", "", written, {}), CircuitSpec, InputError, of_code=True)), ""
    except InputError as refused:
        return None, refused.faults[0].sentence()
