"""From a job's tariff files and the main record to what a bill is made of."""

from collections.abc import Sequence
from pathlib import Path

from wattwright.core.errors import Place, TariffError
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.demand.site import SitePower, site_power
from wattwright.record.record import Record
from wattwright.tariff.load import load_tariff
from wattwright.tariff.tariff import Tariff
from wattwright.tariff.usage import Usage


def chosen(paths: Sequence[Path], paid: str, compare: Sequence[str]) -> tuple[Tariff, ...]:
    """Return the tariff paid (the first of the files if ``paid`` is empty), then those named in ``compare``.

    Raises FileError, and TariffError for a wrong file, an id that is nowhere, or one that stands in two files.
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
    wanted = dict.fromkeys([paid or next(iter(known)), *compare])
    return tuple(_named(one, known, paths) for one in wanted)


def _named(id_: str, known: dict[str, Tariff], paths: Sequence[Path]) -> Tariff:
    if id_ in known:
        return known[id_]
    raise TariffError.one(
        "tariff.unknown",
        Place(", ".join(path.name for path in paths)),
        found=f'"{id_}"',
        wanted=f"the id of a tariff in these files: {', '.join(known)}",
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
