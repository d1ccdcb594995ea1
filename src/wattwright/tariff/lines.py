"""The lines of a bill: exact quantities times exact prices, rounded as the tariff says. Every bill comes from here."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from wattwright.core.basis import Basis
from wattwright.core.money import ROUNDING, is_currency, minor_unit
from wattwright.core.show import Show
from wattwright.core.wording import register, say
from wattwright.tariff.parts import Part
from wattwright.tariff.quantities import NOUGHT, DemandFigure, Quantities
from wattwright.tariff.schema import EnergySpec, FixedSpec, Priced, TariffSpec

register(
    "en",
    {
        "tariff.line.plain": "{name:text}",
        "tariff.line.period": "{name:text}, {period:text}",
        "tariff.line.block": "{name:text}, {low:text} to {high:text} kWh",
        "tariff.line.block-above": "{name:text}, above {low:text} kWh",
        "tariff.line.rounding": "Rounding",
    },
)
_PERCENT = Decimal("0.01")
_SHARE = Decimal("1e-9")
_QUANTITY_DECIMALS = 3
Rows = Sequence[tuple[Part, Quantities]]
"""The parts of one bill in the order of time, each with its quantities."""


class Group(StrEnum):
    """What kind of charge a line is."""

    FIXED = "fixed"
    ENERGY = "energy"
    DEMAND = "demand"
    REACTIVE = "reactive energy"
    EXPORT = "export"
    ENTERED = "entered"
    LEVY = "levy"
    ROUNDING = "rounding"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a bill: ``quantity`` times ``rate`` is ``amount`` after the tariff's rounding.

    ``name`` as the tariff file has it; ``period`` the price period, "" where the line is for all; ``low_kwh`` and
    ``high_kwh`` the ends of its block, None without; ``month`` the bill it stands on; ``unit`` of the quantity: kWh, day, month,
    year, bill, kW month, kVA month, kvarh, or the currency where the rate is a share of other lines.
    """

    name: str
    group: Group
    period: str
    month: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal
    basis: Basis
    source: str = ""
    low_kwh: Decimal | None = None
    high_kwh: Decimal | None = None

    def label(self, show: Show) -> str:
        """Return what stands on the bill before the quantity."""
        data = {"name": self.name, "period": self.period, "low": plain(self.low_kwh), "high": plain(self.high_kwh)}
        return say(f"tariff.line.{self._form()}", data, show)

    @property
    def quantity_decimals(self) -> int:
        """Return how many decimals of the quantity a person reads: of a part of a month as of kWh three, of money its own."""
        most = decimals_of(self.unit) if is_currency(self.unit) else _QUANTITY_DECIMALS
        return min(len(plain(self.quantity).partition(".")[2]), most)

    def _form(self) -> str:
        if self.group is Group.ROUNDING:
            return "rounding"
        if self.low_kwh is not None:
            return "block" if self.high_kwh is not None else "block-above"
        return "period" if self.period else "plain"


def decimals_of(currency: str) -> int:
    """Return how many decimals amounts of a currency have, by the CLDR table: 2 for most, 0 for JPY."""
    return len(plain(minor_unit(currency) % 1).partition(".")[2])


def plain(number: Decimal | None) -> str:
    """Return a decimal in plain digits without needless noughts behind the point, "" for None."""
    if number is None:
        return ""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_units(amount: Decimal, unit: Decimal, rule: str) -> Decimal:
    """Return an amount rounded to whole multiples of ``unit`` by a rule of core.money."""
    return (amount / unit).quantize(Decimal(1), ROUNDING[rule]) * unit


def lines_of(own: Rows, at: int, demands: Mapping[str, DemandFigure]) -> tuple[Line, ...]:
    """Return the lines of the part ``own[at]`` of the bill made of the parts ``own``, in the order of the tariff, levies last."""
    part, used = own[at]
    spec = part.spec
    found = [_amount(spec, line) for line in _charges(own, at, demands)]
    for levy in spec.levies:
        if levy.price is not None:
            quantity, unit, rate = sum(used.energy.values(), NOUGHT), "kWh", levy.price
        else:
            base = (line.amount for line in found if not levy.of or line.name in levy.of)
            quantity, unit, rate = sum(base, NOUGHT), spec.currency, (levy.percent or NOUGHT) * _PERCENT
        found.append(_amount(spec, _line(spec, levy, Group.LEVY, part, quantity, unit, rate)))
    return tuple(found)


def rounding_line(spec: TariffSpec, month: str, amount: Decimal) -> Line | None:
    """Return the line that rounds a bill's sum where the tariff rounds each bill, None where nothing is left to round."""
    if spec.rounding.when != "each bill":
        return None
    unit = _unit(spec)
    off = in_units(amount, unit, spec.rounding.rule) - amount
    if not off:
        return None
    one = Decimal(1)
    return Line("", Group.ROUNDING, "", month, one, "bill", off, off, Basis.CALCULATED)


def _charges(own: Rows, at: int, demands: Mapping[str, DemandFigure]) -> Iterator[Line]:
    part, used = own[at]
    spec = part.spec
    for fixed in spec.fixed:
        yield from _fixed(part, fixed)
    for energy in spec.energy:
        yield from _energy(own, at, energy)
    for demand in spec.demand:
        share = part.month_share if demand.part_month == "by days" else part.bill_share
        quantity = demands[demand.label].billed * share
        yield _line(spec, demand, Group.DEMAND, part, quantity, f"{demand.quantity} month", demand.price)
    yield from _reactive(own, at)
    yield from _export(part, used)
    for entered in spec.entered if part.opens else ():
        yield _line(spec, entered, Group.ENTERED, part, Decimal(1), "bill", entered.amount)


def _reactive(own: Rows, at: int) -> Iterator[Line]:
    part, used = own[at]
    if used.reactive_kvarh is None:
        return
    for reactive in part.spec.reactive:
        sharing = [one for other, one in own if any(entry.label == reactive.label for entry in other.spec.reactive)]
        kvarh = sum((one.reactive_kvarh or NOUGHT for one in sharing), NOUGHT)
        kwh = sum((sum(one.energy.values(), NOUGHT) for one in sharing), NOUGHT)
        excess = max(NOUGHT, kvarh - reactive.free_share * kwh)
        if len(sharing) > 1 and excess:
            excess *= (used.reactive_kvarh / kvarh).quantize(_SHARE)
        yield _line(part.spec, reactive, Group.REACTIVE, part, excess, "kvarh", reactive.price)


def _export(part: Part, used: Quantities) -> Iterator[Line]:
    rule = part.spec.export
    if rule is None:
        return
    for period, quantity in used.export.items():
        if quantity:
            rate = rule.prices[period] if rule.price is None else rule.price
            yield _line(part.spec, rule, Group.EXPORT, part, quantity, "kWh", -rate, period)


def _fixed(part: Part, fixed: FixedSpec) -> Iterator[Line]:
    quantity, unit = fixed_quantity(part, fixed)
    if quantity:
        yield _line(part.spec, fixed, Group.FIXED, part, quantity, unit, fixed.price)


def fixed_quantity(part: Part, fixed: FixedSpec) -> tuple[Decimal, str]:
    """Return the quantity a fixed charge is multiplied with in one part of a bill, and its unit."""
    once = Decimal(1) if part.opens else NOUGHT
    if fixed.per == "day":
        quantity = part.days
    elif fixed.per == "bill":
        quantity = once
    elif fixed.part_month == "whole":
        quantity = once if fixed.per == "month" else (once / 12).quantize(Decimal("1e-9"))
    else:
        quantity = part.month_share if fixed.per == "month" else part.year_share
    if fixed.of == "supply":
        return quantity, fixed.per
    contracted = part.spec.contracted
    size = contracted.kw if fixed.of == "contracted kW" else contracted.kva
    return quantity * (size or NOUGHT), f"{fixed.of.removeprefix('contracted ')} {fixed.per}"


def _energy(own: Rows, at: int, entry: EnergySpec) -> Iterator[Line]:
    part, used = own[at]
    if entry.prices:
        for period, price in entry.prices.items():
            if used.energy.get(period):
                yield _line(part.spec, entry, Group.ENERGY, part, used.energy[period], "kWh", price, period)
        return
    names = entry.periods or part.spec.periods
    period = ", ".join(entry.periods)
    if entry.price is not None:
        quantity = energy_in(used.energy, names)
        if quantity:
            yield _line(part.spec, entry, Group.ENERGY, part, quantity, "kWh", entry.price, period)
        return
    if entry.blocks_per == "day":
        spans = [(NOUGHT, energy_in(day, names)) for day in used.daily]
    else:
        before = sum((energy_in(one.energy, entry.periods or tuple(one.energy)) for _, one in own[:at]), NOUGHT)
        spans = [(before, before + energy_in(used.energy, names))]
    for (low, high), block in zip(block_edges(part, entry), entry.blocks, strict=True):
        quantity = sum((in_block(after, low, high) - in_block(before, low, high) for before, after in spans), NOUGHT)
        if quantity:
            line = _line(part.spec, entry, Group.ENERGY, part, quantity, "kWh", block.price, period)
            yield replace(line, low_kwh=low, high_kwh=high)


def energy_in(energy: Mapping[str, Decimal], names: tuple[str, ...]) -> Decimal:
    """Return the energy of the named periods together, kWh."""
    return sum((energy.get(name, NOUGHT) for name in names), NOUGHT)


def in_block(total: Decimal, low: Decimal, high: Decimal | None) -> Decimal:
    """Return how much of ``total`` lies between ``low`` and ``high`` (None: no end), all in kWh."""
    return max(NOUGHT, (total if high is None else min(total, high)) - low)


def block_edges(part: Part, entry: EnergySpec) -> tuple[tuple[Decimal, Decimal | None], ...]:
    """Return the ends of each block in kWh, scaled to the days of the bill and rounded to the tariff's decimals of kWh."""
    scale = Decimal(1)
    if entry.block_days is not None:
        scale = part.bill_days / entry.block_days
    elif entry.blocks_per == "month" and entry.part_month == "by days":
        scale = part.billed_share
    step = Decimal(1).scaleb(-part.spec.billing.energy_decimals)
    ends = [None if b.upto_kwh is None else (b.upto_kwh * scale).quantize(step) for b in entry.blocks]
    return tuple(zip([NOUGHT, *(end or NOUGHT for end in ends[:-1])], ends, strict=True))


def _line(
    spec: TariffSpec, entry: Priced, group: Group, part: Part, quantity: Decimal, unit: str, rate: Decimal, period: str = ""
) -> Line:
    basis = Basis.PUBLISHED if (entry.basis or spec.basis) == "published" else Basis.ASSUMED
    return Line(entry.label, group, period, part.month, quantity, unit, rate, quantity * rate, basis, entry.source or spec.source)


def _amount(spec: TariffSpec, line: Line) -> Line:
    if spec.rounding.when != "each line":
        return line
    return replace(line, amount=in_units(line.amount, _unit(spec), spec.rounding.rule))


def _unit(spec: TariffSpec) -> Decimal:
    return spec.rounding.unit or minor_unit(spec.currency)
