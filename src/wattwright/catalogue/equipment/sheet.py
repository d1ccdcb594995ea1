"""A user's own range as a spreadsheet: article number, price and stock of what is sold, with the ratings or what it is like."""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any, get_args

from pydantic import BeforeValidator, TypeAdapter, ValidationError

from wattwright.catalogue.equipment.contacts import Coil, Contact
from wattwright.catalogue.equipment.items import Equipment, Item
from wattwright.catalogue.equipment.range import Range
from wattwright.core.errors import Fault, FileError, InputError, Place, quoted
from wattwright.core.files import read_bytes

MOST_BYTES, MOST_ROWS = 20_000_000, 20_000
"""A price list that is larger is none."""

_ADAPTER: TypeAdapter[Any] = TypeAdapter(Equipment)
_PRICE = re.compile(r"^(\d{1,7}([.,](\d{1,2}|\d{4}))?|0[.,]\d{3})$")
"""A point before three digits may part thousands: 1.234 is refused rather than read as either."""
_WHOLE = re.compile(r"^\d{1,9}(\.0)?$")
_COLUMNS = (
    'the columns "id" or "like", "article", "price", "currency" and "stock", and any entry of the equipment, such as '
    '"contact.ratings.AC-1"'
)


@dataclass(frozen=True, slots=True)
class _Row:
    """A row with what stands in its filled cells, by column."""

    number: int
    cells: Mapping[str, str]


def read_sheet(path: Path, known: Range) -> Range:
    """Return the equipment of a spreadsheet, each row an entry.

    A row names its ``id`` and gives the entries that a TOML file would, with a point between a table and its entry; or it names
    an entry of ``known`` that it is ``like`` and gives only what differs. Raises FileError, or InputError with every fault, row
    and column.
    """
    items, written, currencies = list[Item](), dict[str, Mapping[str, Any]](), dict[str, str]()
    faults, seen = list[Fault](), dict[str, int]()
    for row in _rows(path):
        try:
            data = _data(row, path, known)
            item: Item = _ADAPTER.validate_python(data)
            if item.id in seen:
                raise InputError(
                    [_fault(path, row, "id", quoted(item.id), f"an id of its own; row {seen[item.id]} has it too", "Rename one.")]
                )
            currency = row.cells.get("currency", "")
            if item.price is not None and not re.fullmatch(r"[A-Z]{3}", currency):
                raise InputError(
                    [_fault(path, row, "currency", quoted(currency), "three letters such as EUR beside a price", "Fill it in.")]
                )
        except InputError as wrong:
            faults += wrong.faults
        except ValidationError as wrong:
            faults += [_of_detail(path, row, detail) for detail in wrong.errors(include_url=False)]
        else:
            seen[item.id] = row.number
            items.append(item)
            written[item.id], currencies[item.id] = data, currency
    if faults:
        raise InputError(faults)
    return Range(tuple(items), written, currencies)


def _data(row: _Row, path: Path, known: Range) -> dict[str, Any]:
    """Return a row as the data of an entry; raises InputError."""
    like = row.cells.get("like", "")
    if like and like not in known.written:
        raise InputError(
            [_fault(path, row, "like", quoted(like), "the id of an entry that is known", "Look it up in the range.")]
        )
    data: dict[str, Any] = _copied(known.written[like]) if like else {}
    for column, text in row.cells.items():
        if column in ("like", "currency"):
            continue
        *tables, last = column.split(".")
        place = data
        for table in tables:
            kept = place.get(table)
            place[table] = kept if isinstance(kept, dict) else {}
            place = place[table]
        place[last] = _value(row, path, column, text, place.get(last))
    if "id" not in data:
        raise InputError([_fault(path, row, "id", "nothing", "an id, or what it is like", "Fill in one of the two.")])
    return data


def _copied(entry: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _copied(value) if isinstance(value, Mapping) else value for name, value in entry.items()}


def _value(row: _Row, path: Path, column: str, text: str, before: Any) -> Any:
    """Return what a cell says in the type that its entry has; raises InputError."""
    if column == "price":
        if not _PRICE.match(text):
            raise InputError(
                [
                    _fault(
                        path,
                        row,
                        column,
                        quoted(text),
                        "a price such as 12.50 or 12,50",
                        "Leave currency and thousands out; write 1.234 as 1234 or 1.2340.",
                    )
                ]
            )
        return Decimal(text.replace(",", "."))
    if column == "stock" or column.startswith("contact.life."):
        if not _WHOLE.match(text):
            raise InputError([_fault(path, row, column, quoted(text), "a whole number", "Write it in digits.")])
        return int(float(text))
    if isinstance(before, list) or column in ("works_as", "probes", "senses"):
        return [one.strip() for one in text.split(";") if one.strip()]
    if text.lower() in ("true", "false"):
        return text.lower() == "true"
    return _number(text) if column.rpartition(".")[2] in _plain_numbers() else text


@lru_cache(maxsize=1)
def _plain_numbers() -> frozenset[str]:
    """Return the entries that are bare numbers; all others are text, with their unit where they have one."""
    tables = (*(kind for kind in get_args(get_args(Equipment)[0])), Contact, Coil)
    return frozenset(
        field.alias or name
        for table in tables
        for name, field in table.model_fields.items()
        if field.annotation in (int, float, float | None) and not any(isinstance(one, BeforeValidator) for one in field.metadata)
    )


def _number(text: str) -> Any:
    """Return a bare number as one, and what is none as it stands."""
    if re.fullmatch(r"\d{1,9}", text):
        return int(text)
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", text):
        return text  # thousands to one reader and thousandths to another: never guessed
    return float(text.replace(",", ".")) if re.fullmatch(r"\d{1,9}[.,]\d{1,9}", text) else text


def _rows(path: Path) -> Iterator[_Row]:
    """Yield the filled rows below the row of column names; raises FileError or InputError."""
    content = read_bytes(path)
    if len(content) > MOST_BYTES:
        raise _unusable(path, f"{len(content):,} bytes", f"at most {MOST_BYTES:,} bytes")
    table = _workbook(path, content) if path.suffix.lower() in (".xlsx", ".xlsm") else _delimited(path, content)
    if len(table) > MOST_ROWS:
        raise _unusable(path, f"{len(table):,} rows", f"at most {MOST_ROWS:,} rows")
    filled = [(number, row) for number, row in enumerate(table, start=1) if any(row)]
    names = [cell.strip() for cell in filled[0][1]] if filled else []
    if "id" not in names and "like" not in names:
        raise _unusable(path, "no such row of names", _COLUMNS)
    if twice := [name for name in names if name and names.count(name) > 1]:
        raise _unusable(path, f'two columns "{twice[0]}"', "each column once")
    for number, row in filled[1:]:
        yield _Row(number, {name: cell for name, cell in zip(names, row, strict=False) if name and cell})


def _workbook(path: Path, content: bytes) -> list[list[str]]:
    import fastexcel

    try:
        sheet = fastexcel.read_excel(content).load_sheet(0, header_row=None, dtypes="string")
        frame = sheet.to_polars()
    except fastexcel.FastExcelError as error:
        raise _unusable(path, "no workbook that can be opened", "a spreadsheet as .xlsx or .csv") from error
    return [[("" if cell is None else str(cell)).strip() for cell in row] for row in frame.iter_rows()]


def _delimited(path: Path, content: bytes) -> list[list[str]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _unusable(path, f"the byte 0x{content[error.start]:02X}", "text in UTF-8") from error
    first = next((line for line in text.splitlines() if line.strip()), "")
    mark = max(";\t,", key=first.count)
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
        return [[cell.strip() for cell in row] for row in rows]
    except csv.Error as error:
        raise _unusable(path, f"text that cannot be parted into columns ({error})", "columns parted by one sign") from error


def _unusable(path: Path, found: str, wanted: str) -> FileError:
    return FileError.one("equipment.sheet", Place(str(path)), found=found, wanted=wanted, next_step="Save the price list anew.")


def _fault(path: Path, row: _Row, column: str, found: str, wanted: str, step: str) -> Fault:
    return Fault("equipment.cell", Place(str(path), row.number, column), found, wanted, step)


def _of_detail(path: Path, row: _Row, detail: Mapping[str, Any]) -> Fault:
    """Return a fault of an entry in words: the column it stands in, or that lacks."""
    column = ".".join(str(one) for one in detail["loc"] if str(one) in row.cells or "." in str(one)) or ".".join(
        map(str, detail["loc"][1:])
    )
    cause = detail.get("ctx", {}).get("error")
    wanted, _, step = (str(cause) if cause else detail["msg"][:1].lower() + detail["msg"][1:]).partition("|")
    found = "nothing" if detail["type"] == "missing" else quoted(detail["input"])
    return _fault(path, row, column, found, wanted, step)
