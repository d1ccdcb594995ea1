"""Conductors of a PV array against tables worked by hand and the formula of the wire gauge."""

import pytest

from wattwright.gear.circuit.direct import LEAST_MM2, direct_cable, drop_share


@pytest.mark.parametrize(
    ("rules", "current_a", "air_c", "circuits", "size", "carries_a"),
    [
        # IEC 60364-5-52 B.52.12, method E, 90 degC: 4 mm2 49 A, 6 mm2 63 A; at 70 degC sqrt(20 / 60) = 0.58; two bunched 0.80.
        ("iec", 12.5, 70.0, 1, "4 mm²", 49 * 0.58),
        ("iec", 25.0, 70.0, 2, "6 mm²", 63 * 0.58 * 0.80),
        ("iec", 1.0, 30.0, 1, "4 mm²", 49.0),
        # NEC Table 310.16: 12 AWG 30 A at 90 degC and 25 A at 75; 0.58 at 70 degC; four to six conductors 0.80.
        ("nec", 15.0, 70.0, 1, "12 AWG", 30 * 0.58),
        ("nec", 15.0, 70.0, 2, "10 AWG", 40 * 0.58 * 0.80),
        ("nec", 24.0, 30.0, 1, "12 AWG", 25.0),  # the terminals
    ],
)
def test_the_smallest_conductor_that_carries_it(rules, current_a, air_c, circuits, size, carries_a):
    """Table value, factor of the air and of the conductors beside it; no thinner than is laid to modules."""
    made = direct_cable(rules, current_a, air_c, circuits)
    assert (made.size, made.carries_a) == (size, pytest.approx(carries_a))


@pytest.mark.parametrize(
    ("rules", "current_a", "air_c", "circuits"),
    [("iec", 1000.0, 30.0, 1), ("iec", 1.0, 90.0, 1), ("iec", 1.0, 30.0, 50), ("nec", 500.0, 30.0, 1), ("nec", 1.0, 90.0, 1),
     ("nec", 1.0, 30.0, 600)],
)  # fmt: skip
def test_beyond_the_tables_nothing_is_guessed(rules, current_a, air_c, circuits):
    """Too much current, too warm air, or too many conductors together."""
    assert direct_cable(rules, current_a, air_c, circuits) is None


def test_sections_of_the_wire_gauge_follow_its_formula():
    """ASTM B258: a diameter of 0.127 mm times 92^((36 - n) / 39)."""
    for current_a, awg in ((1.0, 12), (26.0, 10), (36.0, 8), (51.0, 6), (66.0, 4), (86.0, 3), (101.0, 2), (116.0, 1)):
        made = direct_cable("nec", current_a, 30.0, 1)
        area_mm2 = 3.14159265 / 4 * (0.127 * 92 ** ((36 - awg) / 39)) ** 2
        assert (made.size, made.area_mm2) == (f"{awg} AWG", pytest.approx(area_mm2, rel=2e-3))


def test_the_drop_there_and_back():
    """By hand: 2 x 0.0225 x 20 / 4 = 0.225 ohm; 9.5 A over it are 2.14 V of 400 V."""
    cable = direct_cable("iec", 12.5, 30.0, 1)
    assert cable.area_mm2 == LEAST_MM2
    assert drop_share(cable, 20.0, 9.5, 400.0) == pytest.approx(0.225 * 9.5 / 400.0)
