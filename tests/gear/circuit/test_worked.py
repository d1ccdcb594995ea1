"""The worked circuits of the documentation, done by hand step by step, come out of the tool.

Figures are those of docs/worked-circuits.md: worked with a pocket calculator from the tables named there, never with the tool.
"""

import re

import pytest

from tests.gear.circuit.kit import spec
from wattwright.gear.circuit.design import design

HEATER = {
    "appliance": {"name": "water heater of 3 kW", "power": "3 kW", "voltage": "230 V"},
    "method": "C", "ambient": "35 °C", "circuits": 2,
    "upstream_drop": "1 %", "earthing": "TN", "loop_impedance": "0.35 ohm", "prospective_current": "2.4 kA", "let_through": 12000,
}  # fmt: skip
SPLIT = {
    "rules": "nec", "method": "cable",
    "appliance": {"name": "water heater of 4.5 kW", "power": "4.5 kW", "voltage": "240 V", "system": "split-phase",
                  "storage": "190 l"},
}  # fmt: skip
PUMP = {
    "appliance": {"name": "pump of 1.1 kW", "duty": "motor", "power": "1.1 kW", "voltage": "230 V", "power_factor": "90 %",
                  "efficiency": "70 %", "start_ratio": 5},
    "method": "D1", "ground": "25 °C", "soil_resistivity": 1.5, "circuits": 1, "upstream_drop": "0.5 %", "earthing": "TT",
    "earth_resistance": "60 ohm", "place": "outdoors",
}  # fmt: skip
IRRIGATION = {
    "appliance": {"name": "irrigation pump of 7.5 kW", "duty": "motor", "power": "7.5 kW", "current": "15 A",
                  "voltage": "400 V", "system": "three-phase", "power_factor": "84 %", "start_ratio": 6.5},
    "method": "D2", "insulation": "XLPE", "ground": "25 °C", "circuits": 2, "laid": "buried 0.25 m apart", "upstream_drop": "2 %",
    "earthing": "TN", "loop_impedance": "0.3 ohm", "prospective_current": "1.8 kA", "place": "horticulture",
}  # fmt: skip
WELL = {
    "rules": "nec", "method": "raceway", "terminals": 75, "ambient": "40 °C",
    "appliance": {"name": "well pump of 1.5 hp", "duty": "motor", "power": "1.5 hp", "voltage": "230 V", "system": "split-phase",
                  "power_factor": "80 %", "efficiency": "70 %", "start_ratio": 6},
}  # fmt: skip

# (given, length): protection, RCD in mA, size, protective conductor, drop in V, rule that decides, then steps: id -> found, limit
WORKED = [
    (HEATER, 20, "B 16", None, "2.5 mm²", "2.5 mm²", 4.696, "overload", {
        "load": (13.043, 16.0), "overload": (16.0, 21.573), "drop-running": (0.02042, 0.04), "disconnection": (56.37, 230.0),
        "breaking-capacity": (2400.0, 3000.0), "short-circuit": (12000.0, 82656.25), "smallest-size": (1.5, 2.5),
    }),
    (HEATER, 60, "B 16", None, "4 mm²", "4 mm²", 8.804, "drop-running", {
        "overload": (16.0, 28.764), "drop-running": (0.03828, 0.04), "disconnection": (80.95, 230.0),
        "short-circuit": (12000.0, 211600.0),
    }),
    (SPLIT, 20, " 25", None, "10 AWG", "10 AWG", 2.953, "overload", {
        "load": (23.4375, 25.0), "appliance-breaker": (25.0, 30.0), "terminals": (23.4375, 30.0), "ampacity": (18.75, 30.0),
        "overload": (25.0, 30.0), "small-wire": (25.0, 30.0), "drop-running": (0.012303, 0.03), "smallest-size": (2.081, 5.261),
    }),
    (SPLIT, 60, " 25", None, "8 AWG", "8 AWG", 5.758, "drop-running", {
        "terminals": (23.4375, 40.0), "ampacity": (18.75, 40.0), "overload": (25.0, 40.0), "drop-running": (0.02399, 0.03),
    }),
    (PUMP, 20, "C 10", 300.0, "1.5 mm²", "1.5 mm²", 4.110, "smallest-size", {
        "load": (7.5914, 10.0), "overload": (10.0, 22.99), "drop-running": (0.01787, 0.045), "drop-starting": (0.06476, 0.145),
        "inrush": (37.957, 50.0), "disconnection": (18.0, 50.0),
    }),
    (PUMP, 60, "C 10", 300.0, "2.5 mm²", "2.5 mm²", 7.411, "drop-starting", {
        "overload": (10.0, 30.305), "drop-running": (0.03222, 0.045), "drop-starting": (0.11706, 0.145), "inrush": (37.957, 50.0),
    }),
    (IRRIGATION, 20, "D 16", 300.0, "1.5 mm²", "1.5 mm²", 6.570, "smallest-size", {
        "load": (15.0, 16.0), "overload": (16.0, 19.872), "drop-running": (0.016425, 0.03), "drop-starting": (0.08284, 0.13),
        "inrush": (97.5, 160.0), "disconnection": (1.3757, 230.94), "earth-leakage": (0.3, 0.3),
        "breaking-capacity": (1800.0, 3000.0),
    }),
    (IRRIGATION, 60, "D 16", 300.0, "4 mm²", "4 mm²", 7.433, "drop-starting", {
        "overload": (16.0, 33.696), "drop-running": (0.018583, 0.03), "drop-starting": (0.09416, 0.13),
        "disconnection": (1.508, 230.94), "short-circuit": (324000.0, 327184.0),
    }),
    (WELL, 20, " 25", None, "14 AWG", "14 AWG", 3.300, "smallest-size", {
        "load": (10.0, 25.0), "motor-breaker": (25.0, 25.0), "terminals": (12.5, 20.0), "ampacity": (12.5, 20.0),
        "drop-running": (0.014349, 0.03), "drop-starting": (0.07049, 0.15),
    }),
    (WELL, 60, " 25", None, "12 AWG", "12 AWG", 6.427, "drop-running", {
        "terminals": (12.5, 25.0), "ampacity": (12.5, 25.0), "drop-running": (0.027943, 0.03), "drop-starting": (0.13773, 0.15),
    }),
]  # fmt: skip


@pytest.mark.parametrize("worked", WORKED, ids=lambda one: f"{one[0]['appliance']['name']} {one[1]} m".replace(" ", "-"))
def test_as_worked_by_hand(worked) -> None:
    """Protection, cable, drop, the rule that decides and each step's found and limit are those worked by hand."""
    told, length, protection, residual_ma, size, earth, drop_v, decides, steps = worked
    found = design(spec(**told, length=f"{length} m"))
    chosen = found.chosen
    assert f"{chosen.protection.curve} {chosen.protection.rated_a:g}" == protection
    assert (None if chosen.residual_a is None else 1000.0 * chosen.residual_a) == residual_ma
    assert (chosen.cable.size, chosen.cable.earth_size, found.deciding_rule) == (size, earth, decides)
    assert found.drop_v == pytest.approx(drop_v, rel=2e-4)
    made = {one.id: (one.found, one.limit) for one in found.steps}
    for id_, pair in steps.items():
        assert made[id_] == pytest.approx(pair, rel=3e-4), id_


def test_the_documentation_holds_every_worked_figure(root) -> None:
    """The page names each size, drop and rule of these cases, so that it cannot tell of other circuits."""
    page = (root / "docs" / "worked-circuits.md").read_text(encoding="utf-8")
    for told, length, _, _, size, _, drop_v, _, _ in WORKED:
        name = told["appliance"]["name"]
        section = re.search(rf"## {re.escape(name)}.*?(?=\n## |\Z)", page, re.DOTALL | re.IGNORECASE)[0]
        assert f"{length} m" in section
        assert size in section
        assert f"{drop_v:.3f} V" in section
