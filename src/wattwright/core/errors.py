"""One error tree for everything wattwright has to say to a person.

WattwrightError                 anything a person is told as a sentence
├── InputError                  what was given cannot be used; carries every fault found (exit 1)
│   ├── FileError               a file cannot be found, read or written
│   ├── JobError                entries of a job file
│   ├── RecordError             a meter file
│   ├── TariffError             entries of a tariff file, or a tariff that does not cover the record
│   ├── UnitError               a quantity with its unit
│   ├── WeatherError            a weather file
│   └── StoreError              a job that is not in the store, or was changed meanwhile
├── UsageError                  the call contradicts itself (exit 2)
├── Cancelled                   the person stopped long work (exit 1)
├── WorkError                   a process that worked for us ended before its task (exit 1)
└── OwnFault                    something wattwright got wrong (exit 3)
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Self


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands: file, line or row (counted from 1), column, and the field's dotted name."""

    file: str = ""
    line: int | None = None
    column: str = ""
    field: str = ""

    def __str__(self) -> str:
        """Return the parts that are known, from the widest to the narrowest."""
        parts = [self.file] if self.file else []
        if self.line is not None:
            parts.append(f"line {self.line}")
        if self.column:
            parts.append(f"column {self.column}")
        if self.field:
            parts.append(self.field)
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with what was given.

    ``found`` is the text as it stands, shortened; ``wanted`` says what was expected there; ``next_step`` what to do.
    ``code`` is stable and ours; ``data`` holds the values a translation needs.
    """

    code: str
    place: Place
    found: str
    wanted: str
    next_step: str = ""
    data: dict[str, object] = field(default_factory=dict)

    def sentence(self) -> str:
        """Return the fault as one or two sentences: where, found, wanted, next step."""
        where = f"{self.place}: " if str(self.place) else ""
        found = f"found {self.found}; " if self.found else ""
        step = f" {self.next_step}" if self.next_step else ""
        return f"{where}{found}expected {self.wanted}.{step}"

    def as_json(self) -> dict[str, object]:
        """Return the fault as plain data for ``--json`` and for the web."""
        return {
            "code": self.code,
            "file": self.place.file,
            "line": self.place.line,
            "column": self.place.column,
            "field": self.place.field,
            "found": self.found,
            "wanted": self.wanted,
            "next_step": self.next_step,
            "sentence": self.sentence(),
        }


def quoted(text: object, limit: int = 60) -> str:
    """Return ``text`` in double quotes, made printable and cut after ``limit`` characters."""
    plain = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in str(text))
    return f'"{plain[:limit]}…"' if len(plain) > limit else f'"{plain}"'


class WattwrightError(Exception):
    """Anything a person is told as a sentence; ``exit_code`` is what the command line ends with."""

    exit_code = 1

    def as_json(self) -> dict[str, object]:
        """Return the error as plain data: its kind, its sentence and its faults."""
        return {"error": type(self).__name__, "sentence": str(self), "faults": []}


class InputError(WattwrightError):
    """What was given cannot be used. Carries every fault found, in the order of the file."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Take the faults; at least one is needed, since an error with nothing to say helps nobody."""
        self.faults = tuple(faults)
        if not self.faults:
            raise OwnFault("an input error was raised without a fault")
        super().__init__("\n".join(f.sentence() for f in self.faults))

    def __reduce__(self) -> tuple[type[Self], tuple[tuple[Fault, ...]]]:
        """Return how another process makes it anew: from its faults, not from its sentences."""
        return type(self), (self.faults,)

    @classmethod
    def one(cls, code: str, place: Place, *, found: str = "", wanted: str, next_step: str = "", **data: object) -> Self:
        """Return an error of this kind with a single fault."""
        return cls([Fault(code, place, found, wanted, next_step, data)])

    def as_json(self) -> dict[str, object]:
        """Return the error as plain data with each fault apart."""
        return {
            "error": type(self).__name__,
            "sentence": str(self),
            "faults": [f.as_json() for f in self.faults],
        }


class FileError(InputError):
    """A file cannot be found, read or written."""


class JobError(InputError):
    """Entries of a job file are wrong."""


class RecordError(InputError):
    """A meter file cannot be understood."""


class TariffError(InputError):
    """Entries of a tariff file are wrong, or the tariff does not cover the record."""


class UnitError(InputError):
    """A quantity cannot be read: no number, no unit, or a unit of another quantity."""


class WeatherError(InputError):
    """A weather file cannot be understood."""


class StoreError(InputError):
    """A job is not in the store, cannot be taken into it, or was changed meanwhile."""


class UsageError(WattwrightError):
    """The call contradicts itself."""

    exit_code = 2


class Cancelled(WattwrightError):
    """The person stopped long work; no file is half-written."""


class WorkError(WattwrightError):
    """A process that worked for us ended before its task, by the system or by a person."""


class OwnFault(WattwrightError):
    """Something wattwright itself got wrong; never the person's doing."""

    exit_code = 3
