"""Twenty thousand meter files spoiled at random: each is read or refused with a sentence, quickly, and without eating memory.

The sound files are those of the corpus in the tests, the smallest of every kind, and a few more; archives and workbooks are
spoiled outside and inside.
"""

import gzip
import io
import resource
import signal
import sys
import tempfile
import time
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from tests.corpus.maker import FILES as CORPUS_FILES, KINDS, made
from wattwright.core.errors import InputError
from wattwright.core.seeds import Streams
from wattwright.record.read import read_record

DATA = ("tests/corpus/maker.py", "tests/record/books.py")
FILES = 20_000
SEED = 20251
LONGEST_S = 5.0
MOST_MIB = 256
"""Bounds on the processor time of one file, and on the memory that all of them together may add."""
_HUNG_S = 60
_READ, _SLOW, _OTHER = "read or refused with a sentence", "took longer than 5 s", "anything else"


def sound_files() -> list[bytes]:
    """Return small sound files in every kind of layout."""
    smallest: dict[str, bytes] = {}
    for number in range(CORPUS_FILES):
        kind, content = KINDS[number % len(KINDS)].__name__, made(number)[1]
        if kind not in smallest or len(content) < len(smallest[kind]):
            smallest[kind] = content
    minutes = [f"{h:02d}:{m:02d}" for h in range(24) for m in range(0, 60, 15)]
    kilowatts = [f"{0.1 * i:.2f}".replace(".", ",") for i in range(len(minutes))]
    plain = "Date;Time;P [kW]\n" + "".join(f"13.02.2025;{t};{kw}\n" for t, kw in zip(minutes, kilowatts, strict=True))
    twelve = "when\tW\n" + "".join(
        f"2/{13 + i // 24}/2025 {(i % 12) or 12}:00 {'AM' if i % 24 < 12 else 'PM'}\t{i}\n" for i in range(96)
    )
    telegram = "/INV5 invented\r\n\r\n" + "".join(
        f"0-0:1.0.0(250213{h:02d}0000W)\r\n1-0:1.8.0({4711 + h:010.3f}*kWh)\r\n!\r\n" for h in range(24)
    )
    return [*smallest.values(), plain.encode(), twelve.encode(), telegram.encode(), ESPI.encode()]


ESPI = """<feed xmlns="http://www.w3.org/2005/Atom"><entry><content>
<ReadingType xmlns="http://naesb.org/espi"><flowDirection>1</flowDirection><intervalLength>900</intervalLength>
<powerOfTenMultiplier>0</powerOfTenMultiplier><uom>72</uom></ReadingType></content></entry><entry><content>
<IntervalBlock xmlns="http://naesb.org/espi"><interval><duration>3600</duration><start>1739397600</start></interval>
""" + "".join(
    f"<IntervalReading><timePeriod><duration>900</duration><start>{1739397600 + 900 * i}</start></timePeriod>"
    f"<value>{100 + i}</value></IntervalReading>\n"
    for i in range(4)
) + "</IntervalBlock></content></entry></feed>"  # fmt: skip


def spoiled(content: bytes, draws: np.random.Generator) -> bytes:
    """Return ``content`` with random injuries: to its bytes, or to what is packed in it."""
    if draws.random() < 0.6:
        if content.startswith(b"\x1f\x8b"):
            return gzip.compress(injured(zlib.decompress(content, 47), draws), mtime=0)
        if content.startswith(b"PK"):
            return _repacked(content, draws)
    return injured(content, draws)


def _repacked(content: bytes, draws: np.random.Generator) -> bytes:
    """Return an archive with one of its members injured."""
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        chosen = names[int(draws.integers(0, len(names)))]
        for name in names:
            member = old.read(name)
            new.writestr(zipfile.ZipInfo(name, (2025, 1, 1, 0, 0, 0)), injured(member, draws) if name == chosen else member)
    return held.getvalue()


def injured(content: bytes, draws: np.random.Generator) -> bytes:
    """Return ``content`` with one to four random injuries: bytes changed, dropped or added, rows moved, the end cut off."""
    held = bytearray(content)
    for _ in range(int(draws.integers(1, 5))):
        at, kind = int(draws.integers(0, max(1, len(held)))), int(draws.integers(0, 8))
        if kind == 0:
            held[at : at + 1] = bytes([int(draws.integers(0, 256))])
        elif kind == 1:
            del held[at : at + int(draws.integers(1, 30))]
        elif kind == 2:
            held[at:at] = bytes(draws.integers(0, 256, int(draws.integers(1, 20)), np.uint8))
        elif kind == 3:
            held[at:at] = _SIGNS[int(draws.integers(0, len(_SIGNS)))]
        elif kind in (4, 5):
            held = _rows_moved(bytes(held).split(b"\n"), kind == 4, draws)
        elif kind == 6:
            held[at:at] = held[at : at + int(draws.integers(1, 200))] * int(draws.integers(1, 40))
        else:
            del held[at:]
    return bytes(held)


_SIGNS = [
    b"\n",
    b";",
    b",",
    b'"',
    b"\0",
    b"NaN",
    b"-",
    b"1e999",
    b"\xff\xfe",
    b"{",
    b"[",
    b"<",
    b"=1+1",
    b"99999999999999999999",
    b"2038",
]


def _rows_moved(rows: list[bytes], shuffled: bool, draws: np.random.Generator) -> bytearray:
    """Return the rows in another order, or with some of them again at the end."""
    if shuffled:
        draws.shuffle(rows)  # type: ignore[arg-type]  # numpy shuffles any sequence in place
        return bytearray(b"\n".join(rows))
    return bytearray(b"\n".join(rows + rows[: int(draws.integers(0, len(rows) + 1))]))


@contextmanager
def _never_for_ever() -> Iterator[None]:
    """Raise TimeoutError in what hangs."""

    def hung(*_: object) -> None:
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, hung)
    signal.alarm(_HUNG_S)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def outcome_of(path: Path) -> str:
    """Read one file and say what became of it."""
    before = time.process_time()
    try:
        with _never_for_ever():
            read_record(path, "Europe/Athens")
    except InputError:
        pass
    except (Exception, TimeoutError) as error:
        sys.stderr.write(f"{path.name}: {error!r}\n")
        return _OTHER
    return _SLOW if time.process_time() - before > LONGEST_S else _READ


def run() -> dict[str, Any]:
    """Return how many files were read or refused as they should be, and how many met anything else."""
    draws = Streams(SEED).stream("studies/spoiled-files")
    sound = sound_files()
    outcome: Counter[str] = Counter({_READ: 0, _SLOW: 0, _OTHER: 0})
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with tempfile.TemporaryDirectory() as folder:
        for index in range(FILES):
            path = Path(folder) / f"meter-{index % len(sound)}"
            path.write_bytes(spoiled(sound[index % len(sound)], draws))
            outcome[outcome_of(path)] += 1
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    return {"files": FILES, "kinds": len(sound), f"memory grew by less than {MOST_MIB} MiB": grown < MOST_MIB, **outcome}
