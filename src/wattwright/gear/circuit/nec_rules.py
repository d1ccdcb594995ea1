"""The rules of the NEC for a branch circuit, each a small function of what is asked and a set."""

from wattwright.gear.circuit import common_rules as common
from wattwright.gear.circuit.ampacity import ampacity, terminals_c
from wattwright.gear.circuit.common_rules import judged
from wattwright.gear.circuit.iec_rules import told
from wattwright.gear.circuit.results import Chosen, Circuit, Step
from wattwright.gear.circuit.sets import awg_mm2, motor_most_a, next_listed
from wattwright.gear.circuit.tables import Status, table, weakest
from wattwright.gear.circuit.working import figure


def carries(circuit: Circuit, chosen: Chosen) -> Step:
    """The breaker is rated for the load, 125 % of a continuous one; of a motor for what it draws while it runs."""
    current, rated_a = circuit.current, chosen.protection.rated_a
    motor = circuit.spec.appliance.is_motor
    found_a = current.running_a if motor else current.design_a
    clause = "NEC 430.52" if motor else "NEC 210.20(A)"
    share = "125 % of " if found_a > current.running_a else ""
    working = f"{share}{figure(current.running_a, 'A')}"
    status = Status.FROM_MEMORY if motor else Status.SEEN
    return judged("load", "breaker carries the load", clause, found_a, rated_a, "A", working, status)


def appliance_breaker(circuit: Circuit, chosen: Chosen) -> Step | None:
    """The breaker of a single heater is no larger than its article allows."""
    if circuit.spec.appliance.duty != "heater":
        return None
    held, running_a = table("nec")["appliance"], circuit.current.running_a
    limit_a, working = float(held["small_most_a"]), f"up to {held['small_upto_a']:g} A: {held['small_most_a']} A"
    if running_a > held["small_upto_a"]:
        most_a = held["most"] * running_a
        limit_a, working = next_listed(most_a), f"150 % of {figure(running_a, 'A')} = {figure(most_a, 'A')}, next size up"
    return judged(
        "appliance-breaker", "breaker is small enough for the appliance", held["clause"], chosen.protection.rated_a, limit_a, "A",
        working, Status(held["status"]),
    )  # fmt: skip


def motor_breaker(circuit: Circuit, chosen: Chosen) -> Step | None:
    """The breaker of a motor is no larger than its article allows."""
    spec, running_a = circuit.spec, circuit.current.running_a
    if not spec.appliance.is_motor:
        return None
    held, share = table("nec")["motor"], table("nec")["motor"]["inverse_time"]
    if spec.appliance.duty == "compressor":
        held, share = table("nec")["hermetic"], table("nec")["hermetic"]["most"]
    working = f"{100 * share:g} % of {figure(running_a, 'A')} = {figure(share * running_a, 'A')}"
    what, limit_a = "breaker is small enough for the motor", motor_most_a(spec, running_a)
    return judged("motor-breaker", what, held["clause"], chosen.protection.rated_a, limit_a, "A", working, Status(held["status"]))


def terminal_size(circuit: Circuit, chosen: Chosen) -> Step:
    """Before any correction the size carries the design current in the column of the terminals."""
    held, ends_c = table("nec")["ampacity"], terminals_c(circuit.spec)
    limit_a = float(held[str(ends_c)][held["awg"].index(chosen.cable.size.removesuffix(" AWG"))])
    clause = "NEC 430.22" if circuit.spec.appliance.is_motor else "NEC 210.19(A)(1), 110.14(C)"
    working = f"{chosen.cable.size} at {ends_c} °C: {figure(limit_a, 'A')}"
    what = "size carries the load before corrections"
    return judged("terminals", what, clause, circuit.current.design_a, limit_a, "A", working, Status(held["status"]))


def carried(circuit: Circuit, chosen: Chosen) -> Step:
    """As it lies the wire carries the load; of a motor 125 % of it."""
    chain, motor = ampacity(circuit.spec, chosen.cable), circuit.spec.appliance.is_motor
    found_a = circuit.current.design_a if motor else circuit.current.running_a
    clause = "NEC 430.22, 310.15" if motor else "NEC 210.19(A)(1), 310.15"
    return judged(
        "ampacity", "wire carries the load as it lies", clause, found_a, chain.ampacity_a, "A", told(chain), chain.status
    )


def overload(circuit: Circuit, chosen: Chosen) -> Step | None:
    """The breaker is at most the ampacity, or the next listed size but for receptacles; None for motors, which have a relay."""
    if circuit.spec.appliance.is_motor:
        return None
    chain = ampacity(circuit.spec, chosen.cable)
    limit_a, working = chain.ampacity_a, f"ampacity {figure(chain.ampacity_a, 'A')}"
    if not circuit.spec.sockets:
        limit_a = next_listed(chain.ampacity_a)
        working += f", next listed size {figure(limit_a, 'A')}"
    status = weakest(chain.status, Status.FROM_MEMORY)
    what = "wire is protected against overload"
    return judged("overload", what, "NEC 240.4(B)", chosen.protection.rated_a, limit_a, "A", working, status)


def small_wire(circuit: Circuit, chosen: Chosen) -> Step | None:
    """The breaker of 14, 12 and 10 AWG is at most 15, 20 and 30 A; None for motors and larger sizes."""
    held, size = table("nec")["small"], chosen.cable.size.removesuffix(" AWG")
    if circuit.spec.appliance.is_motor or size not in held:
        return None
    what, limit_a = "breaker of a small wire", float(held[size])
    return judged(
        "small-wire", what, held["clause"], chosen.protection.rated_a, limit_a, "A", f"{size} AWG copper", Status(held["status"])
    )


def smallest(circuit: Circuit, chosen: Chosen) -> Step:
    """The size is not below the smallest for branch circuits."""
    held = table("nec")["smallest"]
    least_mm2 = awg_mm2(held["awg"])
    what = "smallest size"
    return judged(
        "smallest-size",
        what,
        held["clause"],
        least_mm2,
        chosen.cable.area_mm2,
        "mm²",
        f"{held['awg']} AWG",
        Status(held["status"]),
    )


RULES = (
    carries, appliance_breaker, motor_breaker, terminal_size, carried, overload, small_wire, common.drop_running,
    common.drop_starting, common.breaking, common.short_circuit, smallest,
)  # fmt: skip
"""Every rule, in the order in which they are told."""
