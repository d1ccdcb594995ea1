"""Three thousand small meter files spoiled at random: each is read or refused with a sentence, never anything else."""

import sys
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from wattwright.core.errors import InputError
from wattwright.core.seeds import Streams
from wattwright.record.read import read_record

FILES = 3000
SEED = 20251


def sound_files() -> list[bytes]:
    """Return small sound files in different layouts."""
    minutes = [f"{h:02d}:{m:02d}" for h in range(24) for m in range(0, 60, 15)]
    plain = "Date;Time;P [kW]\n" + "".join(f"13.02.2025;{t};{0.1 * i:.2f}\n".replace(".2", ",2") for i, t in enumerate(minutes))
    iso = "start,energy kWh\n" + "".join(f"2025-02-13T{t}:00+02:00,{0.25 + i / 100}\n" for i, t in enumerate(minutes))
    twelve = "when\tW\n" + "".join(
        f"2/{13 + i // 24}/2025 {(i % 12) or 12}:00 {'AM' if i % 24 < 12 else 'PM'}\t{i}\n" for i in range(96)
    )
    epoch = "".join(f"{1739397600 + 900 * i},{i % 7}\n" for i in range(96))
    register = 'stamp,"meter reading [kWh]"\n' + "".join(f'2025-02-13 {t},"{1000 + i}"\n' for i, t in enumerate(minutes))
    return [text.encode() for text in (plain, iso, twelve, "t,P [W]\n" + epoch, register)]


def spoiled(content: bytes, draws: np.random.Generator) -> bytes:
    """Return ``content`` with one to four random injuries: bytes changed, dropped or added, rows moved, the end cut off."""
    held = bytearray(content)
    for _ in range(int(draws.integers(1, 5))):
        at, kind = int(draws.integers(0, max(1, len(held)))), int(draws.integers(0, 7))
        if kind == 0:
            held[at : at + 1] = bytes([int(draws.integers(0, 256))])
        elif kind == 1:
            del held[at : at + int(draws.integers(1, 30))]
        elif kind == 2:
            held[at:at] = bytes(draws.integers(0, 256, int(draws.integers(1, 20)), np.uint8))
        elif kind == 3:
            held[at:at] = [b"\n", b";", b",", b'"', b"\0", b"NaN", b"-", b"1e999", b"\xff\xfe"][int(draws.integers(0, 9))]
        elif kind == 4:
            rows = bytes(held).split(b"\n")
            draws.shuffle(rows)  # type: ignore[arg-type]  # numpy shuffles any sequence in place
            held = bytearray(b"\n".join(rows))
        elif kind == 5:
            rows = bytes(held).split(b"\n")
            held = bytearray(b"\n".join(rows + rows[: int(draws.integers(0, len(rows) + 1))]))
        else:
            del held[at:]
    return bytes(held)


def run() -> dict[str, Any]:
    """Return how many files were read or refused as they should be, and how many met anything else."""
    draws = Streams(SEED).stream("studies/spoiled-files")
    sound = sound_files()
    outcome: Counter[str] = Counter({"read or refused with a sentence": 0, "anything else": 0})
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "meter.csv"
        for index in range(FILES):
            path.write_bytes(spoiled(sound[index % len(sound)], draws))
            try:
                read_record(path, "Europe/Athens")
                outcome["read or refused with a sentence"] += 1
            except InputError:
                outcome["read or refused with a sentence"] += 1
            except Exception as error:
                outcome["anything else"] += 1
                sys.stderr.write(f"file {index}: {error!r}\n")
    return {"files": FILES, **outcome}
