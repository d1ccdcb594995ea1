"""Single-line diagrams for tests: the grid, sources of every kind, feeders of every way."""

from wattwright.gear.wiring.netlist import Terminal
from wattwright.gear.wiring.single_line import RAIL, Branch, Element, Feeder, Incoming, Source

METER = "three-phase meter with three split-core transformers 100 A, dry contact and a name as long as names may be here"


def feeders(count):
    """Feeders of every way."""
    ways = ("", "in line", "contactor", "control input")
    return tuple(
        Feeder(f"A load with a long name, number {n}", "2 x " if n % 3 == 0 else "", 900.0 + 40 * n,
        "breaker C 10 A" if n % 4 else "",
               "residual-current device 300 mA" if n % 2 else "", ways[n % 4], "motor contactor 9 A", "2.5 mm², 42 m", n)
        for n in range(count)
    )  # fmt: skip


def coming(system="single-phase", *sources, meter="", carries=False, generator=False, earthing=""):
    """What feeds the rail, with the changeovers that its sources need."""
    elements = [Element("supply", "supply", f"Supply: {system}, 230 V"), Element("meter", "meter", "meter of the grid operator"),
                Element("main", "breaker", "main protection: 63 A, isolates the grid: meter box beside the door")]  # fmt: skip
    if meter:
        elements.append(Element("site meter", "site meter", meter[:100]))
    if generator:
        told = "changeover: grid or generator, never both;\nopens lines and neutral; interlock: mechanical"
        elements.append(Element("changeover", "changeover", told))
    if carries:
        told = "changeover: inverter, parts it from the grid;\nwhich poles it opens: to be asked; interlock: to be asked"
        elements.append(Element("parting", "parting", told))
    return Incoming(system, tuple(elements), sources, earthing)


def array(number, *, guarded=True):
    """A PV array with everything it may have."""
    name = f"PV {number}"
    elements = (
        Element(name, "PV", "2 x 12 modules\n1 x 14 modules"), Element(f"{name} fuses", "fuse", "fuses 15, 20 A"),
        Element(f"{name} DC", "isolator", "DC isolator: under the roof hatch; surge protection"),
        Element(f"{name} inverter", "inverter", "its inverter"),
        Element(f"{name} AC", "isolator", "AC isolator: board, left row"),
    )  # fmt: skip
    branch = Branch(f"{name} DC", f"{name} surge", "surge")
    return Source(f"PV array {number}, 12.5 kWp", elements, RAIL, (branch,) if guarded else ())


def battery(bond="bond contact"):
    """A battery with an inverter that carries the site."""
    elements = (
        Element("battery", "battery", "10 kWh"), Element("battery DC", "isolator", "DC isolator: on its case"),
        Element("inverter", "inverter", "8 kVA"), Element("inverter AC", "isolator", "AC isolator: beside the inverter"),
    )  # fmt: skip
    branch = Branch("inverter AC", "bond", bond, "bond of N to PE, closes when it feeds alone")
    return Source("battery with its inverter", elements, RAIL, (branch,))


def generator(bond="bond"):
    """A generator in place of the grid."""
    elements = (Element("generator", "generator", "6 kW\nits inlet"), Element("its breaker", "breaker", "its breaker: shed"))
    branch = Branch("its breaker", "its bond", bond, "bond of N to PE, fixed")
    return Source("generator", elements, Terminal("changeover", "3"), (branch,))
