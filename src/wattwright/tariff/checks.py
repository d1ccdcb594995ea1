"""What must hold between the entries of a tariff file: every instant priced exactly once, and every name known."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from wattwright.core.errors import Fault, InputError, quoted
from wattwright.core.money import is_currency
from wattwright.core.specfile import Path_, SpecText, in_order
from wattwright.tariff.coverage import hidden_windows, overlapping_seasons, reached_periods, uncovered
from wattwright.tariff.periods import holiday_numbers
from wattwright.tariff.schema import EnergySpec, ExportSpec, Priced, TariffSpec

_DEMAND_WINDOWS_S = (900.0, 1800.0, 3600.0)


@dataclass(slots=True)
class _Faults:
    """Collects faults at their places."""

    source: SpecText
    found: list[Fault] = field(default_factory=list)

    def add(self, code: str, path: Path_, found: str, wanted: str, step: str) -> None:
        """Note a fault at ``path``."""
        self.found.append(Fault(f"tariff.{code}", self.source.place(path), found, wanted, step, {}))


@dataclass(frozen=True, slots=True)
class Entry:
    """A tariff entry to check: its number in the file, from 0, and the tables and keys that are wrong in themselves.

    What is ``broken`` stands in ``spec`` as if it were left out; no check that would look at it is made.
    """

    index: int
    spec: TariffSpec
    broken: frozenset[str] = frozenset()


def faults(entries: Sequence[Entry], source: SpecText) -> tuple[Fault, ...]:
    """Return every fault between the entries of a file, in the order of its lines."""
    noted = _Faults(source)
    for entry in entries:
        for check, reads in _CHECKS:
            if entry.broken.isdisjoint(reads):
                check(entry.spec, ("tariff", entry.index), noted)
    _versions([one for one in entries if one.broken.isdisjoint(("id", "from", "to", "currency"))], noted)
    return tuple(in_order(noted.found))


def priced_entries(spec: TariffSpec) -> Iterator[tuple[Path_, Priced]]:
    """Yield every charge of a tariff with its path below the entry, in the order of the lines of a bill."""
    yield from ((("fixed", i), one) for i, one in enumerate(spec.fixed))
    yield from ((("energy", i), one) for i, one in enumerate(spec.energy))
    yield from ((("demand", i), one) for i, one in enumerate(spec.demand))
    yield from ((("reactive", i), one) for i, one in enumerate(spec.reactive))
    if spec.export:
        yield ("export",), spec.export
    yield from ((("entered", i), one) for i, one in enumerate(spec.entered))
    yield from ((("levy", i), one) for i, one in enumerate(spec.levies))


def _basics(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    if not is_currency(spec.currency):
        noted.add("currency", (*at, "currency"), quoted(spec.currency), "an ISO 4217 currency code", "Write for example EUR.")
    if spec.first and spec.last and spec.last < spec.first:
        noted.add("dates", (*at, "to"), str(spec.last), f"a day not before {spec.first}", "Turn from and to round.")
    year = spec.first or date(2020, 1, 1)
    try:
        holiday_numbers(spec, year, year)
    except InputError as wrong:
        fault = wrong.faults[0]
        noted.add("holidays", (*at, "holidays"), fault.found, fault.wanted, fault.next_step)


def _labels(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    seen: dict[str, str] = {}
    for path, entry in priced_entries(spec):
        kind = str(path[0])
        if entry.label in seen and not (kind == "energy" and seen[entry.label] == "energy"):
            noted.add(
                "label",
                (*at, *path, "label"),
                quoted(entry.label),
                "a label that no other charge has",
                "Only entries of [[tariff.energy]] may share a label; they are then one charge.",
            )
        seen.setdefault(entry.label, kind)


def _windows(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    names, before = {season.name for season in spec.seasons}, len(noted.found)
    for index, window in enumerate(spec.windows):
        for season in sorted(set(window.seasons) - names):
            noted.add(
                "season",
                (*at, "window", index, "seasons"),
                quoted(season),
                "one of " + ", ".join(sorted(names)) if names else "a season of this tariff",
                "Add it as a [[tariff.season]], or correct the name.",
            )
        if window.start == window.end:
            noted.add(
                "window", (*at, "window", index, "to"), "the time it begins", "another time", "For a whole day leave both out."
            )
    # With an unknown season or an empty window there is no calendar to look at yet.
    if len(noted.found) == before:
        _calendar(spec, at, noted)


def _calendar(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    for index, one, other in overlapping_seasons(spec):
        noted.add(
            "seasons-overlap",
            (*at, "season", index),
            f"{quoted(one)} sharing days with {quoted(other)}",
            "seasons that do not overlap",
            "Let one end on the day before the other begins.",
        )
    for index in hidden_windows(spec):
        noted.add(
            "window-hidden",
            (*at, "window", index),
            f"hours of {quoted(spec.windows[index].period)} that earlier windows already hold",
            "a window with hours of its own, since the first that fits decides",
            "Move it up, or remove it.",
        )
    gap = uncovered(spec)
    if gap:
        noted.add(
            "gap",
            (*at, "window", 0),
            f"no price period at {gap}",
            "every hour of the year in one period",
            'Add a window for it, or name the period of all other hours: rest = "...".',
        )


def _period_names(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    known = set(spec.periods)
    for path, names in _named_periods(spec):
        for name in sorted(set(names) - known):
            noted.add(
                "period", (*at, *path), quoted(name), "one of " + ", ".join(spec.periods), "Correct the name, or add a window."
            )
    if spec.rest and spec.windows and spec.rest not in reached_periods(spec):
        noted.add("rest", (*at, "rest"), quoted(spec.rest), "hours left over by the windows", "Remove it: none are left.")


def _named_periods(spec: TariffSpec) -> Iterator[tuple[Path_, tuple[str, ...]]]:
    for index, one in enumerate(spec.energy):
        yield ("energy", index, "periods"), one.periods
        yield ("energy", index, "prices"), tuple(one.prices)
    for index, demand in enumerate(spec.demand):
        yield ("demand", index, "periods"), demand.periods
    if spec.export:
        yield ("export", "prices"), tuple(spec.export.prices)


def _energy(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    charges: dict[str, list[tuple[int, EnergySpec]]] = {}
    for index, entry in enumerate(spec.energy):
        charges.setdefault(entry.label, []).append((index, entry))
        _one_way(entry, (*at, "energy", index), noted)
        _blocks(entry, (*at, "energy", index), noted)
        if entry.periods and entry.prices:
            noted.add(
                "prices", (*at, "energy", index, "periods"), "periods beside prices", "one of the two", "Leave periods out."
            )
    for label, entries in charges.items():
        _exactly_once(spec, label, entries, at, noted)


def _one_way(entry: EnergySpec, at: Path_, noted: _Faults) -> None:
    ways = [name for name, given in _ways(entry) if given]
    if len(ways) != 1:
        noted.add(
            "prices",
            at,
            " and ".join(ways) or "no price",
            "one of price, prices or blocks",
            "Keep one of them, or split the entry in two with their own labels.",
        )


def _ways(entry: EnergySpec) -> tuple[tuple[str, bool], ...]:
    return ("price", entry.price is not None), ("prices", bool(entry.prices)), ("blocks", bool(entry.blocks))


def _exactly_once(spec: TariffSpec, label: str, entries: list[tuple[int, EnergySpec]], at: Path_, noted: _Faults) -> None:
    priced: set[str] = set()
    for index, entry in entries:
        mine = set(entry.prices or entry.periods or spec.periods)
        for name in sorted(mine & priced):
            noted.add(
                "priced-twice",
                (*at, "energy", index),
                f"a second price for {quoted(name)} in {quoted(label)}",
                "each period priced once within a charge",
                "Name the periods it is for, or give it a label of its own if it comes on top.",
            )
        priced |= mine
    for name in (one for one in spec.periods if one not in priced):
        noted.add(
            "unpriced",
            (*at, "energy", entries[0][0]),
            f"no price for {quoted(name)} in {quoted(label)}",
            "a price for every period in each charge",
            'Add it; write "0" where it costs nothing.',
        )


def _blocks(entry: EnergySpec, at: Path_, noted: _Faults) -> None:
    ends = [block.upto_kwh for block in entry.blocks]
    for index, end in enumerate(ends):
        lower = ends[index - 1] if index else None
        last = index == len(ends) - 1
        if (end is None) != last:
            wanted = "no upper end on the last block" if last else "an upper end on every block but the last"
            found = "none" if end is None else str(end)
            noted.add("blocks", (*at, "blocks", index), found, wanted, "Energy above the last end needs a price too.")
        if lower is not None and end is not None and end <= lower:
            noted.add("blocks", (*at, "blocks", index), str(end), f"an end above {lower}", "Order the blocks by their ends.")
    if entry.block_days is not None and (not entry.blocks or entry.blocks_per == "day"):
        noted.add("blocks", (*at, "block_days"), str(entry.block_days), "blocks of a month beside it", "Leave block_days out.")


def _capacity(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    needs: list[tuple[Path_, str]] = [
        (("fixed", index, "of"), one.of.removeprefix("contracted ")) for index, one in enumerate(spec.fixed) if one.of != "supply"
    ]
    needs += [(("demand", i, "minimum_share"), one.quantity) for i, one in enumerate(spec.demand) if one.minimum_share]
    for path, unit in needs:
        if (spec.contracted.kva if unit == "kVA" else spec.contracted.kw) is None:
            noted.add(
                "contracted",
                (*at, *path),
                "no contracted capacity",
                f"the contracted {unit}",
                f'Add [tariff.contracted] with {unit.lower()} = "...".',
            )


def _demand(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    for index, one in enumerate(spec.demand):
        if one.window_s not in _DEMAND_WINDOWS_S:
            noted.add(
                "demand-window",
                (*at, "demand", index, "window"),
                f"{one.window_s:g} s",
                "15 min, 30 min or 60 min",
                "Write one of these.",
            )
        if one.target_power_factor is not None and one.quantity == "kVA":
            noted.add(
                "power-factor",
                (*at, "demand", index, "target_power_factor"),
                "a target power factor for kVA",
                "it only where kW are billed",
                "Apparent power already carries the power factor: leave it out.",
            )


def _export(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    if spec.export is None:
        return
    one: ExportSpec = spec.export
    if (one.price is None) == (not one.prices):
        found = "price and prices" if one.prices else "no price"
        noted.add("prices", (*at, "export"), found, "one of price or prices", 'Write price = "0" where it earns nothing.')
    for name in (name for name in spec.periods if one.prices and name not in one.prices):
        noted.add("unpriced", (*at, "export", "prices"), f"no price for {quoted(name)}", "a price for every period", "Add it.")
    if one.surplus != "paid" and one.netting != "each bill":
        noted.add(
            "surplus",
            (*at, "export", "surplus"),
            quoted(one.surplus),
            'netting = "each bill" beside it',
            "Only netting over each bill leaves a surplus to carry or lose.",
        )
    if one.netting == "each bill" and any(entry.blocks and entry.blocks_per == "day" for entry in spec.energy):
        noted.add(
            "netting",
            (*at, "export", "netting"),
            quoted(one.netting),
            "another netting beside blocks per day",
            "Netting over a bill leaves no energy of a single day.",
        )
    if one.settlement_month is not None and one.surplus != "carried":
        noted.add(
            "surplus",
            (*at, "export", "settlement_month"),
            str(one.settlement_month),
            'surplus = "carried" beside it',
            "Leave it out: nothing is carried.",
        )


def _levies(spec: TariffSpec, at: Path_, noted: _Faults) -> None:
    before = {entry.label for path, entry in priced_entries(spec) if path[0] != "levy"}
    for index, levy in enumerate(spec.levies):
        place = (*at, "levy", index)
        if (levy.price is None) == (levy.percent is None):
            found = "price and percent" if levy.price is not None else "neither price nor percent"
            noted.add("levy", place, found, "one of price or percent", "Write two levies if both apply.")
        if levy.of and levy.percent is None:
            noted.add("levy", (*place, "of"), "of without percent", "of only beside percent", "Leave it out.")
        for name in sorted(set(levy.of) - before):
            noted.add(
                "levy-of",
                (*place, "of"),
                quoted(name),
                "the label of a line before it: " + ", ".join(sorted(before)),
                "Correct the name, or move the levy down.",
            )
        before.add(levy.label)


def _versions(entries: Sequence[Entry], noted: _Faults) -> None:
    for number, (index, entry) in enumerate((one.index, one.spec) for one in entries):
        for other in (one.spec for one in entries[:number] if one.spec.id == entry.id):
            if _from(entry) <= _to(other) and _from(other) <= _to(entry):
                noted.add(
                    "versions-overlap",
                    ("tariff", index, "from" if entry.first else "id"),
                    f"days that another version of {quoted(entry.id)} holds too",
                    "versions that follow one another",
                    f"Let one end on {_from(entry) - timedelta(days=1)}, or give it another id."
                    if entry.first and entry.first > _from(other)
                    else "Give each its from and to, or another id.",
                )
            if other.currency != entry.currency:
                noted.add(
                    "currency",
                    ("tariff", index, "currency"),
                    quoted(entry.currency),
                    f"{other.currency}, as in the other version of {quoted(entry.id)}",
                    "Give it another id.",
                )


def _from(spec: TariffSpec) -> date:
    return spec.first or date.min


def _to(spec: TariffSpec) -> date:
    return spec.last or date.max


_HOURS = ("window", "rest")
_CHARGES = ("fixed", "energy", "demand", "reactive", "export", "entered", "levy")
_CHECKS: tuple[tuple[Callable[[TariffSpec, Path_, _Faults], None], tuple[str, ...]], ...] = (
    (_basics, ("currency", "from", "to", "holidays")),
    (_labels, _CHARGES),
    (_windows, ("season", *_HOURS)),
    (_period_names, ("season", *_HOURS, "energy", "demand", "export")),
    (_energy, (*_HOURS, "energy")),
    (_capacity, ("contracted", "fixed", "demand")),
    (_demand, ("demand",)),
    (_export, (*_HOURS, "energy", "export")),
    (_levies, _CHARGES),
)
"""Every check of an entry, with the tables and keys it looks at."""
