"""What feeds a job's rail, for the single-line diagram: the grid, each own source with its isolators, changeovers and bonds."""

from collections.abc import Sequence

from wattwright.core.bounds import as_least
from wattwright.gear.wiring.netlist import Terminal
from wattwright.gear.wiring.single_line import RAIL, Branch, Element, Incoming, Source
from wattwright.job.array_wiring import ArrayWiring, array_wirings, string_must_a
from wattwright.job.gearing import SiteGear
from wattwright.job.guarding import failing_guards
from wattwright.job.spec import JobSpec, SupplySpec
from wattwright.job.strings_spec import StringsSpec
from wattwright.supply.island.results import CarrierName
from wattwright.supply.island.spec import Carrier, Guarded

_COLUMNS = 4
"""So many sources have a column each on the smallest sheet."""
_ASKED = "to be asked"


def incoming(made: SiteGear, spec: JobSpec, supply: SupplySpec) -> Incoming:
    """Return what feeds the rail of a job."""
    of = _Sources(made, spec, supply)
    own = [*of.battery(), *of.generator()]
    return Incoming(supply.system, of.grid(), (*of.arrays(_COLUMNS - len(own)), *own), of.earthing())


class _Sources:
    """The sources of a job while they are put into words."""

    def __init__(self, made: SiteGear, spec: JobSpec, supply: SupplySpec) -> None:
        self.made, self.spec, self.supply = made, spec, supply
        self.alone = spec.stands_alone
        self.carries = spec.inverter is not None and spec.inverter.role == "carries the site in outages"
        self.failing = {one.where for one in failing_guards(spec)}
        self.places: dict[str, str] = {one.source: one.where for one in spec.island.isolation}

    def where(self, what: str, source: str, told: str = "") -> str:
        """Return an isolator with its place."""
        return f"{what}: {told or self.places.get(source, _ASKED)}"

    def rated(self, source: Guarded) -> str:
        """Return the rating of what guards the feeder of a source, one that fails marked; empty where nobody told it."""
        refused = "REFUSED, " if source in self.failing else ""
        told = (one.rating_a for one in self.spec.island.protection if one.source == source)
        return next((f"{refused}{rating_a:g} A" for rating_a in told if rating_a is not None), "")

    def guarded(self, device: str, source: Guarded, place: str = "overcurrent") -> Element:
        """Return the overcurrent device of the feeder of a source.

        What feeds a board has it at the board, where the most current comes from: an inverter gives little into a fault.
        """
        return Element(device, "overcurrent", f"{place}:\n{self.rated(source) or _ASKED}")

    def grid(self) -> tuple[Element, ...]:
        """Return the line from the grid to the rail; of a stand-alone site what a generator comes in by."""
        supply, meter = self.supply, self.made.measuring
        found = list[Element]()
        if not self.alone:
            main = "to be read" if supply.main_protection_a is None else f"{supply.main_protection_a:g} A"
            isolated = f", isolates the grid: {self.places['grid']}" if "grid" in self.places else ""
            found += [
                Element("supply", "supply", f"Supply: {supply.system}, {supply.voltage_v:g} V"),
                Element("operator's meter", "meter", "meter of the grid operator"),
                Element("main protection", "breaker", f"main protection: {main}{isolated}"),
            ]
        if meter is not None and meter.selected is not None and not self.alone:
            found.append(Element("site meter", "site meter", f"-B0, -P0: {meter.selected.name}"))
        if self.spec.generator is not None and not self.alone:
            found.append(
                Element("changeover", "changeover", _switched("grid or generator, never both", self.spec.island.generator))
            )
        if self.carries:
            found.append(Element("parting", "parting", _switched("inverter, parts it from the grid", self.spec.island.inverter)))
        return tuple(found)

    def arrays(self, columns: int) -> tuple[Source, ...]:
        """Return a source for each PV array, or one for all where there are more than columns."""
        count = len(self.spec.pv)
        if count > columns:
            return (self._array(f"{count} PV arrays", 0, self.spec.strings),)
        return tuple(
            self._array(
                f"PV array {n}, {self.spec.pv[n - 1].peak_w / 1000.0:.3g} kWp", n, [s for s in self.spec.strings if s.array == n]
            )
            for n in range(1, count + 1)
        )

    def _array(self, name: str, number: int, told: Sequence[StringsSpec]) -> Source:
        prefix = f"PV {number}"
        fuses = sorted({one.string_fuse_a for one in told if one.string_fuse_a is not None})
        places = "; ".join(dict.fromkeys(one.isolator for one in told if one.isolator))
        wired = [one for one in array_wirings(self.spec) if one.told in told]
        in_words = _modules(wired) if wired else f"strings: {_ASKED}"
        elements = [Element(prefix, "PV", in_words)]
        if fuses:
            elements.append(Element(f"{prefix} fuses", "fuse", f"fuses {', '.join(f'{one:g}' for one in fuses)} A"))
        guarded = any(one.surge == "fitted" for one in told)
        isolator = self.where("DC isolator", "PV array", places) + ("; surge protection" if guarded else "")
        elements.append(Element(f"{prefix} DC isolator", "isolator", isolator))
        elements.append(Element(f"{prefix} inverter", "inverter", "its inverter" if number else "an inverter each"))
        own = "" if self.spec.inverter is not None else "inverter"
        elements.append(Element(f"{prefix} AC isolator", "isolator", self.where("AC isolator", own)))
        elements.append(self.guarded(f"{prefix} protection", "PV array", "at the board"))
        branch = Branch(f"{prefix} DC isolator", f"{prefix} surge", "surge")
        return Source(name, tuple(elements), branches=(branch,) if guarded else ())

    def battery(self) -> tuple[Source, ...]:
        """Return the inverter, with its battery if any; an inverter that is only an array's own stands with the array."""
        spec = self.spec
        one = spec.inverter
        if one is None or (spec.battery is None and spec.pv and not (self.carries or self.alone)):
            return ()
        elements, name = list[Element](), "inverter"
        if spec.battery is not None:
            name = "battery with its inverter"
            elements += [
                Element("battery", "battery", f"{spec.battery.capacity_wh / 1000.0:.3g} kWh"),
                self.guarded("battery protection", "battery"),
                Element("battery isolator", "isolator", self.where("DC isolator", "battery")),
            ]
        elements.append(Element("inverter", "inverter", f"{one.rating_va / 1000.0:.3g} kVA"))
        isolator = self.where("AC isolator", "inverter")
        at_board = self.guarded("inverter protection", "inverter", "at the board")
        if not (self.carries or self.alone):
            return (Source(name, (*elements, Element("inverter isolator", "isolator", isolator), at_board)),)
        says, branches = _bonded(spec.island.inverter, "inverter", at_board.device)
        return (Source(name, (*elements, Element("inverter isolator", "isolator", isolator + says), at_board), RAIL, branches),)

    def generator(self) -> tuple[Source, ...]:
        """Return the generator, which feeds in place of the grid and never beside it."""
        spec = self.spec
        if spec.generator is None:
            return ()
        says, branches = _bonded(spec.island.generator, "generator", "generator breaker")
        elements = (
            Element("generator", "generator", f"{spec.generator.rating_w / 1000.0:.3g} kW\nits inlet"),
            Element("generator breaker", "breaker", self._breaker() + says),
        )
        # Without a grid the inverter takes its power and stays in front of the site.
        ends = Terminal("inverter" if self.alone else "changeover", "3")
        return (Source("generator", elements, ends, branches),)

    def _breaker(self) -> str:
        """Return the generator's breaker with rating and place, as far as they were told."""
        rated, place = self.rated("generator"), self.places.get("generator", "")
        if rated:
            return self.where(f"its breaker, {rated}", "generator")
        return f"its breaker: {place}; rating {_ASKED}" if place else f"its breaker: rating and place {_ASKED}"

    def earthing(self) -> str:
        """Return the earthing with where the network's bond is."""
        asked, at = self.spec.gear, "service" if self.made.rules == "nec" else "network"
        told = f"earthing: {_ASKED}" if asked.earthing is None else asked.earthing
        if asked.earthing is not None and asked.earth_ohm is not None:
            told = f"{asked.earthing}, {asked.earth_ohm:g} ohm"
        return told if self.alone else f"{told}\nN bonded at the {at}"


def _switched(what: str, one: Carrier) -> str:
    """Return a changeover in words: what it does, what it opens, what interlocks it."""
    opens = f"opens {one.parts}" if one.parts else f"which poles it opens: {_ASKED}"
    locked = f"interlock: {one.interlock or _ASKED}"
    return f"changeover: {what};\n{opens}; {locked}"


def _bonded(one: Carrier, name: CarrierName, of: str) -> tuple[str, tuple[Branch, ...]]:
    """Return what stands beside a source about its bond, and the bond itself where it has one."""
    if one.bond is None:
        return f"; bond of N to PE {_ASKED}", ()
    if one.bond == "none":
        return "; no bond of N to PE", ()
    if one.bond == "fixed":
        return "", (Branch(of, f"bond of the {name}", "bond", "bond of N to PE, fixed"),)
    return "", (Branch(of, f"bond of the {name}", "bond contact", "bond of N to PE, closes when it feeds alone"),)


def _modules(wired: Sequence[ArrayWiring]) -> str:
    """Return strings in words, with voltage and conductors; of such as a rule refuses that first, and no conductors."""
    told = f"{', '.join(map(_strings, wired))}{' modules' if all(one.is_told for one in wired) else ''}{_cold(wired)}"
    return f"REFUSED\n{told}" if any(one.refused for one in wired) else told + _conductors(wired)


def _strings(one: ArrayWiring) -> str:
    """Return strings in words; how many modules are in series is to be asked where nobody said it: sheets tell how many fit."""
    return f"{one.told.parallel} x {one.told.series if one.is_told else _ASKED}"


def _cold(wired: Sequence[ArrayWiring]) -> str:
    """Return the highest voltage of strings on the coldest day; nothing where it, or the number of modules, is not known."""
    known = [one.design.cold_open_v for one in wired if one.design is not None and one.is_told]
    return f"\ncold Voc {max(known):.0f} V" if known else ""


def _conductors(wired: Sequence[ArrayWiring]) -> str:
    """Return what conductors of a string must carry and their size, the heaviest of them; nothing where it is not known."""
    known = [(string_must_a(one.design, one.told), one.a_string) for one in wired if one.design is not None]
    if not known:
        return ""
    current_a, cable = max(known, key=lambda one: one[0])
    return f"\n{'? cable' if cable is None else cable.size}, {as_least(current_a):.3g} A"
