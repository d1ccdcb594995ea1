"""Makers of damaged meter files: each spoils a small sound file in one way, by code, so that the damage can be read here."""

import bz2
import gzip
import io
import json
import lzma
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

import polars as pl

from tests.record.books import ods, xlsx

HEADER = "Date;Time;P [kW];U [V]"


def rows(count: int = 96, day: int = 14) -> list[str]:
    """Quarter hours of 14 and following days of March 2025: 0,25 kW upwards, about 230 V, decimal comma."""
    out = []
    for i in range(count):
        date, quarter = divmod(i, 96)
        clock = f"{quarter // 4:02d}:{quarter % 4 * 15:02d}"
        out.append(f"{day + date:02d}.03.2025;{clock};{i % 7},{25 + i % 50:02d};{230 + i % 3},5")
    return out


def text(lines: list[str], header: str = HEADER) -> bytes:
    """The header and the lines as a file."""
    return "\n".join([header, *lines, ""]).encode()


def with_row(index: int, row: str, lines: list[str] | None = None) -> bytes:
    """A sound file in which the line of one reading (0 is file row 2) is replaced."""
    lines = lines or rows()
    lines[index] = row
    return text(lines)


def _png() -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0\0")) + chunk(b"IEND", b"")


def _zip() -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    return held.getvalue()


def _archive(files: dict[str, bytes], *, lock: bool = False, link: bool = False) -> bytes:
    """A zip archive; ``lock`` sets the flag of encryption, ``link`` makes its members symbolic links."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            member = zipfile.ZipInfo(name)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o120777 << 16 if link else 0o644 << 16
            archive.writestr(member, content)
    packed = bytearray(held.getvalue())
    if lock:
        for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
            packed[packed.index(mark) + offset] |= 1
    return bytes(packed)


def _tar(content: bytes) -> bytes:
    held = io.BytesIO()
    with tarfile.open(fileobj=held, mode="w") as archive:
        member = tarfile.TarInfo("a.csv")
        member.size = len(content)
        archive.addfile(member, io.BytesIO(content))
    return held.getvalue()


def _zip_bomb(declared: bool) -> bytes:
    """600 MiB of zeros in one member; undeclared, the archive says that it holds one byte."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("a.csv", "w") as member:
        for _ in range(600):
            member.write(bytes(1 << 20))
    packed = held.getvalue()
    return packed if declared else packed.replace(struct.pack("<I", 600 << 20), struct.pack("<I", 1))


def _many_members() -> bytes:
    return _archive({f"{i}.csv": b"" for i in range(5_001)})


def _bomb() -> bytes:
    """Unpacks to 600 MiB of zeros: one packed block of 1 MiB, repeated as gzip members."""
    return gzip.compress(bytes(1 << 20), mtime=0) * 600


def _ambiguous_dates(first: int, second: int) -> bytes:
    lines = [f"{a:02d}/{b:02d}/2025 {h:02d}:00;{h},5" for a, b in ((first, second),) for h in range(24)]
    return text(lines, "Stamp;P [kW]")


def _both_orders() -> bytes:
    return text([f"25/03/2025 {h:02d}:00;1,5" for h in range(24)] + [f"03/26/2025 {h:02d}:00;1,5" for h in range(24)], "Stamp;kW")


def _shuffled() -> bytes:
    lines = rows()
    return text([lines[i * 37 % 96] for i in range(96)])


def _october(hours: list[str]) -> bytes:
    """26 October 2025, on which Athens repeats the hour from 3."""
    lines = [f"26.10.2025;{h}:00;{1 + i % 5},5;230,5" for i, h in enumerate(hours)]
    return text([f"25.10.2025;{h:02d}:00;1,5;230,5" for h in range(24)] + lines)


def _hours() -> list[str]:
    return [f"{h:02d}" for h in range(24)]


def _second_file() -> bytes:
    return text([*rows(), "Date;Time;U [V];P [kW]", *(f"15.03.2025;{h:02d}:00;230,5;1,5" for h in range(9))])


def _swapped() -> bytes:
    lines = rows()
    for i in range(60, 96):
        date, clock, power, volts = lines[i].split(";")
        lines[i] = f"{power};{volts};{date};{clock}"
    return text(lines)


def _swapped_readings() -> bytes:
    lines = rows(192)
    for i in range(150, 192):
        date, clock, power, volts = lines[i].split(";")
        lines[i] = f"{date};{clock};{volts};{power}"
    return text(lines)


def _event_log() -> bytes:
    return text([f"14.03.2025;{(i * i * 7) // 60 % 24:02d}:{i * i * 7 % 60:02d};1,5;230,5" for i in range(1, 14)])


def _two_meters() -> bytes:
    return text([f"14.03.2025;{h:02d}:00;{m},5;230,5" for h in range(24) for m in (1, 2)])


def _days(odd: str = "1,5", date: str = "14.03.2025") -> bytes:
    """A row for each of three days, a column for each hour; the sixth hour of the second day is ``odd``."""
    names = ";".join(f"{h:02d}:00" for h in range(24))
    days = ("13.03.2025", date, "15.03.2025")
    return text(
        [f"{d};" + ";".join(odd if (i, h) == (1, 5) else "1,5" for h in range(24)) for i, d in enumerate(days)], f"kW;{names}"
    )


def _long(odd: str = "1,5") -> bytes:
    """Two meters below each other; the third row is ``odd``."""
    lines = [f"{m};14.03.2025 {h:02d}:00;{'1,5' if (m, h) != ('A', 2) else odd}" for m in ("A", "B") for h in range(24)]
    return text(lines, "Meter;Time;P [kW]")


def _telegrams(odd: str = "1.8.0(000002.000*kWh)", clock: bool = True) -> bytes:
    """Three telegrams of three lines; the sixth line is ``odd``."""
    lines = []
    for i in range(3):
        lines += [f"0.9.1(0{i}0000)" if clock else "C.1(1)", "0.9.2(250314)", odd if i == 1 else f"1.8.0(00000{i + 1}.000*kWh)"]
    return "\n".join([*lines, ""]).encode()


def _page() -> bytes:
    cells = "".join(f"<tr><td>14.03.2025 {h:02d}:00</td><td>1,5</td></tr>\n" for h in range(24))
    return f"<!doctype html>\n<html><body><table>\n{cells}</table></body></html>\n".encode()


def _espi(readings: str = "", head: str = "", start: str = "1704067200") -> bytes:
    """Two hours of an invented meter in ESPI, entries linked by their order, one element per line."""
    type_ = "<intervalLength>3600</intervalLength><uom>72</uom>"
    rows = readings or "<IntervalReading><value>450</value></IntervalReading>\n" * 2
    return (
        f'<?xml version="1.0"?>{head}\n<feed xmlns="http://naesb.org/espi">\n<UsagePoint/>\n<MeterReading/>\n'
        f"<ReadingType>{type_}</ReadingType>\n<IntervalBlock><interval><start>{start}</start></interval>\n{rows}"
        "</IntervalBlock>\n</feed>\n"
    ).encode()


def _entity_bomb() -> bytes:
    """Ten levels of ten: a thousand million times the word."""
    levels = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, 10))
    return _espi(head=f'<!DOCTYPE feed [<!ENTITY e0 "word">{levels}]>', start="&e9;")


def _outside_entity() -> bytes:
    return _espi(head='<!DOCTYPE feed [<!ENTITY e SYSTEM "file:///etc/passwd">]>', start="&e;")


def _sheet(odd: object = 1.5) -> dict[str, list[list[object]]]:
    """Hours of 14 March 2025 on a sheet; row 6 holds ``odd``, a formula without a value being text here."""
    start = datetime(2025, 3, 14)
    odd = odd[1:] if isinstance(odd, str) else odd
    return {"A": [["Time", "kW"], *([start + timedelta(hours=h), odd if h == 4 else 1.5] for h in range(24))]}


def _rewritten(book: bytes, change: Callable[[str, bytes], bytes]) -> bytes:
    """The archive with the content of each member changed."""
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as old, zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    return held.getvalue()


def _spoilt(book: bytes, member: str) -> bytes:
    return _rewritten(book, lambda name, content: content[: len(content) // 2] if name.endswith(member) else content)


def _far(cell: str) -> bytes:
    return _rewritten(xlsx(_sheet()), lambda name, content: content.replace(b'r="B25"', f'r="{cell}"'.encode()))


def _renumbered(row: str) -> bytes:
    return _rewritten(
        xlsx(_sheet()),
        lambda name, content: content.replace(b'<row r="25"', f'<row r="{row}"'.encode()).replace(
            b'r="A25"', f'r="A{row}"'.encode()
        ),
    )


def _squeezed() -> bytes:
    """A workbook of a few kilobytes that unpacks to 200 MiB of blanks."""
    return _rewritten(
        xlsx(_sheet()), lambda name, content: content + b" " * (200 << 20) if name.endswith("sheet1.xml") else content
    )


def _repeated() -> bytes:
    old, new = b"<table:table-cell office", b'<table:table-cell table:number-columns-repeated="1000000" office'
    return _rewritten(ods(_sheet()), lambda name, content: content.replace(old, new))


def _book_bomb() -> bytes:
    return _rewritten(
        xlsx(_sheet()), lambda name, content: content + b" " * (600 << 20) if name.endswith("sheet1.xml") else content
    )


def _locked() -> bytes:
    """The head of a compound file with the name under which a locked workbook is kept in it (MS-OFFCRYPTO)."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500) + "EncryptedPackage".encode("utf-16-le") + bytes(500)


def _json(**other: object) -> list[dict[str, object]]:
    return [{"time": f"2025-03-14T{h:02d}:00", "kW": 1.5} | (other if h == 5 else {}) for h in range(24)]


def _lines(line: str) -> bytes:
    """JSON Lines of which the third is ``line``."""
    rows = [json.dumps(row) for row in _json()]
    return "\n".join([*rows[:2], line, *rows[2:]]).encode()


def _frame() -> pl.DataFrame:
    return pl.DataFrame({"time": [f"2025-03-14T{h:02d}:00" for h in range(24)], "kW": [1.5] * 24})


def _parquet(frame: pl.DataFrame) -> bytes:
    held = io.BytesIO()
    frame.write_parquet(held)
    return held.getvalue()


def _arrow() -> bytes:
    held = io.BytesIO()
    _frame().write_ipc(held)
    return held.getvalue()


def _parquet_bomb() -> bytes:
    """Thirty million equal numbers in a few kilobytes."""
    return _parquet(pl.DataFrame({"kW": pl.repeat(1.5, 30_000_000, eager=True)}))


@dataclass(frozen=True)
class Damage:
    """One kind of damage: its name, its maker, the code and the place it must be told with, or the severity of a finding."""

    name: str
    make: Callable[[], bytes]
    code: str
    row: int | None = None
    column: str = ""
    severity: str = "refused"
    file: str = "meter.csv"


REFUSED = (
    Damage("empty file", lambda: b"", "record.empty"),
    Damage("only blanks", lambda: b" \r\n\t\n   \n", "record.empty"),
    Damage("truncated gzip", lambda: gzip.compress(text(rows()), mtime=0)[:-40], "record.gzip", file="meter.csv.gz"),
    Damage("gzip with a spoilt middle", lambda: (g := gzip.compress(text(rows(960))))[:300] + b"\0\xff" + g[302:], "record.gzip"),
    Damage("gzip bomb", _bomb, "record.too-large", file="meter.csv.gz"),
    Damage("zip bomb", lambda: _zip_bomb(declared=True), "record.too-large", file="meter.zip"),
    Damage("zip bomb that lies about its size", lambda: _zip_bomb(declared=False), "record.archive", file="meter.zip"),
    Damage("zip of too many files", _many_members, "record.archive", file="meter.zip"),
    Damage("zip of nothing", lambda: _archive({}), "record.archive", file="meter.zip"),
    Damage("zip cut short", lambda: _archive({"a.csv": text(rows())})[:-40], "record.archive", file="meter.zip"),
    Damage(
        "zip with a spoilt middle",
        lambda: (z := _archive({"a.csv": text(rows(960))}))[:200] + bytes(9) + z[209:],
        "record.archive",
        file="meter.zip",
    ),
    Damage("name that climbs out", lambda: _archive({"../../a.csv": text(rows())}), "record.archive", file="meter.zip"),
    Damage("name from the root", lambda: _archive({"/a.csv": text(rows())}), "record.archive", file="meter.zip"),
    Damage("name with a drive", lambda: _archive({"C:a.csv": text(rows())}), "record.archive", file="meter.zip"),
    Damage("name with backslashes", lambda: _archive({"..\\a.csv": text(rows())}), "record.archive", file="meter.zip"),
    Damage("zip in a zip", lambda: _archive({"a.zip": _archive({"a.csv": text(rows())})}), "record.archive", file="meter.zip"),
    Damage("gzip in a zip", lambda: _archive({"a.gz": gzip.compress(text(rows()))}), "record.archive", file="meter.zip"),
    Damage("locked zip", lambda: _archive({"a.csv": text(rows())}, lock=True), "record.archive", file="meter.zip"),
    Damage("link in a zip", lambda: _archive({"a.csv": b"meter.csv"}, link=True), "record.archive", file="meter.zip"),
    Damage("zip of prose", lambda: _archive({"a.csv": b"Dear customer,\n"}), "record.no-table", file="meter.zip"),
    Damage("PNG named csv", _png, "record.not-text"),
    Damage("workbook in name only", _zip, "record.workbook"),
    Damage("workbook cut short", lambda: xlsx(_sheet())[:-300], "record.archive", file="m.xlsx"),
    Damage("workbook with a spoilt sheet", lambda: _spoilt(xlsx(_sheet()), "sheet1.xml"), "record.workbook", file="m.xlsx"),
    Damage("locked workbook", _locked, "record.workbook", file="m.xlsx"),
    Damage("locked OpenDocument", lambda: ods(_sheet(), locked=True), "record.workbook", file="m.ods"),
    Damage("workbook with a far cell", lambda: _far("XFD1048576"), "record.workbook", file="m.xlsx"),
    Damage("workbook with a low cell", lambda: _far("ZZ1048576"), "record.workbook", file="m.xlsx"),
    Damage("workbook with a cell of no place", lambda: _far("NaNA18"), "record.workbook", file="m.xlsx"),
    Damage("workbook with a row beyond all sheets", lambda: _renumbered("5400000"), "record.workbook", file="m.xlsx"),
    Damage("workbook of rows hardly filled", lambda: _renumbered("900000"), "record.workbook", file="m.xlsx"),
    Damage("workbook that was squeezed", _squeezed, "record.workbook", file="m.xlsx"),
    Damage("OpenDocument of endless rows", _repeated, "record.workbook", file="m.ods"),
    Damage("workbook bomb", _book_bomb, "record.workbook", file="m.xlsx"),
    Damage(
        "workbook of prose",
        lambda: xlsx({"A": [["Dear customer,"], ["it is broken."]]}),
        "record.no-table",
        file="m.xlsx, sheet A",
    ),
    Damage("workbook of nothing", lambda: xlsx({"A": []}), "record.workbook", file="m.xlsx"),
    Damage("text in a workbook's number", lambda: xlsx(_sheet("=worn")), "record.number", 6, "kW", file="m.xlsx, sheet A"),
    Damage("packed by bzip2", lambda: bz2.compress(text(rows())), "record.not-text", file="meter.csv.bz2"),
    Damage("packed by xz", lambda: lzma.compress(text(rows())), "record.not-text", file="meter.csv.xz"),
    Damage("tar archive", lambda: _tar(text(rows())), "record.not-text", file="meter.tar"),
    Damage("packed tar archive", lambda: gzip.compress(_tar(text(rows()))), "record.not-text", file="meter.tgz"),
    Damage("PDF named csv", lambda: b"%PDF-1.7\n1 0 obj\n", "record.not-text"),
    Damage("JSON cut short", lambda: json.dumps(_json(), indent=1).encode()[:-40], "record.json", 95, file="m.json"),
    Damage("JSON of prose", lambda: b'{"dear": "customer", "meter": ["is", "broken"]}', "record.json", file="m.json"),
    Damage("JSON nested deep", lambda: b"[" * 100_000 + b"]" * 100_000, "record.json", file="m.json"),
    Damage("JSON of lists in lists", lambda: b"[[[[[[[[[1]]]]]]]]]", "record.json", file="m.json"),
    Damage("JSON with a number without end", lambda: b'[{"kW": ' + b"1" * 10_000 + b"}]", "record.json", file="m.json"),
    Damage("JSON beyond measure", lambda: b'[{"kW": 1}' + b" " * (130 << 20) + b"]", "record.json", file="m.json"),
    Damage("JSON of nothing", lambda: b"{}", "record.json", file="m.json"),
    Damage("JSON without stamps", lambda: b'[{"kW": 1.5}, {"kW": 2}]', "record.no-stamps", file="m.json"),
    Damage(
        "JSON with a word for a number", lambda: json.dumps(_json(kW="worn")).encode(), "record.number", None, "kW", file="m.json"
    ),
    Damage("JSON Lines with a broken line", lambda: _lines('{"time": "2025'), "record.json", 3, file="m.json"),
    Damage("JSON Lines with a bare number", lambda: _lines("17"), "record.json", 3, file="m.json"),
    Damage("JSON Lines nested deep", lambda: _lines("[" * 100_000), "record.json", 3, file="m.json"),
    Damage("Parquet cut short", lambda: _parquet(_frame())[:-20], "record.columnar", file="m.parquet"),
    Damage("Parquet in name only", lambda: b"PAR1" + bytes(100), "record.columnar", file="m.parquet"),
    Damage(
        "Parquet with a spoilt middle",
        lambda: (p := _parquet(_frame()))[:30] + bytes(40) + p[70:],
        "record.columnar",
        file="m.parquet",
    ),
    Damage("Parquet bomb", _parquet_bomb, "record.too-large", file="m.parquet"),
    Damage("Parquet of nothing", lambda: _parquet(_frame().clear()), "record.no-table", file="m.parquet"),
    Damage("Arrow cut short", lambda: _arrow()[:-20], "record.columnar", file="m.arrow"),
    Damage("Arrow stream of noise", lambda: b"\xff\xff\xff\xff" + bytes(range(200)), "record.columnar", file="m.arrow"),
    Damage("HTML page", _page, "record.not-text"),
    Damage("XML of another kind", lambda: b'<?xml version="1.0"?><a><b>1</b></a>', "record.not-text", file="meter.xml"),
    Damage("XML entity bomb", _entity_bomb, "record.xml", 1, file="meter.xml"),
    Damage("XML entity from outside", _outside_entity, "record.xml", 1, file="meter.xml"),
    Damage("XML cut short", lambda: _espi()[:-30], "record.xml", 8, file="meter.xml"),
    Damage("XML nested deep", lambda: _espi("<a>" * 100_000), "record.xml", 7, file="meter.xml"),
    Damage("XML with an endless text", lambda: _espi("x" * 20_000), "record.xml", 7, file="meter.xml"),
    Damage(
        "XML with text for a number",
        lambda: _espi("<IntervalReading>\n<value>four</value></IntervalReading>"),
        "record.xml-number",
        8,
        "value",
        file="meter.xml",
    ),
    Damage(
        "XML with nothing for a number",
        lambda: _espi("<IntervalReading>\n<value/></IntervalReading>"),
        "record.xml-number",
        8,
        "value",
        file="meter.xml",
    ),
    Damage("ESPI long ago", lambda: _espi(start="-5"), "record.espi-time", 7, "timePeriod", file="meter.xml"),
    Damage("ESPI without a start", lambda: _espi().replace(b"start>", b"begun>"), "record.espi-time", 7, file="meter.xml"),
    Damage("ESPI without readings", lambda: _espi("\n"), "record.no-reading", file="meter.xml"),
    Damage("ESPI without a unit", lambda: _espi().replace(b"<uom>72</uom>", b""), "record.no-reading", file="meter.xml"),
    Damage("prose", lambda: b"Dear customer,\nthe meter is broken.\n", "record.no-table", 1),
    Damage("NUL bytes in the middle", lambda: with_row(40, "14.03.2025;10:00;1,\0\0;230,5"), "record.nul", 42),
    Damage("UTF-16 without byte order mark", lambda: text(rows()).decode().encode("utf-16-le"), "record.nul", 1),
    Damage("half a UTF-16 character", lambda: text(rows()).decode().encode("utf-16") + b"\x00", "record.encoding", 98),
    Damage(
        "wrong bytes after a UTF-8 mark",
        lambda: b"\xef\xbb\xbf" + with_row(3, "").replace(b"kW", b"k\xffW"),
        "record.encoding",
        1,
    ),
    Damage("5 MB in a single line", lambda: b"1;" * 2_500_000, "record.long-row", 1),
    Damage("line of a million columns", lambda: with_row(300, "1;" * 1_000_000, rows(400)), "record.columns", 302),
    Damage("only a header", lambda: text([]), "record.no-table", 1),
    Damage("only one row", lambda: text(rows(1)), "record.no-step", 2),
    Damage("no stamp column", lambda: text([f"{i % 5},5;{i % 3},5" for i in range(50)], "P [kW];U [V]"), "record.no-stamps", 2),
    Damage(
        "no column of numbers",
        lambda: text([f"14.03.2025;{h:02d}:00;on" for h in range(24)], "Date;Time;Pump"),
        "record.no-table",
        2,
        "Pump",
    ),
    Damage(
        "a unit in each cell",
        lambda: text([f"14.03.2025 {h:02d}:00,1.5 kW" for h in range(24)], "time,power kW"),
        "record.no-table",
        2,
        "power kW",
    ),
    Damage(
        "brackets in each cell",
        lambda: text(["", *(f"14.03.2025 {h:02d}:00;(1.00)" for h in range(24))], "time;power kW;"),
        "record.no-table",
        3,
        "column 2",
    ),
    Damage(
        "no reading in any row",
        lambda: text([f"14.03.2025;{h:02d}:00;" for h in range(24)], "Date;Time;kW"),
        "record.no-table",
        2,
    ),
    Damage("stamps alone", lambda: text([f"14.03.2025 {h:02d}:00" for h in range(24)], "time"), "record.no-table", 2),
    Damage("3,001 columns", lambda: text(["14.03.2025 00:00" + ";1" * 3_000] * 3, "t" + ";kW" * 3_000), "record.no-table", 1),
    Damage("gzip in gzip", lambda: gzip.compress(gzip.compress(text(rows()))), "record.gzip", file="meter.csv.gz"),
    Damage("header of the wrong width", lambda: text(rows(), "Date;Time;P [kW]"), "record.header-width", 1),
    Damage(
        "comma for columns and decimals",
        lambda: text([r.replace(";", ",") for r in rows()], "Date,Time,P [kW],U [V]"),
        "record.header-width",
        1,
    ),
    Damage("nothing says what is measured", lambda: text(rows(), "Date;Time;a;b"), "record.no-reading", 1),
    Damage("unit unknown", lambda: text(rows(), "Date;Time;x [BTU];y [hp]"), "record.no-reading", 1),
    Damage("text in a number", lambda: with_row(9, "14.03.2025;02:15;fault 7;230,5"), "record.number", 11, "P [kW]"),
    Damage("formula in a cell", lambda: with_row(9, "14.03.2025;02:15;=1+1;230,5"), "record.number", 11, "P [kW]"),
    Damage("infinite value", lambda: with_row(9, "14.03.2025;02:15;inf;230,5"), "record.number", 11, "P [kW]"),
    Damage("value beyond all numbers", lambda: with_row(9, "14.03.2025;02:15;1e999;230,5"), "record.number", 11, "P [kW]"),
    Damage(
        "terminal escapes in a cell", lambda: with_row(9, "14.03.2025;02:15;\x1b[31mred\x07;230,5"), "record.number", 11, "P [kW]"
    ),
    Damage("decimal point among commas", lambda: with_row(9, "14.03.2025;02:15;1.5;230,5"), "record.decimal-mixed", 11, "P [kW]"),
    Damage(
        "thousands marked now and then",
        lambda: with_row(9, "14.03.2025;02:15;1.234;1230,5", [r.replace(":00;", ":00;123") for r in rows()]),
        "record.thousands",
        11,
        "P [kW]",
    ),
    Damage(
        "1,234 throughout",
        lambda: text([f"14.03.2025 {h:02d}:00;1,{234 + h}" for h in range(24)], "Stamp;E [Wh]"),
        "record.decimal-open",
        2,
        "E [Wh]",
    ),
    Damage(
        "1.234 throughout",
        lambda: text([f"14.03.2025 {h:02d}:00;1.{234 + h}" for h in range(24)], "Stamp;E [Wh]"),
        "record.decimal-open",
        2,
        "E [Wh]",
    ),
    Damage("30 February", lambda: with_row(9, "30.02.2025;02:15;1,5;230,5"), "record.stamp", 11, "Date and Time"),
    Damage("25 o'clock", lambda: with_row(9, "14.03.2025;25:15;1,5;230,5"), "record.stamp", 11, "Date and Time"),
    Damage("stamp left out", lambda: with_row(9, ";;1,5;230,5"), "record.stamp", 11, "Date and Time"),
    Damage("year 0001", lambda: with_row(9, "14.03.0001;02:15;1,5;230,5"), "record.stamp", 11, "Date and Time"),
    Damage("year 9999", lambda: with_row(9, "14.03.9999;02:15;1,5;230,5"), "record.stamp", 11, "Date and Time"),
    Damage("years apart", lambda: with_row(95, "14.03.2099;23:45;1,5;230,5"), "record.hole", 97),
    Damage("date order open", lambda: _ambiguous_dates(3, 4), "record.date-order-open", 2, "Stamp"),
    Damage("both date orders", _both_orders, "record.date-order", 26, "Stamp"),
    Damage(
        "offset on some stamps only",
        lambda: text([f"2025-03-14 {h:02d}:00{'+02:00' if h < 12 else ''};1,5" for h in range(24)], "Stamp;kW"),
        "record.stamp",
        14,
        "Stamp",
    ),
    Damage("all stamps equal", lambda: text(["14.03.2025;02:15;1,5;230,5"] * 50), "record.no-step", 2),
    Damage("two meters in one file", _two_meters, "record.same-stamps", 3),
    Damage("log of events", _event_log, "record.irregular"),
    Damage(
        "delimiters mixed",
        lambda: text([r.replace(";", "\t") if 30 < i < 40 else r for i, r in enumerate(rows())]),
        "record.columns",
        33,
    ),
    Damage("word in a row of a day", lambda: _days("worn"), "record.number", 3),
    Damage("day that is none", lambda: _days(date="31.02.2025"), "record.stamp", 3),
    Damage("two meters below each other", _long, "record.several"),
    Damage("word in a long table", lambda: _long("worn"), "record.number", 4, "P [kW]"),
    Damage("infinity in a long table", lambda: _long("1e999"), "record.number", 4, "P [kW]"),
    Damage("two decimal marks in a long table", lambda: _long("1.5"), "record.decimal-mixed", 4, "P [kW]"),
    Damage("telegram broken off", lambda: _telegrams("1.8.0(00000"), "record.data-line", 6),
    Damage("telegram with a word for a number", lambda: _telegrams("1.8.0(worn*kWh)"), "record.number", 6, "1.8.0"),
    Damage("telegrams without a clock", lambda: _telegrams(clock=False), "record.stamp", 1),
    Damage("telegram with a time that is none", lambda: _telegrams("0.9.1(noon)"), "record.stamp", 6, "0.9.1"),
    Damage("telegram at 30 February", lambda: _telegrams().replace(b"0314", b"0230"), "record.stamp", 1),
    Damage("a single telegram", lambda: b"/INV5\n0.9.1(000000)\n0.9.2(250314)\n1.8.0(1.5*kWh)\n!\n", "record.one-reading", 2),
    Damage("ragged rows", lambda: with_row(9, "14.03.2025;02:15;1,5;230,5;7"), "record.columns", 11),
    Damage("row broken in two", lambda: with_row(9, "14.03.2025;02:15\n;1,5;230,5"), "record.columns", 11),
    Damage("quote never closed", lambda: with_row(9, '14.03.2025;02:15;"1,5;230,5'), "record.quotes", 11),
    Damage("columns swapped in the middle", _swapped, "record.stamp", 62, "Date and Time"),
    Damage("another header in the middle", _second_file, "record.stamp", 98, "Date and Time"),
)

TOLD = (
    Damage("cut in the middle of a row", lambda: text(rows())[:-17], "record.last-row", 97, severity="look"),
    Damage("cut in the middle of a number", lambda: text(rows())[:-3], "record.last-row", 97, severity="look"),
    Damage("day again with another reading", lambda: _days("9,9", "13.03.2025"), "record.rows-disagree", 3, severity="look"),
    Damage("row of a day cut short", lambda: _days()[:-60], "record.last-row", 4, severity="look"),
    Damage("total at the end", lambda: text([*rows(), "Total;;371,25;"]), "record.last-row", 98, severity="look"),
    Damage(
        "same header in the middle", lambda: text([*rows(), HEADER, *rows(96, 15)]), "record.header-again", 98, severity="note"
    ),
    Damage("hour missing at the change of the clock", lambda: _october(_hours()), "record.repeated-hour-once", severity="look"),
    Damage(
        "stamps in the skipped hour",
        lambda: text([r.replace("14.03", "30.03") for r in rows()]),
        "record.standard-time",
        severity="look",
    ),
    Damage(
        "row again with another reading",
        lambda: text([*rows(), "14.03.2025;02:15;9,99;230,5"]),
        "record.rows-disagree",
        98,
        severity="look",
    ),
    Damage("block sent twice", lambda: text([*rows()[:50], *rows()[40:]]), "record.repeated-rows", severity="note"),
    Damage("random order", _shuffled, "record.order", severity="note"),
    Damage("rows missing", lambda: text(rows()[:20] + rows()[60:]), "record.gaps", severity="look"),
    Damage("signs for nothing", lambda: with_row(9, "14.03.2025;02:15;--;#N/A"), "record.no-value", severity="note"),
    Damage(
        "clamp the wrong way round",
        lambda: text([r.replace("5;", "5;-", 0).replace(";1,", ";-1,") for r in rows()]),
        "record.negative",
        severity="look",
    ),
    Damage("readings swapped in the middle", _swapped_readings, "record.unlikely", severity="look"),
    Damage("rows of delimiters only", lambda: text([*rows()[:50], ";;;", "", *rows()[50:]]), "record.stamps", severity="note"),
)
