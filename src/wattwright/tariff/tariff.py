"""A tariff: its versions in time, and the file that holds one or several."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date

from wattwright.core.errors import Fault, Place, TariffError, quoted
from wattwright.tariff.schema import TariffSpec


@dataclass(frozen=True, slots=True)
class Tariff:
    """One tariff: ``versions`` in the order of their dates, each day under at most one of them.

    ``file`` it was read from, "" without one, and ``lines`` there on which each charge begins, by label: for messages only.
    """

    id: str
    name: str
    currency: str
    versions: tuple[TariffSpec, ...]
    file: str = field(default="", compare=False)
    lines: Mapping[str, int] = field(default_factory=dict, compare=False)

    def version_on(self, day: date) -> TariffSpec:
        """Return the version that holds on a local date; raises TariffError when none does."""
        for version in self.versions:
            if (version.first or date.min) <= day <= (version.last or date.max):
                return version
        raise TariffError.one(
            "tariff.uncovered",
            Place(self.file, field=self.id),
            found=f"no version that holds on {day.isoformat()}",
            wanted="prices for every day of the record",
            next_step="Add a [[tariff]] entry with the same id for that time, or move from and to.",
            day=day.isoformat(),
        )


@contextmanager
def naming(tariff: Tariff) -> Iterator[None]:
    """Name file, line and tariff in the faults of a charge that are raised inside, which hold its label."""
    try:
        yield
    except TariffError as error:
        raise TariffError(replace(fault, place=_place(tariff, fault)) for fault in error.faults) from error


def _place(tariff: Tariff, fault: Fault) -> Place:
    label = str(fault.data.get("label", ""))
    named = f"tariff {quoted(tariff.id)}, charge {quoted(label)}, {fault.place.field}"
    return Place(tariff.file, tariff.lines.get(label), field=named)


@dataclass(frozen=True, slots=True)
class TariffFile:
    """The tariffs of a file in the order in which their ids first appear."""

    name: str
    tariffs: tuple[Tariff, ...]

    def tariff(self, id: str = "") -> Tariff:
        """Return the tariff with an id, or the only one; raises TariffError when that is not one tariff."""
        found = [one for one in self.tariffs if one.id == id or (not id and len(self.tariffs) == 1)]
        if found:
            return found[0]
        known = ", ".join(one.id for one in self.tariffs)
        raise TariffError.one(
            "tariff.unknown",
            Place(self.name),
            found=f'"{id}"' if id else f"{len(self.tariffs)} tariffs",
            wanted=f"the id of one of its tariffs: {known}",
            next_step="Name one of them.",
        )


def joined(
    entries: Iterable[TariffSpec], file: str = "", lines: Mapping[str, Mapping[str, int]] | None = None
) -> tuple[Tariff, ...]:
    """Return the entries of a file as tariffs: those with the same id joined in the order of their dates.

    ``file`` is its name, ``lines`` the line of each charge, by id and label.
    """
    by_id: dict[str, list[TariffSpec]] = {}
    for entry in entries:
        by_id.setdefault(entry.id, []).append(entry)
    return tuple(_tariff(versions, file, (lines or {}).get(id_, {})) for id_, versions in by_id.items())


def _tariff(versions: list[TariffSpec], file: str, lines: Mapping[str, int]) -> Tariff:
    ordered = tuple(sorted(versions, key=lambda version: version.first or date.min))
    return Tariff(ordered[0].id, ordered[-1].name, ordered[0].currency, ordered, file, lines)
