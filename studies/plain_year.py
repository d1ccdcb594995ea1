"""A year of an invented site of stores, simulated by the compiled engine and by its plain twin: what differs, and how far."""

from typing import Any

from tests.simulate.stores import both

DAYS = 365
DATA = (
    "tests/simulate/stores.py", "tests/simulate/plain_year.py", "tests/control/plain_rules.py", "tests/loads/plain_years.py",
)  # fmt: skip
"""The twin lies with the tests."""


def run() -> dict[str, Any]:
    """Return counts of switchings, whether they are alike, and by how much instants and states differ.

    Only what does not hang on the machine's last digits is kept: differences as the power of ten they stay below. Each form finds
    the instant of a thermostat to about a millionth of a second, and what is off there moves the next one.
    """
    told = both(DAYS)
    kept = {
        key: told[key] for key in ("days", "contacts_moved", "contacts_alike", "causes", "own_switchings", "own_switchings_alike")
    }
    bounds = {"furthest_apart_s": 1e-5, "running_times_apart": 1e-9, "tank_apart_k": 1e-9}
    return {
        **kept,
        **{f"{name}_below_{bound:g}": bool(told[name] < bound) for name, bound in bounds.items()},
        "no_power_within_1e-9_w_of_a_threshold": bool(told["nearest_to_a_threshold_w"] > 1e-9),
    }
