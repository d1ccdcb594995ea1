"""Peak memory of reading a year of minutes against bare polars, each in a process of its own with the same imports."""

import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path

from benchmarks.harness import Memory
from benchmarks.reading import bare
from benchmarks.samples import LAYOUTS, ZONE, Minutes, write_minutes
from wattwright.record.read import read_record

_ROOT = Path(__file__).parents[1]


def peak_kib() -> int:
    """Return the largest memory this process has held.

    Linux lets a new program inherit the peak of the one that started it in ``ru_maxrss``, so its own status is asked first.
    """
    status = Path("/proc/self/status")
    if status.exists():
        line = next(one for one in status.read_text(encoding="ascii").splitlines() if one.startswith("VmHWM"))
        return int(line.split()[1])
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def rise(which: str, path: Path, layout: Minutes) -> int:
    """Return by how many bytes the peak of this process rises while ``which`` ("ours", "reference") reads the file once."""
    before = peak_kib()
    kept = read_record(path, ZONE) if which == "ours" else bare(path, layout)
    rose = peak_kib() - before
    del kept
    return 1024 * rose


def in_child(which: str, path: Path, layout: Minutes) -> int:
    """Return what :func:`rise` gives in a new process."""
    command = [sys.executable, "-m", "benchmarks.memory", which, str(path), layout.name]
    return int(subprocess.run(command, stdout=subprocess.PIPE, cwd=_ROOT, check=True).stdout)


def prepare(layout: Minutes) -> AbstractContextManager[tuple[Callable[[], int], Callable[[], int]]]:
    """Return what writes a year in ``layout`` to a folder of its own and gives the two probes."""

    @contextmanager
    def written() -> Iterator[tuple[Callable[[], int], Callable[[], int]]]:
        with tempfile.TemporaryDirectory() as name:
            path = write_minutes(Path(name), layout)
            yield partial(in_child, "ours", path, layout), partial(in_child, "reference", path, layout)

    return written()


MEMORY = tuple(
    Memory(name=f"record: memory of that, {one.name}", bar=1.5, pairs=3, prepare=partial(prepare, one)) for one in LAYOUTS
)

if __name__ == "__main__":
    print(rise(sys.argv[1], Path(sys.argv[2]), next(one for one in LAYOUTS if one.name == sys.argv[3])))
