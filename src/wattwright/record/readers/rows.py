"""Where each row of readings stands: its number and its file, also where several files were joined."""

from bisect import bisect_right
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """The number of each row in its file, from 1 (``numbers``, shape (n,)).

    ``names`` are the files that were joined, one where there is only one; ``starts`` the index of each file's first row.
    ``counted`` says what is numbered ("item") where it is not the lines of a text.
    """

    numbers: NDArray[np.integer[Any]]
    names: tuple[str, ...]
    starts: tuple[int, ...] = (0,)
    counted: str = ""

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.numbers)

    def number(self, row: int) -> int:
        """Return the number in its file of row index ``row``."""
        return int(self.numbers[row])

    def name(self, row: int) -> str:
        """Return the file in which row index ``row`` stands."""
        return self.names[bisect_right(self.starts, row) - 1]

    def parts(self) -> list[slice]:
        """Return the rows of each file, as slices."""
        ends = (*self.starts[1:], len(self))
        return [slice(start, end) for start, end in zip(self.starts, ends, strict=True)]

    def place(self, row: int, column: str = "") -> Place:
        """Return where row index ``row`` stands."""
        if self.counted:
            return Place(self.name(row), None, column, f"{self.counted} {self.number(row):,}")
        return Place(self.name(row), self.number(row), column)

    def elsewhere(self, row: int, beside: int) -> str:
        """Return " of FILE" where row index ``row`` stands in another file than ``beside``, else an empty text."""
        return "" if self.name(row) == self.name(beside) else f" of {self.name(row)}"

    def only(self, kept: "NDArray[np.bool_] | slice") -> "Rows":
        """Return the rows kept, of a single file; raises ValueError where several were joined."""
        if len(self.names) > 1:
            raise ValueError("rows are left out before files are joined")
        return Rows(self.numbers[kept], self.names, counted=self.counted)


def joined(parts: "list[Rows]") -> Rows:
    """Return the rows of several files one behind the other."""
    starts: list[int] = []
    at = 0
    for part in parts:
        starts += [at + start for start in part.starts]
        at += len(part)
    names = tuple(name for part in parts for name in part.names)
    return Rows(np.concatenate([part.numbers for part in parts]), names, tuple(starts), parts[0].counted)
