"""Programs killed in the middle of writing: what lay there before or the whole of the new, never a part."""

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from wattwright.core.files import write_bytes
from wattwright.core.seeds import Streams

KILLS = 60
SEED = 20252
SIZE = 4_000_000
WRITER = """
import sys
from pathlib import Path
from wattwright.core.files import write_bytes
path, turn = Path(sys.argv[1]), 0
print("ready", flush=True)
while True:
    turn += 1
    write_bytes(path, bytes([65 + turn % 26]) * {size})
"""


def is_whole(content: bytes) -> bool:
    """Return whether ``content`` is one of the writer's: the full length, a single letter throughout."""
    return len(content) == SIZE and content.count(content[:1]) == SIZE


def run() -> dict[str, Any]:
    """Return how many writers were killed and how often the file was whole afterwards."""
    draws = Streams(SEED).stream("studies/killed-writes")
    whole = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "result.bin"
        write_bytes(path, b"A" * SIZE)
        for _ in range(KILLS):
            command = [sys.executable, "-c", WRITER.replace("{size}", str(SIZE)), str(path)]
            with subprocess.Popen(command, stdout=subprocess.PIPE) as writer:
                assert writer.stdout is not None  # a pipe was asked for
                writer.stdout.readline()
                time.sleep(float(draws.uniform(0.0, 0.05)))
                writer.kill()
            whole += is_whole(path.read_bytes())
    return {"writers killed": KILLS, "files whole afterwards": whole}
