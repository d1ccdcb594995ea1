"""The bill of materials: what is ordered, how much of it, for what, and what it adds up to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from wattwright.catalogue.equipment.items import Item
from wattwright.catalogue.equipment.range import Range


@dataclass(frozen=True, slots=True)
class Line:
    """So much of an item for something; ``unit`` is pcs or m, ``says`` what it is where no range has it."""

    id: str
    quantity: float
    unit: str
    used_for: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of the bill: what, how much in all, for what, its price in all (None where it has none), whether the store has it.

    ``item`` is None where no range has it; then ``name`` says what it must be.
    """

    item: Item | None
    name: str
    quantity: float
    unit: str
    used_for: tuple[str, ...]
    total: Decimal | None
    currency: str
    in_stock: bool | None


@dataclass(frozen=True, slots=True)
class BillOfMaterials:
    """The rows, what they add up to in each currency, and how many have no price."""

    rows: tuple[Row, ...]
    totals: Mapping[str, Decimal]
    unpriced: int


_CENT = Decimal("0.01")


def bill_of(lines: Iterable[Line], range_: Range) -> BillOfMaterials:
    """Return the bill of so many lines; each item stands once, with everything it is for.

    Totals are rounded row by row to the hundredth, so that they add up to what is printed.
    """
    gathered: dict[tuple[str, str], list[Line]] = {}
    for line in lines:
        gathered.setdefault((line.id or line.says, line.unit), []).append(line)
    rows = tuple(_row(range_.get(of[0].id), unit, of, range_) for (_, unit), of in gathered.items())
    totals: dict[str, Decimal] = {}
    for row in rows:
        if row.total is not None:
            totals[row.currency] = totals.get(row.currency, Decimal(0)) + row.total
    return BillOfMaterials(rows, totals, sum(row.total is None for row in rows))


def _row(item: Item | None, unit: str, lines: list[Line], range_: Range) -> Row:
    quantity = sum(line.quantity for line in lines)
    used = tuple(dict.fromkeys(line.used_for for line in lines))
    if item is None:
        return Row(None, lines[0].says, quantity, unit, used, None, "", None)
    total = None if item.price is None else (item.price * Decimal(str(quantity))).quantize(_CENT)
    enough = None if item.stock is None else item.stock >= quantity
    return Row(item, item.name, quantity, unit, used, total, range_.currency.get(item.id, ""), enough)
