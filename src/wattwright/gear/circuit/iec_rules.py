"""The rules of IEC 60364 for a final circuit, each a small function of what is asked and a set."""

from wattwright.gear.circuit import common_rules as common
from wattwright.gear.circuit.ampacity import ampacity
from wattwright.gear.circuit.common_rules import judged, unchecked
from wattwright.gear.circuit.fault import disconnecting_s, holding_a, loop, tripping_a
from wattwright.gear.circuit.results import Chain, Chosen, Circuit, Step
from wattwright.gear.circuit.sets import called_for
from wattwright.gear.circuit.tables import Status, table, weakest
from wattwright.gear.circuit.working import figure


def carries(circuit: Circuit, chosen: Chosen) -> Step:
    """Ib at most In."""
    held, rated_a = table("iec")["overload"], chosen.protection.rated_a
    found_a = circuit.current.design_a
    working = f"Ib = {figure(found_a, 'A')}, In = {figure(rated_a, 'A')}"
    what = "protection carries the load (Ib ≤ In)"
    return judged("load", what, held["clause"], found_a, rated_a, "A", working, Status(held["status"]))


def overload(circuit: Circuit, chosen: Chosen) -> Step:
    """In at most Iz, and I2 at most 1.45 Iz: of a breaker the first is enough, of a fuse gG the second asks for more."""
    held, chain = table("iec")["overload"], ampacity(circuit.spec, chosen.cable)
    protection = chosen.protection
    trips = table("iec")[protection.kind]["trips"]
    limit_a = chain.ampacity_a * min(1.0, held["most"] / trips)
    status = weakest(chain.status, Status(held["status"]))
    share = "" if limit_a == chain.ampacity_a else f"; I2 = {trips:g} In, so In ≤ {held['most']:g}/{trips:g} Iz"
    working = f"Iz = {told(chain)}{share}"
    what = "cable is protected against overload (In ≤ Iz)"
    return judged("overload", what, held["clause"], protection.rated_a, limit_a, "A", working, status)


def told(chain: Chain) -> str:
    """Return an ampacity chain in figures."""
    factors = "".join(f" x {one.value:.3g} ({one.what}: {one.row})" for one in chain.factors)
    return f"{figure(chain.table_a, 'A')} ({chain.clause}){factors} = {figure(chain.ampacity_a, 'A')}"


def inrush(circuit: Circuit, chosen: Chosen) -> Step | None:
    """The starting current at most what the breaker or fuse surely holds; None where nothing starts."""
    current, protection = circuit.current, chosen.protection
    held = table("iec")[protection.kind]
    what, status = "protection holds the start", Status(held["status"])
    if current.starting_a is None:
        return unchecked("inrush", what, held["clause"], "needs the inrush current and its maker's number per breaker", status)
    if circuit.spec.appliance.duty in ("heater", "electronics") and current.starting_a <= current.running_a:
        return None
    limit_a = holding_a(protection)
    how = f"lower end of curve {protection.curve}, for a start of a second or so; longer ones by its own curve"
    how = "holds for 10 s" if protection.kind == "fuse" else how
    working = f"{figure(current.starting_a, 'A')} against {figure(limit_a, 'A')}, {how}"
    return judged("inrush", what, held["clause"], current.starting_a, limit_a, "A", working, status)


def disconnection(circuit: Circuit, chosen: Chosen) -> Step:
    """A fault to earth at the far end is disconnected in time."""
    spec, held = circuit.spec, table("iec")["disconnection"]
    what, status = "fault to earth is disconnected in time", Status(held["status"])
    if spec.earthing is None:
        return unchecked("disconnection", what, held["clause"], "needs the earthing of the supply, TN or TT", status)
    if spec.earthing == "TT":
        return _by_earth(circuit, chosen, what, status)
    loop_ohm = loop(spec, chosen.cable)
    if loop_ohm is None:
        return unchecked("disconnection", what, held["clause"], "needs the fault-loop impedance at the board", status)
    within_s = disconnecting_s(spec, chosen.protection.rated_a)
    tripping = tripping_a(chosen.protection, within_s)
    by = f"{chosen.protection.curve}{chosen.protection.rated_a:g}"
    if chosen.residual_a is not None:
        tripping, by = held["rcd_multiple"] * chosen.residual_a, f"RCD {1000 * chosen.residual_a:g} mA, five times"
    working = f"Zs = {figure(loop_ohm, 'Ω')} at the far end x {figure(tripping, 'A')} ({by}), within {within_s:g} s"
    clause = f"{held['clause']}; 411.4.4"
    return judged("disconnection", what, clause, loop_ohm * tripping, spec.appliance.to_earth_v, "V", working, status)


def _by_earth(circuit: Circuit, chosen: Chosen, what: str, status: Status) -> Step:
    spec, held = circuit.spec, table("iec")["disconnection"]
    clause, residual_a = "IEC 60364-4-41, 411.5.3", chosen.residual_a
    if spec.earth_ohm is None or residual_a is None:
        return unchecked("disconnection", what, clause, "needs the resistance of the earth electrode, RA", status)
    working = (
        f"RA = {figure(spec.earth_ohm, 'Ω')} x {1000 * residual_a:g} mA, "
        f"within {disconnecting_s(spec, chosen.protection.rated_a):g} s"
    )
    return judged("disconnection", what, clause, spec.earth_ohm * residual_a, float(held["touch_v"]), "V", working, status)


def earth_leakage(circuit: Circuit, chosen: Chosen) -> Step | None:
    """The RCD is as fine as place and use call for; None where neither does."""
    called = called_for(circuit.spec, chosen.protection.rated_a)
    if called is None:
        return None
    clause, _, where = called.why.partition(": ")
    found_a = 1.0 if chosen.residual_a is None else chosen.residual_a
    what = "earth-leakage protection (RCD)"
    return judged("earth-leakage", what, clause, found_a, called.most_a, "A", where, called.status)


def smallest(circuit: Circuit, chosen: Chosen) -> Step:
    """The section is not below the smallest for power circuits."""
    held = table("iec")["smallest"]
    what = "smallest section"
    return judged(
        "smallest-size", what, held["clause"], held["mm2"], chosen.cable.area_mm2, "mm²", "copper, power and lighting",
        Status(held["status"]),
    )  # fmt: skip


RULES = (
    carries, overload, common.drop_running, common.drop_starting, inrush, disconnection, earth_leakage, common.breaking,
    common.short_circuit, smallest,
)  # fmt: skip
"""Every rule, in the order in which they are told."""
