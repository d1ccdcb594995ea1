"""What must hold of every circuit, whatever is asked."""

from hypothesis import given, settings, strategies as st

from wattwright.core.errors import InputError
from wattwright.core.fields import Held
from wattwright.gear.circuit.appliance import Appliance
from wattwright.gear.circuit.choose import judge, rules_of, set_of
from wattwright.gear.circuit.design import circuit_of, design
from wattwright.gear.circuit.sets import cables, protections
from wattwright.gear.circuit.spec import CircuitSpec

IEC_LAID = {
    "A1": ["bunched"], "A2": ["bunched"], "B1": ["bunched"], "B2": ["bunched"], "C": ["wall", "ceiling", "bunched"],
    "D1": ["ducts touching", "ducts 0.25 m apart"], "D2": ["buried touching", "buried one diameter apart", "buried 0.25 m apart"],
    "E": ["tray", "ladder", "bunched"],
}  # fmt: skip


@st.composite
def asked(draw):
    """Entries of a circuit, by either rule set; the appliance's own under "appliance"."""
    rules = draw(st.sampled_from(["iec", "nec"]))
    system = draw(st.sampled_from(["single-phase", "split-phase", "three-phase"]))
    volts = {"iec": (230.0, 240.0, 400.0), "nec": (120.0, 240.0, 208.0)}[rules]
    voltage = dict(zip(["single-phase", "split-phase", "three-phase"], volts, strict=True))[system]
    most_w = 7000.0 if system == "single-phase" else 33_000.0
    appliance = {
        "duty": draw(st.sampled_from(["heater", "motor", "compressor", "lamp", "electronics"])), "system": system,
        "voltage_v": Held(voltage), "power_w": Held(draw(st.floats(50.0, most_w))), "continuous": draw(st.booleans()),
    }  # fmt: skip
    route = {"appliance": appliance, "rules": rules, "length_m": Held(draw(st.floats(1.0, 200.0)))}
    route["ambient_c"] = Held(draw(st.floats(10.0, 50.0)))
    if rules == "nec":
        told = {"method": draw(st.sampled_from(["raceway", "cable"])), "terminals_c": draw(st.sampled_from([60, 75]))}
        return {**route, **told, "conductor_c": draw(st.sampled_from([60, 75, 90])), "circuits": draw(st.integers(1, 4))}
    method = draw(st.sampled_from(sorted(IEC_LAID)))
    earthing = draw(st.sampled_from([None, "TN", "TT"]))
    told = {
        "method": method, "laid": draw(st.sampled_from(IEC_LAID[method])), "insulation": draw(st.sampled_from(["PVC", "XLPE"])),
        "circuits": draw(st.integers(1, 6)), "ground_c": Held(draw(st.floats(5.0, 50.0))),
        "soil_resistivity": draw(st.floats(0.5, 3.0)), "third_harmonic": Held(draw(st.sampled_from([0.0, 0.2, 0.4, 0.5]))),
        "earthing": earthing, "loop_ohm": None if earthing is None else Held(draw(st.floats(0.05, 3.0))),
        "earth_ohm": None if earthing is None else Held(draw(st.floats(1.0, 3000.0))),
        "prospective_a": Held(draw(st.floats(200.0, 25_000.0))), "device": draw(st.sampled_from(["breaker", "fuse"])),
        "place": draw(st.sampled_from(["indoors", "outdoors", "bathroom", "pool", "horticulture"])),
        "sockets": draw(st.booleans()), "upstream_drop": Held(draw(st.floats(0.0, 0.02))),
    }  # fmt: skip
    return {**route, **told}


def spec_of(entries, **changed) -> CircuitSpec:
    """The spec of some entries; what is changed of the appliance begins with "of_"."""
    appliance = {**entries["appliance"], **{key[3:]: value for key, value in changed.items() if key.startswith("of_")}}
    others = {key: value for key, value in changed.items() if not key.startswith("of_")}
    told = {key: value for key, value in {**entries, **others}.items() if value is not None}
    return CircuitSpec(**{**told, "appliance": Appliance(**appliance)})


def size(entries, **changed) -> float:
    """The section that comes out, without end where nothing listed does."""
    try:
        return design(spec_of(entries, **changed)).chosen.cable.area_mm2
    except InputError:
        return float("inf")


@settings(max_examples=150)
@given(entries=asked(), more=st.floats(1.0, 3.0))
def test_larger_load_never_gets_a_smaller_cable(entries, more) -> None:
    """More power on the same route never ends on less copper."""
    assert size(entries) <= size(entries, of_power_w=Held(more * entries["appliance"]["power_w"].value))


@settings(max_examples=100)
@given(entries=asked(), more=st.floats(1.0, 4.0))
def test_longer_run_never_gets_a_smaller_cable(entries, more) -> None:
    """A longer route never ends on less copper, but where limits widen beyond 100 m (IEC, Annex G)."""
    length_m = entries["length_m"].value
    longer = min(more * length_m, 100.0) if entries["rules"] == "iec" else more * length_m
    if longer >= length_m:
        assert size(entries) <= size(entries, length_m=Held(longer))


@settings(max_examples=100)
@given(entries=asked(), more_k=st.floats(0.0, 30.0))
def test_warmer_never_gets_a_smaller_cable(entries, more_k) -> None:
    """Warmer air and warmer soil never end on less copper."""
    warmer = {"ambient_c": Held(entries["ambient_c"].value + more_k)}
    if "ground_c" in entries:
        warmer["ground_c"] = Held(min(entries["ground_c"].value + more_k, 70.0))
    assert size(entries) <= size(entries, **warmer)


@settings(max_examples=100)
@given(entries=asked(), more=st.integers(0, 15))
def test_more_grouped_never_gets_a_smaller_cable(entries, more) -> None:
    """More circuits side by side never end on less copper."""
    assert size(entries) <= size(entries, circuits=entries["circuits"] + more)


@settings(max_examples=100)
@given(entries=asked(), limits=st.tuples(st.floats(0.025, 0.1), st.floats(0.025, 0.1)), start=st.floats(0.03, 0.15))
def test_tighter_limit_never_admits_more(entries, limits, start) -> None:
    """A tighter limit of the drop, running or starting, never ends on less copper."""
    tight, loose = sorted(limits)
    assert size(entries, drop_limit=Held(loose)) <= size(entries, drop_limit=Held(tight))
    assert size(entries) <= size(entries, start_drop_limit=Held(start))


@settings(max_examples=200)
@given(entries=asked())
def test_chosen_set_passes_rule_by_rule(entries) -> None:
    """Each rule run again on its own passes the chosen set, found is not above limit, and the next smaller size fails one."""
    spec = spec_of(entries)
    try:
        found = design(spec)
    except InputError:
        return
    circuit = circuit_of(spec)
    for rule in rules_of(circuit):
        alone = rule(circuit, found.chosen)
        assert alone is None or alone.result != "failed"
        assert alone is None or alone.margin is None or alone.margin >= -1e-9
    listed = cables(spec)
    at = [one.size for one in listed].index(found.chosen.cable.size)
    if at:
        below = judge(circuit, set_of(circuit, found.chosen.protection, listed[at - 1]))
        assert found.deciding_rule in [one.id for one in below if one.result == "failed"]
    else:
        assert found.deciding_rule == "smallest-size"
    assert all(not one.fails for one in found.next_sizes if one.area_mm2 > found.chosen.cable.area_mm2)


@settings(max_examples=100)
@given(entries=asked())
def test_nothing_is_above_its_ratings(entries) -> None:
    """The protection carries what runs, its capacity covers what was said, the RCD is no coarser than called for."""
    try:
        found = design(spec_of(entries))
    except InputError:
        return
    chosen, spec = found.chosen, found.spec
    assert found.current.running_a <= chosen.protection.rated_a
    assert spec.prospective_a is None or chosen.protection.breaking_a >= spec.prospective_a
    if spec.rules == "iec" and (spec.earthing == "TT" or spec.place in ("bathroom", "pool")):
        assert chosen.residual_a is not None
        assert chosen.residual_a <= (0.03 if spec.place in ("bathroom", "pool") else 0.3)


@settings(max_examples=60)
@given(entries=asked())
def test_no_smaller_cable_passes(entries) -> None:
    """Gone through one by one, no listed protection passes with a smaller cable; where nothing comes out, none passes at all."""
    spec = spec_of(entries)
    try:
        circuit = circuit_of(spec)
        chosen_mm2 = design(spec).chosen.cable.area_mm2
    except InputError as error:
        if error.faults[0].code != "circuit.none":
            return
        chosen_mm2 = float("inf")
    passing = [
        cable.area_mm2
        for protection in protections(circuit)
        for cable in cables(spec)
        if not [one for one in judge(circuit, set_of(circuit, protection, cable)) if one.result == "failed"]
    ]
    assert min(passing, default=float("inf")) == chosen_mm2
