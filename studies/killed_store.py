"""Programs killed while they save jobs: the store opens, every change that was told as saved is there, and none is half there."""

import hashlib
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

from wattwright.core.seeds import Streams
from wattwright.store.store import Store

KILLS = 100
SEED = 20261
MOST_S = 0.4
SIZE = 100_000
WRITER = """
import sys
from pathlib import Path
from wattwright.store.store import Store
store = Store(Path(sys.argv[1]))
print("ready", flush=True)
while True:
    for job in [one.id for one in store.jobs()] or [store.add("0", {}, "made")]:
        base = store.head(job)
        turn = base.number
        now = store.change(base, str(turn), "saved", {f"{turn % 7}.csv": bytes([turn % 251]) * {size}})
        if turn % 5 == 0:
            now = store.undo(job, now.number)
        print(job, now.number, flush=True)
    if turn % 9 == 0:
        print(store.add("0", {"first.csv": b"1"}, "made"), 1, flush=True)
"""


def killed_writer(folder: Path, after_s: float) -> dict[str, int]:
    """Return by job the revision that a writer last said was saved, after it was killed so long after it began."""
    command = [sys.executable, "-c", WRITER.replace("{size}", str(SIZE)), str(folder)]
    saved = {}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None  # a pipe was asked for
        writer.stdout.readline()
        threading.Timer(after_s, writer.kill).start()
        for line in writer.stdout:
            words = line.split()
            if line.endswith("\n") and len(words) == 2:
                saved[words[0]] = int(words[1])
    return saved


def is_whole(store: Store, job: str) -> bool:
    """Return whether the revision that holds and all before it have their text and their files to the last byte."""
    at: int | None = store.head(job).number
    while at is not None:
        one = store.revision(job, at)
        if one.text != ("0" if one.parent is None else str(one.parent)):
            return False
        if any(hashlib.sha256(store.content(sha256)).hexdigest() != sha256 for sha256 in one.files.values()):
            return False
        at = one.parent
    return True


def run() -> dict[str, Any]:
    """Return how many writers were killed, and how often the store opened, nothing was lost and nothing was half saved."""
    draws = Streams(SEED).stream("studies/killed-store")
    opened = kept = whole = 0
    for _ in range(KILLS):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            saved = killed_writer(folder, float(draws.uniform(0.0, MOST_S)))
            store = Store(folder)
            opened += 1
            there = {one.id for one in store.jobs()}
            kept += all(job in there and _was_kept(store, job, number) for job, number in saved.items())
            whole += all(is_whole(store, job) for job in there)
            store.close()
    return {"writers killed": KILLS, "stores opened": opened, "nothing lost": kept, "nothing half saved": whole}


def _was_kept(store: Store, job: str, number: int) -> bool:
    """Return whether a revision that was told as saved is there; a later one may have been saved and not told."""
    return store.revision(job, number).number == number and store.head(job).number >= number - 1
