"""Damaged files: each ends in the house's own error with place, text and next step, or in a finding; never in anything else."""

import resource
import time
from pathlib import Path

import numpy as np
import pytest

from tests.damaged.makers import REFUSED, TOLD, Damage, rows, text
from wattwright.core.errors import FileError, InputError, RecordError, WattwrightError
from wattwright.core.findings import Finding
from wattwright.core.show import Show
from wattwright.record.read import read_record
from wattwright.record.spec import LayoutSpec

LONGEST_S = 5.0
MOST_BYTES = 3 << 30


def _read(damage: Damage, folder: Path):
    path = folder / damage.file.partition(",")[0]
    path.write_bytes(damage.make())
    # Of the processor, since other work on the machine is no fault of the reader.
    start = time.process_time()
    try:
        return read_record(path, "Europe/Athens")
    finally:
        assert time.process_time() - start < LONGEST_S
        assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 < MOST_BYTES


@pytest.mark.parametrize("damage", REFUSED, ids=lambda damage: damage.name)
def test_refused_with_place_and_next_step(damage: Damage, tmp_path: Path) -> None:
    """The first fault has the code, the file, the row and the column it must have, says what was wanted and what to do."""
    with pytest.raises(RecordError) as caught:
        _read(damage, tmp_path)
    fault = caught.value.faults[0]
    assert fault.code == damage.code
    assert fault.place.file.partition("/")[0] == damage.file
    if damage.row is not None:
        assert fault.place.line == damage.row
    if damage.column:
        assert fault.place.column == damage.column
    assert fault.found
    assert fault.wanted
    assert fault.next_step
    assert all(c.isprintable() or c == "\n" for c in str(caught.value))
    assert len(caught.value.faults) <= 20


@pytest.mark.parametrize("damage", TOLD, ids=lambda damage: damage.name)
def test_told_as_a_finding(damage: Damage, tmp_path: Path) -> None:
    """The record is read, and a finding of the right kind and severity names the file and, where there is one, the row."""
    record = _read(damage, tmp_path)
    found = next(f for f in record.findings if f.code == damage.code)
    assert found.severity.value == damage.severity
    assert found.where.startswith("meter.csv")
    if damage.row is not None:
        assert found.data["row"] == damage.row
    for says in (Finding.says, Finding.why, Finding.do):
        assert says(found, Show()).endswith(".")


def test_what_is_told_is_left_right(tmp_path: Path) -> None:
    """Blank rows, a total, another order and a cut row leave the readings as they were: 96 quarter hours less the one cut."""
    energy = {}
    for damage in TOLD:
        if damage.name in ("rows of delimiters only", "total at the end", "cut in the middle of a row", "random order"):
            series = _read(damage, tmp_path).channels[0].series
            energy[damage.name] = (len(series), round(float(np.nansum(series.values)), 6))
    power_kw = [float(row.split(";")[2].replace(",", ".")) for row in rows()]
    whole = (96, round(1000 * sum(power_kw), 6))
    assert energy == {
        "rows of delimiters only": whole,
        "total at the end": whole,
        "random order": whole,
        "cut in the middle of a row": (95, round(1000 * sum(power_kw[:-1]), 6)),
    }


def test_all_faults_come_together(tmp_path: Path) -> None:
    """Faults in two columns and several rows are all told at once."""
    lines = rows()
    lines[3], lines[7] = "14.03.2025;00:45;bad;230,5", "14.03.2025;01:45;1,5;worse"
    path = tmp_path / "meter.csv"
    path.write_bytes(text(lines))
    with pytest.raises(RecordError) as caught:
        read_record(path, "Europe/Athens")
    assert [(f.place.line, f.place.column) for f in caught.value.faults] == [(5, "P [kW]"), (9, "U [V]")]


def test_many_faults_are_counted(tmp_path: Path) -> None:
    """Of 60 bad rows 20 are told one by one, and the first says that 40 more are like them."""
    path = tmp_path / "meter.csv"
    path.write_bytes(
        text(
            [
                row.replace(";230,5", ";worn") if i >= 36 else row
                for i, row in enumerate(r.rsplit(";", 1)[0] + ";230,5" for r in rows())
            ]
        )
    )
    with pytest.raises(RecordError) as caught:
        read_record(path, "Europe/Athens")
    assert len(caught.value.faults) == 20
    assert "40 more rows are like this" in caught.value.faults[0].next_step


@pytest.mark.parametrize("found", ["a folder", "no such file"])
def test_no_file_there(found: str, tmp_path: Path) -> None:
    """A folder, and a name that does not exist, are FileErrors that say so."""
    with pytest.raises(FileError, match=found):
        read_record(tmp_path if found == "a folder" else tmp_path / "none.csv")


def test_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A refusal by the system is a FileError; the refusal is put in by hand, since the superuser is never refused."""

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    path = tmp_path / "meter.csv"
    path.touch()
    with pytest.raises(FileError, match="permission denied"):
        read_record(path)


def test_large_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    """A file of 2 GiB (sparse, so nothing is written) is refused by its size."""
    path = tmp_path / "meter.csv"
    with path.open("wb") as made:
        made.truncate(2 << 30)
    with pytest.raises(RecordError) as caught:
        read_record(path)
    assert caught.value.faults[0].code == "record.too-large"


def _mutated(content: bytes, generator: np.random.Generator) -> bytes:
    """A few random changes: a byte replaced, a stretch dropped, doubled or moved, a line dropped, the end cut off."""
    for _ in range(int(generator.integers(1, 4))):
        a, b = sorted(int(i) for i in generator.integers(0, max(1, len(content)), 2))
        kind = int(generator.integers(6))
        if kind == 0 and content:
            content = content[:a] + bytes([int(generator.integers(256))]) + content[a + 1 :]
        elif kind == 1:
            content = content[:a] + content[min(b, a + 30) :]
        elif kind == 2:
            content = content[:b] + content[a : a + 60] + content[b:]
        elif kind == 3:
            content = content[:a]
        elif kind == 4:
            lines = content.split(b"\n")
            content = b"\n".join(lines[: a % len(lines)] + lines[a % len(lines) + 1 :])
        else:
            sign = [b";", b",", b'"', b"\n", b"\r", b"\t", b".", b"-", b"e", b"9", b" ", "°".encode(), b"\xff"]
            content = content[:a] + sign[int(generator.integers(len(sign)))] + content[a:]
    return content


def _seeds() -> list[bytes]:
    iso = "\n".join(
        ["start,a_wh,b [V]", *(f"2025-10-26T{h:02d}:{m:02d}:00+02:00,{h}.5,230.{m}" for h in range(9) for m in (0, 30)), ""]
    )
    american = "\n".join(["Stamp\tkWh", *(f'"03/{d}/2025 {h}:00 PM"\t"1,{h:03d}.5"' for d in (14, 15) for h in range(1, 12))])
    return [text(rows(40)), iso.encode(), american.encode(), gzip_of(text(rows(20))), ("x\n" + iso).encode("utf-16")]


def gzip_of(content: bytes) -> bytes:
    import gzip

    return gzip.compress(content, mtime=0)


@pytest.mark.parametrize("seed", range(5))
def test_mutations_end_in_a_record_or_in_our_error(seed: int, tmp_path: Path) -> None:
    """Of 100 mutated files per seed, each is read or refused with the house's own error, and no finding fails to be shown."""
    generator = np.random.default_rng(seed)
    path = tmp_path / "meter.csv"
    good = _seeds()[seed]
    for _ in range(100):
        content = _mutated(good, generator)
        path.write_bytes(content)
        for layout in (LayoutSpec(), LayoutSpec(unreadable="missing", date_order="day first", stamps="end", decimal=".")):
            try:
                record = read_record(path, "Europe/Athens", layout)
            except InputError as error:
                if not all(fault.wanted and fault.place.file for fault in error.faults):
                    pytest.fail(f"a fault without its place or what was wanted: {error}")
            except WattwrightError as error:
                pytest.fail(f"{type(error).__name__} for {content[:200]!r}")
            else:
                assert all(f.says(Show()) for f in record.findings)
