"""A load that was asked about without a job, as an entry of a job's survey."""

from collections.abc import Mapping
from typing import Any, Final

import tomlkit

from wattwright.core.show import Show
from wattwright.gear.quick import Quick
from wattwright.job.loads import KINDS

_LIKE: Final[Mapping[str, str]] = {
    "immersion heater": "water heater", "floor heating": "room heating", "fan": "motor", "pump": "motor",
}  # fmt: skip
"""Names that a quick answer knows and a survey files under another kind."""
_CONDUCTORS: Final = {"single-phase": "line and neutral", "split-phase": "two lines", "three-phase": "three lines"}
_PLAIN: Final = Show("en_US")


def as_load(made: Quick, name: str, id_: str) -> dict[str, Any]:
    """Return a load as the job file writes it: what was told of it, its rating as what it draws, free to be switched."""
    spec = made.spec
    wiring = tomlkit.inline_table()
    told = {
        "length": _told(spec.length_m, "m"), "method": spec.method, "place": spec.place if spec.place != "indoors" else None,
        "conductors": _CONDUCTORS[spec.system], "voltage": _told(spec.voltage_v, "V"),
        "plate_current": _told(spec.current_a, "A"),
        "shaft": _told(spec.power_w, "W") if made.answer.appliance.duty == "motor" else None,
        "efficiency": _told(None if spec.efficiency is None else 100 * spec.efficiency, "%"), "switchings_a_day": spec.a_day,
    }  # fmt: skip
    wiring.update({key: value for key, value in told.items() if value is not None})
    kind = spec.load if spec.load in KINDS else _LIKE.get(spec.load, "other")
    return {
        "id": id_, "name": name, "kind": kind, "rating": _told(round(made.drawn_w, 1), "W"),
        "power_factor": round(made.answer.current.power_factor, 3), "controllable": True, "interrupt": "mains", "wiring": wiring,
    }  # fmt: skip


def _told(value: float | None, unit: str) -> str | None:
    return None if value is None else f"{_PLAIN.plain(value).replace(',', '')} {unit}"
