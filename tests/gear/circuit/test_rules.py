"""Single rules at their edges: what is found, what is the limit, and when nothing can be said. Figures are worked by hand."""

import pytest

from tests.gear.circuit.kit import nec, spec, step
from wattwright.core.errors import InputError
from wattwright.core.show import Show
from wattwright.gear.circuit.design import design

THREE = {"power": "9 kW", "voltage": "400 V", "system": "three-phase"}


def size(given) -> str:
    """The size that comes out."""
    return design(given).chosen.cable.size


def codes(given) -> set[str]:
    """Codes of the findings, whose sentences are whole."""
    found = design(given).findings
    for one in found:
        assert all(text.endswith(".") for text in (one.says(Show()), one.why(Show()), one.do(Show())))
    return {one.code.removeprefix("gear.circuit-") for one in found}


def asked(given) -> set[str]:
    """Ids of what is open."""
    return {one.id for one in design(given).not_checked}


@pytest.mark.parametrize(
    ("given", "result", "residual", "open_"),
    [
        ({}, "not checked", None, "earthing"),
        ({"earthing": "TN"}, "not checked", None, "loop_impedance"),
        ({"earthing": "TT"}, "not checked", 0.03, "earth_resistance"),
        ({"earthing": "TN", "loop_impedance": "1 ohm"}, "passed", None, ""),
        # B 16 needs 80 A: 3 ohm and 0.58 ohm of cores leave 64 A of 230 V
        ({"earthing": "TN", "loop_impedance": "3 ohm"}, "passed", 0.3, ""),
        ({"earthing": "TN", "loop_impedance": "3 ohm", "residual": "0.03 A"}, "passed", 0.03, ""),
        ({"earthing": "TN", "loop_impedance": "200 ohm"}, "passed", 0.1, ""),  # 5 x 0.3 A x 200.6 ohm = 301 V
        ({"earthing": "TT", "earth_resistance": "160 ohm"}, "passed", 0.3, ""),
        ({"earthing": "TT", "earth_resistance": "2000 ohm"}, "passed", 0.01, ""),
        ({"earthing": "TT", "earth_resistance": "100 ohm", "place": "bathroom"}, "passed", 0.03, ""),
        ({"place": "horticulture"}, "not checked", 0.3, "earthing"),
        ({"sockets": True}, "not checked", 0.03, "earthing"),
    ],
)
def test_faults_to_earth(given, result, residual, open_) -> None:
    """Disconnection is checked once earthing and impedance are known; the RCD is the coarsest that does; what lacks is asked."""
    found = design(spec(**given))
    assert next(one.result for one in found.steps if one.id == "disconnection") == result
    assert found.chosen.residual_a == residual
    assert open_ in {one.id for one in found.not_checked} | {""}


def test_rcd_that_takes_the_breakers_place_is_told() -> None:
    """Where the breaker alone is too slow at the far end, a finding says so with the loop there: 3 + 2 x 12.1 x 1.1965 x 0.02."""
    found = design(spec(earthing="TN", loop_impedance="3 ohm"))
    told = next(one for one in found.findings if one.code == "gear.circuit-fault-loop")
    assert told.data["loop"] == pytest.approx(3.5791, abs=1e-4)
    assert "fault-loop" not in codes(spec(earthing="TN", loop_impedance="1 ohm"))
    assert "residual" in codes(spec(earthing="TT", earth_resistance="100 ohm"))
    assert "residual" not in codes(spec(earthing="TT", earth_resistance="100 ohm", residual="0.1 A"))


def test_given_rcd_too_coarse_for_the_electrode_is_refused() -> None:
    """An RCD of 0.3 A on 1000 ohm would leave 300 V on metal: no set passes, and the clause is told."""
    with pytest.raises(InputError, match="300 V against 50 V"):
        design(spec(earthing="TT", earth_resistance="1000 ohm", residual="0.3 A"))


def test_fuse_asks_for_more_cable() -> None:
    """1.5 mm2 in B2 carries 16.5 A: enough for a breaker of 16 A, not for a fuse gG, since 16 > 16.5 x 1.45 / 1.6 = 14.95."""
    assert size(spec(method="B2")) == "1.5 mm²"
    assert size(spec(method="B2", device="fuse")) == "2.5 mm²"
    assert step(spec(method="B2", device="fuse"), "overload").limit == pytest.approx(23 * 1.45 / 1.6)


def test_fuse_disconnects_by_its_gates() -> None:
    """A fuse gG of 16 A is counted on from 150 A within 0.4 s; one of 40 A has 5 s and 190 A (gates, from memory)."""
    small = step(spec(device="fuse", earthing="TN", loop_impedance="0.4 ohm"), "disconnection")
    assert small.found == pytest.approx(150 * (0.4 + 2 * 0.0121 * 1.1965 * 20), rel=1e-6)
    large = step(spec({"power": "9 kW"}, device="fuse", earthing="TN", loop_impedance="0.4 ohm"), "disconnection")
    assert large.found == pytest.approx(190 * (0.4 + 2 * 0.00308 * 1.1965 * 20), rel=1e-6)  # 40 A on 6 mm2
    motor = {"power": "2.2 kW", "duty": "motor", "power_factor": "85 %", "efficiency": "75 %", "start_ratio": 6}
    start = step(spec(motor, device="fuse"), "inrush")
    assert (start.found, start.limit) == (pytest.approx(6 * 2200 / (230 * 0.85 * 0.75)), 95)  # 40 A holds 95 A for 10 s


def test_energy_of_a_short_circuit() -> None:
    """2.5 mm2 stands 82 656 A2s: 100 000 let through ask for 4 mm2; without the data sheet it stays open at 6 kA."""
    found = design(spec(prospective_current="6 kA", let_through=100_000))
    assert (found.chosen.cable.size, found.deciding_rule) == ("4 mm²", "short-circuit")
    assert "let_through" in asked(spec(prospective_current="6 kA"))
    assert step(spec(prospective_current="500 A"), "short-circuit").found == pytest.approx(500**2 * 0.1)
    # 70 A does not trip B 16 at once: up to 5 s
    assert step(spec(prospective_current="70 A"), "short-circuit").found == pytest.approx(70**2 * 5.0)


def test_breaking_capacity_is_the_next_listed() -> None:
    """3.2 kA asks for 4.5 kA; under the NEC 6 kA asks for 10 kA."""
    assert step(spec(prospective_current="3.2 kA"), "breaking-capacity").limit == 4500
    assert step(nec(prospective_current="6 kA"), "breaking-capacity").limit == 10_000


def test_lamps_and_electronics() -> None:
    """Lamps have 3 % and an RCD; the inrush of electronics is asked, and checked once it is known."""
    lamp = design(spec({"duty": "lamp", "power": "500 W"}))
    assert next(one.limit for one in lamp.steps if one.id == "drop-running") == 0.03
    assert lamp.chosen.residual_a == 0.03
    charger = {"duty": "electronics", "power": "3 kW", "power_factor": "98 %"}
    assert step(spec(charger), "inrush").result == "not checked"
    assert "start_ratio" in asked(spec(charger))
    told = design(spec({**charger, "start_ratio": 12}))  # 12 x 13.31 A = 159.7 A: curve D of 16 A holds 160 A
    assert (told.chosen.protection.curve, told.chosen.protection.rated_a) == ("D", 16.0)
    assert "inrush" not in {one.id for one in design(spec({**charger, "start_ratio": 1})).steps}


def test_third_harmonics_load_the_neutral() -> None:
    """40 % third harmonic: the neutral carries 1.2 times the phase, so 0.86 / 1.2 of the ampacity is left (Annex E)."""
    lamps = {**THREE, "duty": "electronics"}
    plain, with_them = (design(spec(lamps, third_harmonic=share)).chain for share in ("0 %", "40 %"))
    assert [one.value for one in with_them.factors] == [pytest.approx(0.86 / 1.2)]
    assert plain.factors == ()
    assert "third_harmonic" in asked(spec(lamps))
    assert [one.value for one in design(spec(lamps, third_harmonic="20 %")).chain.factors] == [0.86]


def test_places_bring_their_questions() -> None:
    """Each place has its finding, under the NEC with ground-fault protection; XLPE tells of terminals."""
    for place in ("pool", "bathroom", "horticulture", "outdoors"):
        assert place in codes(spec(place=place))
        assert {place, "ground-fault"} <= codes(nec(place=place))
    assert "ground-fault" in codes(nec(sockets=True))
    assert "terminals" in codes(spec(insulation="XLPE"))
    assert {"two-lines", "drop-is-advice", "provisional"} == codes(nec())


def test_everything_known_is_no_longer_provisional() -> None:
    """With every question answered nothing is open and nothing is called provisional."""
    told = {
        "ambient": "30 °C", "circuits": 1, "upstream_drop": "0 %", "earthing": "TN", "loop_impedance": "0.5 ohm",
        "prospective_current": "400 A", "material": "copper", "parallel": 1,
    }  # fmt: skip
    found = design(spec(**told))
    assert (found.provisional, found.findings) == (False, ())
    assert {one.result for one in found.steps} == {"passed"}


@pytest.mark.parametrize(("amperes", "rated"), [(6.6, 15), (16, 25), (20, 35), (40, 70)])
def test_hermetic_compressors(amperes, rated) -> None:
    """175 % of the plate's current and the next listed size down, 15 A at least (NEC 440.22, from memory)."""
    one = {"duty": "compressor", "current": f"{amperes} A", "power_factor": "90 %", "start_ratio": 5}
    given = nec(one, length="5 m", terminals=75)
    found = design(given)
    assert found.chosen.protection.rated_a == rated
    assert found.relay is None
    assert step(given, "motor-breaker").limit == rated


def test_overload_relay_by_service_factor() -> None:
    """125 % of the plate's current with a service factor of 1.15 or more, else 115 % (NEC 430.32); IEC: the plate's current."""
    motor = {"duty": "motor", "power": "1.5 hp", "current": "9 A", "voltage": "230 V", "power_factor": "80 %"}
    assert design(nec({**motor, "service_factor": 1.15})).relay.most_a == pytest.approx(11.25)
    assert design(nec(motor)).relay.most_a == pytest.approx(10.35)
    assert design(spec(motor)).relay.most_a == 9.0


def test_nec_corrections_and_terminals() -> None:
    """Three circuits of two wires are six wires, 80 %; 90 degC wires at 46 degC have 82 %; terminals of 60 degC cap the rest."""
    chain = design(nec(circuits=3, ambient="46 °C", terminals=75)).chain
    # 10 AWG: 40 A x 0.82 x 0.80 = 26.24 A, below the 35 A of 75 degC
    assert (chain.table_a, chain.ampacity_a) == (40.0, pytest.approx(26.24))
    assert design(nec(conductor=60, terminals=75)).chain.ampacity_a == 30.0
    assert design(nec(method="cable", terminals=75)).chain.factors[-1].what == "terminals"


def test_small_wires_keep_their_breakers() -> None:
    """12 AWG of 75 degC carries 25 A, and still no breaker above 20 A may stand before it (NEC 240.4(D))."""
    heater = {"power": "4.4 kW", "continuous": False}  # 18.3 A: a breaker of 20 A and 12 AWG
    assert size(nec(heater, terminals=75)) == "12 AWG"
    kept = design(nec(heater, terminals=75, rated="25 A"))
    assert (kept.chosen.cable.size, kept.deciding_rule) == ("10 AWG", "small-wire")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (spec(method="D1", ground="65 °C"), "at most 60 °C"),
        (spec(method="D2", soil_resistivity=3.5), "at most 3 K m/W"),
        (spec(method="D1", circuits=7), "at most 6 circuits"),
        (nec(circuits=50, terminals=75, length="2 m"), "raceway of 2 in at most"),
        (nec(conductor=60, ambient="56 °C"), "at most 55 °C"),
        (nec({"power": "60 kW"}), "15 to 200 A"),
        (nec({"power": "40 kW", "system": "three-phase", "voltage": "208 V"}, length="500 m"), "4/0 AWG, the largest size"),
    ],
)
def test_beyond_a_table_is_refused_with_its_range(given, told) -> None:
    """Where a table ends the answer ends, with the table's range."""
    with pytest.raises(InputError, match=told):
        design(given)


def test_next_size_up_is_not_for_receptacles() -> None:
    """8 AWG of 90 degC at 45 degC carries 55 A x 0.87 = 47.85 A: 50 A may feed it, but not receptacles (240.4(B))."""
    load = {"power": "11 kW", "continuous": False}  # 45.8 A
    warm = {"ambient": "45 °C", "terminals": 75, "length": "5 m"}
    assert step(nec(load, **warm), "overload").limit == 50.0
    assert size(nec(load, **warm)) == "8 AWG"
    assert size(nec(load, **warm, sockets=True)) == "6 AWG"


def test_protection_that_is_there_is_kept() -> None:
    """A breaker of 25 A in the board is kept, and the cable follows it: 27 A x 0.94 = 25.4 A for 2.5 mm2."""
    found = design(spec(rated="25 A", curve="C", ambient="35 °C"))
    assert (found.chosen.protection.rated_a, found.chosen.protection.curve) == (25.0, "C")
    assert found.chosen.cable.size == "2.5 mm²"
