"""What a file gives when it is opened: tables still to be judged, or readings whose file says itself what they are."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.table import Table
from wattwright.record.record import Meaning


@dataclass(frozen=True, slots=True)
class Packing:
    """How a table was wrapped: the encoding, what packed it, and in words what parts its columns where no sign does."""

    encoding: str
    compression: str = ""
    delimiter: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Metered:
    """Readings of one meter whose file gives starts, lengths, units and quality itself.

    ``starts_s`` has shape (n,), UTC seconds of interval starts (of instants for registers). ``values`` and ``quality`` hold one
    array (n,) per column, codes of core.quality; ``meanings`` is None where the file does not say what a column is.
    """

    name: str
    meter: str
    rows: Rows
    starts_s: NDArray[np.int64]
    step_s: int
    names: tuple[str, ...]
    values: tuple[NDArray[np.float64], ...]
    quality: tuple[NDArray[np.uint8], ...]
    meanings: tuple[Meaning | None, ...]
    stamp_format: str
    clock_why: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One table or one meter's readings found in a file, how it was packed, and the meter a table belongs to if it is named.

    ``notes`` is what there is to say about how it was found.
    """

    data: Table | Metered
    packing: Packing
    meter: str = ""
    notes: tuple[Finding, ...] = ()
