"""The months of a record: which of them rest on estimates."""

from pathlib import Path

from tests.handover.kit import PLAIN, context_with, hours, tables
from wattwright.charts.table import Marked
from wattwright.handover.usage import months


def marks_of(folder: Path, readings: str) -> list[str]:
    """The marks of the energies of the months."""
    table = next(one for one in tables(months(context_with(folder, readings, f'{PLAIN}[repair]\ngaps = "estimate"\n'))))
    found = [row[1] for row in table.rows]
    return [one.basis.value for one in found if isinstance(one, Marked) and one.basis is not None]


def test_a_month_is_marked_by_what_lies_in_it(tmp_path: Path) -> None:
    """Two hours that were filled in March make March estimated, and April, read throughout, is still measured."""
    lines = hours([1.0 + 0.1 * (i % 24) for i in range(24 * 56)]).splitlines()
    assert marks_of(tmp_path, "\n".join(lines) + "\n") == ["m", "m"]
    assert marks_of(tmp_path, "\n".join([*lines[:200], *lines[202:]]) + "\n") == ["e", "m"]
