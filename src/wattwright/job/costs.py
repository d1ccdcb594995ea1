"""From a job's tariff files and the main record to what a bill is made of."""

from collections.abc import Callable, Sequence
from pathlib import Path

from wattwright.core.errors import Place, TariffError
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.core.specfile import dotted
from wattwright.demand.site import SitePower, site_power
from wattwright.record.record import Record
from wattwright.tariff.load import load_tariff
from wattwright.tariff.tariff import Tariff
from wattwright.tariff.usage import Usage


def _by_name(*path: str | int) -> Place:
    return Place(field=dotted(path))


def chosen(
    paths: Sequence[Path], paid: str, compare: Sequence[str], place: Callable[..., Place] = _by_name
) -> tuple[Tariff, ...]:
    """Return the tariff paid (the first of the files if ``paid`` is empty), then those named in ``compare``.

    ``place`` says where an entry of the choice stands. Raises FileError, and TariffError for a wrong file, an id that is
    nowhere, or one that stands in two files.
    """
    known: dict[str, Tariff] = {}
    for path in paths:
        for tariff in load_tariff(path).tariffs:
            if tariff.id in known:
                raise TariffError.one(
                    "tariff.id-twice",
                    Place(str(path)),
                    found=f'the id "{tariff.id}" again',
                    wanted="each id in one file only",
                    next_step="Give one of them another id.",
                )
            known[tariff.id] = tariff
    first = _named(paid or next(iter(known)), known, place("tariff", "paid"))
    others = [_named(id_, known, place("tariff", "compare", index)) for index, id_ in enumerate(compare)]
    unlike = {one.id: one for one in others if one is not first}
    return (first, *unlike.values())


def _named(id_: str, known: dict[str, Tariff], place: Place) -> Tariff:
    if id_ in known:
        return known[id_]
    raise TariffError.one(
        "tariff.unknown",
        place,
        found=f'"{id_}"',
        wanted=f"the id of a tariff in the tariff files: {', '.join(known)}",
        next_step="Name one of them.",
    )


def usage_of(record: Record, channel: str = "", power: SitePower | None = None) -> Usage:
    """Return the record as a tariff sees it: import, and export, reactive and apparent power where they were read.

    ``power`` is the site's power where it was made before, its gaps filled or not.
    """
    return Usage(
        imported=(power or site_power(record, channel)).series,
        exported=_first(record, Quantity.ACTIVE_POWER, Direction.EXPORT),
        reactive=_first(record, Quantity.REACTIVE_POWER, Direction.IMPORT),
        apparent=_first(record, Quantity.APPARENT_POWER, Direction.IMPORT),
    )


def _first(record: Record, quantity: Quantity, direction: Direction) -> Series | None:
    """Return the series of the whole supply for a quantity and direction, or None where it was not read."""
    found = [c for c in record.of(quantity) if c.meaning.direction is direction and c.meaning.phase is Phase.TOTAL]
    return found[0].series if found else None
