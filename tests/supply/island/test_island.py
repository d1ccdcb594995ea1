"""Running without the grid: what ends a fault, how often the neutral is bonded, what is asked and never guessed."""

import json
import math
from itertools import product

import pytest
from hypothesis import given, strategies as st
from pydantic import ValidationError

from tests.supply.island.kit import GENERATOR, KNOWN, asked, circuit, site
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.supply.island.json_form import island_json
from wattwright.supply.island.judge import CAUTIONS, has_sources, island
from wattwright.supply.island.results import IslandCircuit

SHOW = Show("en_GB")


def ends(made, feed="inverter"):
    """What ends short circuit and earth fault, by circuit."""
    return {(one.circuit, one.kind): one.ends for one in made.faults if one.feed == feed}


def codes(made):
    """The codes of the findings without their room."""
    return [one.code.removeprefix("supply.island-") for one in made.findings]


@pytest.mark.parametrize(
    ("curve", "rated", "ratio", "short"),
    [("B", "10 A", 2.0, "breaker"), ("B", "16 A", 2.0, "source"), ("C", "10 A", 2.0, "source"), ("B", "16 A", 2.4, "breaker")],
)
def test_a_breaker_trips_where_the_inverter_gives_what_its_curve_needs(curve, rated, ratio, short):
    """8 kVA at 230 V is 34.8 A: twice that, 69.6 A, trips B 10 (50 A) and neither B 16 (80 A) nor C 10 (100 A); 2.4 times B 16.

    Source: IEC 60898-1, upper ends of the curves: 5, 10, 20 times the rating, within 0.1 s.
    """
    small = {"appliance": {"name": "heater", "power": "1.5 kW", "voltage": "230 V"}}
    made = island(asked(inverter={**KNOWN, "fault_ratio": ratio}), site(circuit(curve=curve, rated=rated, **small)))
    (feed,) = made.feeds
    assert feed.rated_a == pytest.approx(8000 / 230)
    assert feed.fault_a == pytest.approx(ratio * 8000 / 230)
    assert ends(made)[("heater", "short")] == short
    needs_a = {"B": 5, "C": 10}[curve] * float(rated.removesuffix(" A"))
    assert {one.tripping_a for one in made.faults} == {needs_a}


def test_a_fault_current_too_short_trips_nothing():
    """A breaker needs up to 0.1 s (IEC 60898-1): what lasts 20 ms is no trip, and what nobody stated is not known."""
    one = circuit(rated="10 A", appliance={"name": "heater", "power": "1.5 kW", "voltage": "230 V"})
    quick = {**KNOWN, "fault_lasts": "0.02 s", "off_after": "10 s"}
    assert ends(island(asked(inverter=quick), site(one)))[("heater", "short")] == "nothing"
    unsaid = {name: value for name, value in KNOWN.items() if name not in ("fault_lasts", "off_after")}
    assert ends(island(asked(inverter=unsaid), site(one)))[("heater", "short")] == "not known"


def test_nothing_is_guessed_of_a_source():
    """Without data sheet and measurement every fault is not known, each item is asked, and no finding says that all is well."""
    made = island(asked(), site(circuit(), generator=GENERATOR))
    assert set(ends(made).values()) | set(ends(made, "generator").values()) == {"not known"}
    wanted = {f"{what}.{feed}" for what in ("fault-current", "fault-lasts", "off-after", "loop", "bond", "parts", "interlock")
              for feed in ("inverter", "generator")}  # fmt: skip
    told = {one.id for one in made.asked}
    assert wanted <= told
    assert {"isolation.grid", "isolation.battery", "isolation.inverter", "isolation.generator"} <= told
    assert {"electrode.site", "surge.site", "labels.site", "consent.grid operator", "export.grid operator"} <= told
    assert not any(one.result == "passed" for one in made.points)
    assert codes(made).count("faults-open") == 2
    assert "open" in codes(made)


def test_the_end_of_a_long_cable_gives_less():
    """The far end of 60 m of 1.5 mm2: 2 x 0.0225 x 60 / 1.5 = 1.8 ohm (IEC 60364-5-52 annex G) lets 230 / 1.8 = 128 A flow."""
    small = {"appliance": {"name": "lamp", "power": "500 W", "voltage": "230 V"}, "rated": "16 A", "length": "60 m"}
    one = circuit(**small)
    area = one.design.chosen.cable.area_mm2
    made = island(asked(inverter={**KNOWN, "fault_ratio": 10.0}), site(one))
    (short,) = (each for each in made.faults if each.kind == "short")
    assert area == 1.5
    assert short.given_a == pytest.approx(230 / 1.8)
    # The inverter could give 348 A: there it sees no short circuit and does not shut off; the breaker trips at 80 A.
    assert short.ends == "breaker"


def test_a_fault_to_earth_is_left_to_the_rcd():
    """Five times 30 mA flows through any metallic loop; without an RCD the inverter's own shut-down within 0.4 s is what is left.

    Source: IEC 60364-4-41, 411.4.4 with five times the rated residual current, and table 41.1: 0.4 s in TN at 230 V.
    """
    guarded, plain = circuit("guarded", residual="30 mA"), circuit("plain")
    made = island(asked(inverter=KNOWN), site(guarded, plain))
    assert plain.design.chosen.residual_a is None
    assert ends(made)[("guarded", "earth")] == "RCD"
    assert ends(made)[("plain", "earth")] == "source"
    slow = {**KNOWN, "off_after": "0.5 s"}
    late = island(asked(inverter=slow), site(guarded, plain))
    assert ends(late)[("plain", "earth")] == "nothing"
    # A short circuit may last until the cable is too hot: 69.6 A for 0.5 s is 2420 A2s, 1.5 mm2 of PVC stands 29 756 A2s.
    assert ends(late)[("plain", "short")] == "source"
    assert codes(late)[0] == "nothing-ends"
    assert late.findings[0].severity is Severity.STOP


def test_a_loop_that_takes_less_than_the_inverter_gives_does_not_shut_it_off():
    """Through 10 ohm flow 23 A: less than B 16 needs and than the 69.6 A the inverter can give, so nothing ends it."""
    made = island(asked(inverter={**KNOWN, "loop_impedance": "10 ohm"}), site(circuit()))
    (earth,) = (one for one in made.faults if one.kind == "earth")
    assert earth.ends == "nothing"
    # Line and protective conductor of 1.5 mm2, 12.1 ohm/km at 20 degC (IEC 60228), 20 m each way, at 70 degC.
    along_ohm = 2 * 12.1 * (1 + 0.00393 * 50) * 20 / 1000
    assert earth.given_a == pytest.approx(230 / (10 + along_ohm), rel=1e-6)
    unmeasured = {name: value for name, value in KNOWN.items() if name != "loop_impedance"}
    made = island(asked(inverter=unmeasured), site(circuit(), circuit("guarded", residual="30 mA")))
    assert ends(made)[("heater", "earth")] == ends(made)[("guarded", "earth")] == "not known"
    assert "loop.inverter" in [one.id for one in made.asked]


def test_a_cable_that_would_burn_before_the_source_shuts_off_is_no_protection():
    """174 A for 3 s are 90 700 A2s; 1.5 mm2 stands (115 x 1.5)2 = 29 756 (IEC 60364-4-43, 434.5.2): so much for 0.9 s."""
    one = circuit(rated="16 A", curve="D", length="5 m", appliance={"name": "lamp", "power": "500 W", "voltage": "230 V"})
    assert one.design.chosen.cable.area_mm2 == 1.5
    for off_after, how in (("3 s", "nothing"), ("0.9 s", "source")):
        told = {**KNOWN, "fault_ratio": 5.0, "fault_lasts": "0.05 s", "off_after": off_after}
        assert ends(island(asked(inverter=told), site(one)))[("heater", "short")] == how


def test_a_protective_conductor_that_would_burn_is_no_protection_either():
    """60 A have 10 AWG of 5.261 mm2 (NEC table 250.122) beside thicker lines: it stands as ICEA P-32-382 has it, to 150 degC.

    Copper: I2 t / A2 = 0.0297 log((150 + 234) / (T + 234)), A in circular mils, 1973.5 of them in a mm2; from memory.
    """
    one = circuit(
        rules="nec", method="cable", circuits=1, earthing=None, loop_impedance=None, curve=None, rated="60 A", length="5 m",
        appliance={"name": "range", "power": "10 kW", "voltage": "240 V", "system": "split-phase"},
    )  # fmt: skip
    cable, from_c = one.design.chosen.cable, one.design.spec.conductor_c
    assert cable.area_mm2 > cable.earth_mm2 == pytest.approx(5.261, rel=1e-3)
    # 8 kVA over two legs of 120 V are 33.3 A, nine times 300 A: the breaker of 60 A needs 600.
    lasts_s = 0.0297 * math.log10(384 / (from_c + 234)) * (1973.5 * 5.261 / 300) ** 2
    split = {"system": "split-phase", "voltage": "120 V"}
    for off_after_s, how in ((1.05 * lasts_s, "nothing"), (0.95 * lasts_s, "source")):
        told = {**KNOWN, "loop_impedance": "0.2 ohm", "fault_ratio": 9.0, "off_after": f"{off_after_s} s"}
        both = [{"source": "inverter", "conductors": 2}]
        found = ends(island(asked(inverter=told, protection=both), site(one, rules="nec", connection=split)))
        assert off_after_s < 5.0
        assert (found[("heater", "earth")], found[("heater", "short")]) == (how, "source")


def test_under_the_nec_a_source_that_shuts_off_late_ends_no_fault_to_earth():
    """The NEC names no time: 5 s, as far as adiabatic warming holds (common practice, from memory); 60 s is none."""
    split = {"system": "split-phase", "voltage": "120 V"}
    nec = circuit(
        rules="nec", method="cable", circuits=1, earthing=None, loop_impedance=None, curve=None, rated="20 A",
        appliance={"name": "heater", "power": "2 kW", "voltage": "240 V", "system": "split-phase"},
    )  # fmt: skip
    for off_after, how in (("60 s", "nothing"), ("5.1 s", "nothing"), ("4.9 s", "source")):
        told = {**KNOWN, "fault_ratio": 1.2, "off_after": off_after}
        made = island(asked(inverter=told), site(nec, rules="nec", connection=split))
        assert ends(made)[("heater", "earth")] == how
        assert [one.within_s for one in made.faults] == [5.0, 5.0]


def test_without_a_bond_no_rcd_trips():
    """A floating neutral: the first fault draws nothing, and that is a stop."""
    made = island(asked(inverter={**KNOWN, "bond": "none"}), site(circuit(residual="30 mA")))
    assert ends(made)[("heater", "earth")] == "nothing"
    assert {"no-bond", "nothing-ends"} <= set(codes(made))


def test_the_bond_of_the_network_is_none_to_rely_on():
    """IEC: neutral joined and no own bond relies on the network (551.4.3); under the NEC the service has the bond."""
    told = {**KNOWN, "bond": "none", "parts": "lines"}
    made = island(asked(inverter=told), site(circuit(residual="30 mA")))
    assert "network-bond" in codes(made)
    assert ends(made)[("heater", "earth")] == "nothing"
    assert [one.result for one in made.points if one.id == "bond"] == ["passed", "failed"]
    split = {"system": "split-phase", "voltage": "120 V"}
    nec = circuit(
        rules="nec", method="cable", circuits=1, earthing=None, loop_impedance=None, curve=None, rated="20 A",
        appliance={"name": "heater", "power": "2 kW", "voltage": "240 V", "system": "split-phase"},
    )  # fmt: skip
    made = island(asked(inverter={**told, "fault_ratio": 8.0}), site(nec, rules="nec", connection=split))
    assert "network-bond" not in codes(made)
    # 8 kVA over two legs of 120 V: 33.3 A each, eight times 267 A; a 20 A breaker needs ten times its rating (common practice).
    assert made.feeds[0].fault_a == pytest.approx(8 * 8000 / 240)
    # Through 1.2 ohm at the board no more than 100 A flow.
    assert ends(made) == {("heater", "short"): "breaker", ("heater", "earth"): "nothing"}


BONDS = (None, "none", "fixed", "closes when it feeds alone")
PARTS = (None, "lines", "lines and neutral")


def slow_counts(feeds, inverter, generator):
    """Every number of bonds there can be, by walking from the site's neutral to earth over what is closed, all unknowns tried."""
    found = set()
    whole = [
        [bond] if bond else list(BONDS[1:]) for bond in (inverter[0], generator[0])
    ] + [[parts] if parts else list(PARTS[1:]) for parts in (inverter[1], generator[1])]  # fmt: skip
    for bond_i, bond_g, parts_i, parts_g in product(*whole):
        parts = {"inverter": parts_i, "generator": parts_g}
        joined = {"site"}
        if feeds == "grid" or parts[feeds] == "lines":
            joined.add("network")
        if feeds == "generator" or parts_g == "lines":
            joined.add("generator")
        earthed = {"network"}
        if bond_i == "fixed" or (bond_i == "closes when it feeds alone" and feeds == "inverter"):
            earthed.add("site")
        if bond_g == "fixed" or (bond_g == "closes when it feeds alone" and feeds == "generator"):
            earthed.add("generator")
        found.add(len(joined & earthed))
    return found


@pytest.mark.parametrize("inverter", list(product(BONDS, PARTS)), ids=str)
def test_bonds_are_counted_as_a_walk_over_the_conductors_counts_them(inverter):
    """For every answer of either source: what is sure is counted, two are too many in any case, else it is asked."""
    for generator in product(BONDS, PARTS):
        told = {
            name: {key: value for key, value in zip(("bond", "parts"), one, strict=True) if value}
            for name, one in (("inverter", inverter), ("generator", generator))
        }
        made = island(asked(**told), site(generator=GENERATOR))
        assert [one.feeds for one in made.bonds] == ["grid", "inverter", "generator"]
        for one in made.bonds:
            counts = slow_counts(one.feeds, inverter, generator)
            if one.count is None:
                assert len(counts) > 1
                assert min(counts) < 2
            else:
                assert one.count == min(counts)
            assert one.result == ("not checked" if one.count is None else "passed" if one.count == 1 else "failed")
        told_of = codes(made)
        assert told_of.count("no-bond") == sum(one.count == 0 for one in made.bonds)
        assert told_of.count("two-bonds") == sum((one.count or 0) > 1 for one in made.bonds)


def test_a_site_without_a_grid_has_no_operator_and_no_changeover():
    """Stand-alone: one state of the bond, nothing asked of the operator, no interlock with a grid that is not there."""
    alone = {"rating": "8 kVA", "role": "stand-alone"}
    made = island(asked(inverter={**KNOWN, "bond": "fixed"}), site(circuit(residual="30 mA"), inverter=alone))
    assert [(one.feeds, one.count) for one in made.bonds] == [("inverter", 1)]
    assert not {one.id for one in made.points} & {"consent", "export", "interlock"}
    assert "grid" not in made.sources
    unsaid = island(asked(), site(inverter=alone))
    assert "parts.inverter" not in [one.id for one in unsaid.asked]


ANSWERED = {
    "surge": "fitted", "labels": "fitted", "consent": "given", "consent_reference": "47/2026 (invented)", "export_limit": "0 W",
    "export_held": "by the inverter", "electrode_resistance": "12 ohm",
    "isolation": [{"source": one, "where": "beside the board", "lockable": True} for one in ("grid", "battery", "inverter")],
    "protection": [
        {"source": "inverter", "rating": "40 A", "cable_carries": "46 A"},
        {"source": "battery", "rating": "125 A", "current": "110 A", "cable_carries": "150 A"},
    ],
}  # fmt: skip


def test_a_site_that_was_answered_has_nothing_open():
    """Every point passed with clause and status, nothing to ask, no finding but that the source itself ends some faults."""
    made = island(asked(inverter=KNOWN, **ANSWERED), site(circuit(residual="30 mA")))
    assert made.asked == ()
    assert {one.result for one in made.points} == {"passed"}
    assert all(one.clause.startswith("IEC") and one.status == "from memory" for one in made.points)
    assert codes(made) == ["source-ends"]
    data = island_json(made, SHOW)
    assert json.loads(json.dumps(data))["cautions"] == list(CAUTIONS)
    assert {one["clause"] for one in data["faults"]} == {
        "IEC 60364-4-43, 434.5.2; IEC 60364-5-55, 551.5", "IEC 60364-4-41, 411.3.2; IEC 60364-5-55, 551.4",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("told", "of"),
    [
        ({"surge": "not fitted"}, "site"), ({"labels": "not fitted"}, "site"), ({"consent": "asked for"}, "grid operator"),
        ({"export_held": "by nothing"}, "grid operator"), ({"inverter": {**KNOWN, "interlock": "none"}}, "inverter"),
        ({"isolation": [{"source": "grid", "where": "meter box", "lockable": False}]}, "grid"),
    ],
)  # fmt: skip
def test_what_fails_is_a_stop(told, of):
    """Each answer that cannot stand is a stop that names its clause."""
    made = island(asked(**{"inverter": KNOWN, **ANSWERED, **told}), site())
    (failed,) = (one for one in made.findings if one.code == "supply.island-fails")
    assert (failed.severity, failed.where) == (Severity.STOP, of)
    assert "IEC 60364" in failed.do(SHOW) or "operator" in failed.do(SHOW)


@pytest.mark.parametrize(
    ("rules", "told", "result", "found"),
    [
        # 8000 VA / 230 V = 34.78 A; I_B <= I_n <= I_Z: IEC 60364-4-43, 433.1.
        ("iec", {"rating": "35 A", "cable_carries": "46 A"}, "passed", "35 A; at least 34.8 A, at most 46 A"),
        ("iec", {"rating": "32 A", "cable_carries": "46 A"}, "failed", "32 A; at least 34.8 A, at most 46 A"),
        ("iec", {"rating": "50 A", "cable_carries": "46 A"}, "failed", "50 A; at least 34.8 A, at most 46 A"),
        ("iec", {"rating": "40 A"}, "not checked", "40 A; at least 34.8 A, what its cable carries is not known"),
        ("iec", {"rating": "32 A"}, "failed", "32 A; at least 34.8 A, what its cable carries is not known"),
        ("iec", {"rating": "35 A", "current": "36 A", "cable_carries": "46 A"}, "failed", "35 A; at least 36 A, at most 46 A"),
        # 1.25 x 34.78 A = 43.48 A: NEC 705.28, from memory.
        ("nec", {"rating": "40 A", "cable_carries": "60 A"}, "failed", "40 A; at least 43.5 A, at most 60 A"),
        ("nec", {"rating": "45 A", "cable_carries": "60 A"}, "passed", "45 A; at least 43.5 A, at most 60 A"),
    ],
)
def test_what_guards_a_feeder_lies_between_its_current_and_its_cable(rules, told, result, found):
    """A device under the current at work opens for nothing, one over what the cable carries lets it burn."""
    made = island(asked(inverter=KNOWN, protection=[{"source": "inverter", **told}]), site(rules=rules))
    one = next(one for one in made.points if (one.id, one.of) == ("protection", "inverter"))
    assert (one.result, one.found) == (result, found)
    assert ("protection.inverter" in [each.id for each in made.asked]) == (result == "not checked")


THREE = {"system": "three-phase", "voltage": "230 V"}


@pytest.mark.parametrize(
    ("told", "result", "least"),
    [
        # By hand: 8000 VA / 230 V = 34.78 A on one conductor, a third of it on each of three, 11.59 A.
        ({"conductors": 1, "rating": "35 A"}, "passed", "at least 34.8 A"),
        ({"conductors": 1, "rating": "16 A"}, "failed", "at least 34.8 A"),
        ({"conductors": 3, "rating": "16 A"}, "passed", "at least 11.6 A"),
        # Between two lines of 398.4 V: 8000 / (1.7321 x 230) = 20.08 A.
        # 8 kVA between two lines are 8000 / (230 sqrt 3) = 20.08 A; as two units of 4 kVA to the neutral 4000 / 230 = 17.39 A.
        ({"conductors": 2, "between": "lines", "rating": "20 A"}, "failed", "at least 20.1 A"),
        ({"conductors": 2, "between": "line and neutral", "rating": "20 A"}, "passed", "at least 17.4 A"),
        (
            {"conductors": 2, "rating": "20 A"},
            "not checked",
            "at least 20.1 A if it stands between lines, 17.4 A if between line and neutral",
        ),
        (
            {"conductors": 2, "rating": "16 A"},
            "failed",
            "at least 20.1 A if it stands between lines, 17.4 A if between line and neutral",
        ),
        # Unknown: 16 A may do or not; 10 A never does, and 35 A always.
        ({"rating": "16 A"}, "not checked", "at least 34.8 A if it feeds one conductor, 11.6 A if all 3"),
        ({"rating": "10 A"}, "failed", "at least 34.8 A if it feeds one conductor, 11.6 A if all 3"),
        ({"rating": "35 A"}, "passed", "at least 34.8 A if it feeds one conductor, 11.6 A if all 3"),
        ({"rating": "16 A", "current": "15 A"}, "passed", "at least 15 A"),
    ],
)
def test_a_feeder_carries_its_current_in_the_conductors_it_feeds(told, result, least):
    """A single-phase inverter on a three-phase supply has all its current in one; who knows no better is asked."""
    told = {"source": "inverter", "cable_carries": "46 A", **told}
    made = island(asked(inverter=KNOWN, protection=[told]), site(connection=THREE))
    one = next(one for one in made.points if (one.id, one.of) == ("protection", "inverter"))
    assert (one.result, one.found) == (result, f"{told['rating']}; {least}, at most 46 A")
    (question,) = [each.ask for each in made.asked if each.id == "protection.inverter"] or [""]
    assert ("how many line conductors it feeds" in question) == (result == "not checked")


def test_an_array_of_one_conductor_is_not_spread_over_three():
    """4.6 kW by its trackers are 20 A in one conductor, and 6.67 A in each of three; of a generator as well."""
    told = [{"source": "PV array", "rating": "16 A", "cable_carries": "25 A", "conductors": 1},
            {"source": "generator", "rating": "16 A", "cable_carries": "25 A", "conductors": 1}]  # fmt: skip
    made = island(asked(protection=told), site(connection=THREE, generator=GENERATOR, has_pv=True, array_ac_w=4600.0))
    found = {one.of: (one.result, one.found) for one in made.points if one.id == "protection"}
    assert found["PV array"] == ("failed", "16 A; at least 20 A, at most 25 A")
    # 6 kW at 0.8 are 7500 VA, 32.61 A in one.
    assert found["generator"] == ("failed", "16 A; at least 32.7 A, at most 25 A")


def test_what_a_source_gives_into_a_fault_is_that_of_its_conductors():
    """8 kVA on one conductor are 34.8 A, and twice that into a fault; where nobody said it, no more than on all three."""
    one, unknown = (
        island(asked(inverter=KNOWN, **more), site(circuit(), connection=THREE)).feeds[0]
        for more in ({"protection": [{"source": "inverter", "rating": "35 A", "conductors": 1}]}, {})
    )
    assert (one.rated_a, one.fault_a) == (pytest.approx(34.783, abs=1e-3), pytest.approx(69.565, abs=1e-3))
    assert unknown.rated_a == pytest.approx(11.594, abs=1e-3)


@pytest.mark.parametrize(("between", "rated_a"), [("lines", 20.08), ("line and neutral", 17.39), (None, 17.39)])
def test_two_units_on_two_conductors_each_give_their_part(between, rated_a):
    """By hand as above: who does not know it may count on no more than the lower current into a fault."""
    told = {"source": "inverter", "conductors": 2, **({"between": between} if between else {})}
    feed = island(asked(inverter=KNOWN, protection=[told]), site(circuit(), connection=THREE)).feeds[0]
    assert feed.rated_a == pytest.approx(rated_a, abs=0.01)


@pytest.mark.parametrize(
    ("told", "short", "earth"),
    [
        ({"conductors": 2, "between": "lines"}, "nothing", "nothing"),
        ({"conductors": 2, "between": "line and neutral"}, "source", "source"),
        ({"conductors": 2}, "not known", "not known"),
        ({"conductors": 1}, "nothing", "nothing"),
        ({}, "not known", "not known"),
    ],
)
def test_a_cable_is_held_against_the_most_that_a_source_may_give(told, short, earth):
    """Where nobody said over which conductors it feeds the higher current warms the cable, and the lower trips the breaker.

    By hand: 5 x 8000 / (sqrt(3) x 230) = 100.4 A between lines, 5 x 8000 / (2 x 230) = 87.0 A to neutral, 57.97 A over all three
    and 173.9 A on one. For 3.5 s 1.5 mm2 bears 92.2 A, (115 x 1.5)2 = 29 756 A2s (IEC 60364-4-43, 434.5.2). D 16 A needs 320 A.
    Through 2.3 ohm and the cable, 0.145 ohm, flow 94.1 A: the source shuts off only where that is all it gives.
    """
    guard = [{"source": "inverter", **told}] if told else []
    lamp = {"name": "lamp", "power": "500 W", "voltage": "230 V"}
    one = circuit(rated="16 A", curve="D", length="5 m", appliance=lamp)
    given = {**KNOWN, "fault_ratio": 5.0, "fault_lasts": "0.05 s", "loop_impedance": "2.3 ohm"}

    def made(off_after):
        return island(asked(inverter={**given, "off_after": off_after}, protection=guard), site(one, connection=THREE))

    assert ends(made("3.5 s"))[("heater", "short")] == short
    assert ends(made("0.3 s"))[("heater", "earth")] == earth
    lacking = [one.data["lacks"] for one in made("3.5 s").findings if one.code == "supply.island-faults-open"]
    assert lacking == (["over which conductors it feeds"] if short == "not known" else [])


def test_conductors_may_be_told_before_the_device_is_known():
    """Without a rating the device is asked for, and the least it must bear follows from the conductors."""
    made = island(asked(inverter=KNOWN, protection=[{"source": "inverter", "conductors": 1}]), site(connection=THREE))
    one = next(one for one in made.points if (one.id, one.of) == ("protection", "inverter"))
    assert (one.result, one.found) == ("not checked", "not answered yet; at least 34.8 A")
    assert "protection.inverter" in [each.id for each in made.asked]


def test_every_feeder_is_asked_for_what_guards_it():
    """Battery, inverter, generator and the array's inverter: nothing is guessed, and what their plates say is asked."""
    made = island(asked(), site(generator=GENERATOR, has_pv=True))
    told = {one.of: one.found for one in made.points if one.id == "protection"}
    # By hand: 6 kW at a power factor of 0.8 are 7500 VA, and 7500 / 230 = 32.609 A: as a least 32.7 A.
    assert told == {
        "PV array": "not answered yet; its current is not known", "battery": "not answered yet; its current is not known",
        "inverter": "not answered yet; at least 34.8 A", "generator": "not answered yet; at least 32.7 A",
    }  # fmt: skip
    (question,) = [one.ask for one in made.asked if one.id == "protection.battery"]
    assert "the local code says which may be fitted" in question
    # An array beside the grid has a feeder; an inverter that is only the array's own has no other.
    alone = island(asked(), site(inverter=None, has_pv=True))
    assert [one.of for one in alone.points if one.id == "protection"] == ["PV array"]


def test_what_feeds_beside_the_grid_only_has_no_faults_of_its_own():
    """An inverter beside the grid carries nothing: no bonds but the network's, yet consent, isolation and labels."""
    made = island(asked(), site(circuit(), inverter={"rating": "5 kVA"}, battery=False, has_pv=True, electrode_ohm=20.0))
    assert (made.feeds, made.faults) == ((), ())
    assert [(one.feeds, one.count) for one in made.bonds] == [("grid", 1)]
    assert made.sources == ("grid", "PV array", "inverter")
    assert {"isolation", "protection", "consent", "export", "labels", "surge", "bond"} == {one.id for one in made.points}
    assert has_sources(site(inverter=None, generator=GENERATOR))
    assert not has_sources(site(inverter=None))


def test_a_circuit_without_a_design_is_asked_for():
    """What is not designed cannot be judged, so its breaker and cable are a question."""
    made = island(asked(inverter=KNOWN), site(IslandCircuit("oven", "Oven", None)))
    assert made.faults == ()
    assert [one.ask for one in made.asked if one.id == "circuit.oven"] == ["breaker and cable of Oven"]


def test_answers_that_contradict_themselves_are_refused():
    """Off before the fault current ends, and a source isolated twice."""
    with pytest.raises(ValidationError, match="shut off"):
        asked(inverter={"fault_lasts": "1 s", "off_after": "0.5 s"})
    with pytest.raises(ValidationError, match="each source once"):
        asked(isolation=[{"source": "grid", "where": "a"}, {"source": "grid", "where": "b"}])
    with pytest.raises(ValidationError, match="each source once in protection"):
        asked(protection=[{"source": "battery", "rating": "100 A"}] * 2)


_RANK = {"nothing": 0, "source": 1, "RCD": 1, "breaker": 1}


@given(
    ratio=st.floats(0.5, 16.0), more=st.floats(1.0, 3.0), lasts=st.floats(0.01, 5.0),
    rated=st.sampled_from(["10 A", "16 A", "20 A"]),
)  # fmt: skip
def test_more_fault_current_never_keeps_a_breaker_from_tripping(ratio, more, lasts, rated):
    """Property: where the breaker trips at one fault current it trips at every higher one that lasts as long."""
    one = circuit(rated=rated, appliance={"name": "heater", "power": "1.5 kW", "voltage": "230 V"}, residual="30 mA")
    told = {**KNOWN, "fault_lasts": f"{lasts:.3f} s", "off_after": "6 s"}
    low, high = (ends(island(asked(inverter={**told, "fault_ratio": r}), site(one))) for r in (ratio, ratio * more))
    for key, how in low.items():
        if how == "breaker":
            assert high[key] == "breaker"
        assert _RANK[high[key]] >= _RANK[how]
