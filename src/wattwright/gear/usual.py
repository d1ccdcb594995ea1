"""What loads of a name usually are: for someone on the telephone who knows the name, the power and the voltage."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from wattwright.core.errors import InputError, Place, quoted
from wattwright.gear.circuit.appliance import Duty
from wattwright.gear.select.need import Sensed
from wattwright.gear.select.protection import Where


@dataclass(frozen=True, slots=True)
class Senses:
    """What a controller of such a load senses: the quantity, its range (°C or %), where, and the usual differential."""

    quantity: Sensed
    low: float
    high: float
    where: Where
    differential: float


@dataclass(frozen=True, slots=True)
class UsualLoad:
    """What a load of a name usually is. Source: common practice, no source; the plate of the load decides."""

    duty: Duty
    continuous: bool
    power_factor: float | None = None
    senses: Senses | None = None
    cautions: tuple[str, ...] = ()


_SCALD = (
    "Hot water under 60 °C may breed Legionella, above 50 °C it scalds: keep the tank's own thermostat and limiter, heat it "
    "through as the rules of the place ask, and mix the water down."
)
_GOODS = "Goods spoil without anybody noticing: keep the alarm of the store on a supply that is not switched."
_BATHERS = "People are in the water: a licensed person checks bonding, residual-current protection and distances."
_VEHICLE = (
    "A vehicle may leak smooth direct current, which blinds an RCD of type A: type B, or type A with detection of 6 mA in the "
    "charger, on a line of its own (IEC 60364-7-722, from memory)."
)
_RESTART = "A motor starts by itself when the contact closes: a lockable isolator within sight, and a plate that says so."

USUAL: Final[Mapping[str, UsualLoad]] = {
    "water heater": UsualLoad("heater", True, 1.0, Senses("temperature", 5.0, 80.0, "tank", 5.0), (_SCALD,)),
    "immersion heater": UsualLoad("heater", True, 1.0, Senses("temperature", 5.0, 80.0, "tank", 5.0), (_SCALD,)),
    "room heating": UsualLoad("heater", True, 1.0, Senses("temperature", 0.0, 35.0, "indoors", 1.0)),
    "floor heating": UsualLoad("heater", True, 1.0, Senses("temperature", 0.0, 45.0, "pipe", 1.0)),
    "heat lamp": UsualLoad("lamp", True, 1.0, Senses("temperature", 0.0, 45.0, "indoors", 1.0)),
    "room cooling": UsualLoad("compressor", True, None, Senses("temperature", 5.0, 40.0, "indoors", 1.0)),
    "cold room": UsualLoad("compressor", True, None, Senses("temperature", -30.0, 15.0, "cold store", 2.0), (_GOODS,)),
    "freezer": UsualLoad("compressor", True, None, Senses("temperature", -40.0, 0.0, "cold store", 3.0), (_GOODS,)),
    "humidity": UsualLoad("compressor", True, None, Senses("humidity", 20.0, 100.0, "indoors", 5.0)),
    "greenhouse": UsualLoad("heater", True, 1.0, Senses("temperature", -10.0, 50.0, "horticulture", 2.0)),
    "fan": UsualLoad("motor", True, None, None, (_RESTART,)),
    "pool pump": UsualLoad("motor", True, None, None, (_BATHERS, _RESTART)),
    "irrigation pump": UsualLoad("motor", True, None, Senses("soil moisture", 0.0, 60.0, "buried", 5.0), (_RESTART,)),
    "pump": UsualLoad("motor", True, None, None, (_RESTART,)),
    "motor": UsualLoad("motor", True, None, None, (_RESTART,)),
    "charger": UsualLoad("electronics", True, None, None, (_VEHICLE,)),
    "lighting": UsualLoad("lamp", True),
    "cooking": UsualLoad("heater", False, 1.0),
    "laundry": UsualLoad("heater", False, 1.0),
    "standby": UsualLoad("electronics", True),
    "other": UsualLoad("heater", True),
}
"""By the name of the load; those a survey knows are among them. Source: common practice, no source."""


def usual_load(name: str, field: str = "--load") -> UsualLoad:
    """Return what a load of this name usually is; raises InputError with the nearest names where none is known."""
    words = " ".join(name.lower().replace("-", " ").split())
    if words in USUAL:
        return USUAL[words]
    near = difflib.get_close_matches(words, USUAL, n=1, cutoff=0.6)
    step = f"Did you mean {near[0]}?" if near else 'Take the nearest, or say "other" with its duty.'
    wanted = "one of " + ", ".join(USUAL)
    raise InputError.one("gear.load", Place(field=field), found=quoted(name), wanted=wanted, next_step=step)
