"""A journal of finished tasks, so that interrupted work goes on where it stopped and comes to the same answer.

One JSON object a line. The first names the code and what the work was made from; each other one holds the key of a task and its
result. A line is on the disk before its task counts as done. The last line may be broken off, by a power cut for example; it is
dropped, and its task is done again.
"""

import base64
import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO, NoReturn, Self

from wattwright.core.errors import FileError, Place
from wattwright.core.files import read_bytes, unwritable
from wattwright.core.fingerprint import code_version, fingerprint
from wattwright.core.frozen import pack, unpack
from wattwright.core.labour import Given, Heard, Labour, Result, Task, Work, unheard
from wattwright.core.progress import SILENT, Progress
from wattwright.job.graph import library_versions

_FORM = 1
_ANEW = "Start anew, which gives up what the journal holds."


def made_by() -> str:
    """Return a fingerprint of the program's code and of the libraries that decide results."""
    return fingerprint(code_version(("wattwright",)), library_versions(), [version(name) for name in ("numba", "scipy")])


class Journal:
    """Finished tasks in a file; use it in a ``with`` block."""

    def __init__(self, path: Path, mark: str, *, anew: bool = False) -> None:
        """Open the journal at ``path``, or begin one; ``mark`` is a fingerprint of what the work was made from, seed included.

        ``anew`` drops what it holds. Raises FileError where it cannot be read or written, is no journal, belongs to other code
        or another mark, or another run holds it.
        """
        self.path = path
        head = {"journal": _FORM, "code": made_by(), "mark": mark}
        self._held: dict[str, str] = {}
        stands = path.exists()
        if stands:
            self._require_journal(read_bytes(path))
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._file: BinaryIO = path.open("ab")
        except OSError as error:
            raise unwritable(path, error) from error
        try:
            self._begin(head, stands, anew=anew)
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        """Close the file; it stays on the disk."""
        self._file.close()

    def __len__(self) -> int:
        """Return how many tasks it holds."""
        return len(self._held)

    def find(self, key: str, kind: type[Result]) -> Result | None:
        """Return the result of a task, or None where it is not done yet; raises InputError where it is damaged."""
        kept = self._held.get(key)
        return None if kept is None else unpack(base64.b64decode(kept), kind)

    def keep(self, key: str, result: Any) -> None:
        """Write the result of a task, to the disk itself; raises FileError."""
        kept = base64.b64encode(pack(result)).decode()
        try:
            self._write({"task": key, "result": kept})
        except OSError as error:
            raise unwritable(self.path, error) from error
        self._held[key] = kept

    def _begin(self, head: dict[str, object], stands: bool, *, anew: bool) -> None:
        """Take the file for this run alone, and read what it holds."""
        self._lock()
        # What stood there before the file was ours may have been added to since.
        content = read_bytes(self.path)
        if (content or stands) and not anew:
            self._read(content, head)
            return
        try:
            self._file.truncate(0)
            self._write(head)
        except OSError as error:
            raise unwritable(self.path, error) from error

    def _lock(self) -> None:
        """Take the file until it is closed; raises FileError where another run holds it.

        The lock is the system's own and ends with its process, however that ended. Where a system has none, nobody is refused.
        """
        try:
            import fcntl
        except ImportError:
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise FileError.one(
                "work.journal-held", Place(file=str(self.path)), found="a journal that another run is writing",
                wanted="one that no other run writes", next_step="Wait until that run ends or stop it, or name another file.",
            ) from error  # fmt: skip
        except OSError as error:
            raise unwritable(self.path, error) from error

    def _write(self, content: dict[str, object]) -> None:
        """Write a line, to the disk itself."""
        self._file.write(_line(content))
        self._file.flush()
        os.fsync(self._file.fileno())

    def _require_journal(self, content: bytes) -> None:
        """Raise FileError where a file holds something else, which no journal may take the place of."""
        first = content.partition(b"\n")[0]
        if content and not first.lstrip().startswith(b'{"journal"'):
            raise FileError.one(
                "work.journal", Place(file=str(self.path)), found="something else", wanted="a journal of finished tasks",
                next_step="Name another file; this one is left as it is.",
            )  # fmt: skip

    def _read(self, content: bytes, head: dict[str, object]) -> None:
        whole = content[: content.rfind(b"\n") + 1]
        lines = list(self._lines(whole))
        if not lines or lines[0].get("journal") != _FORM:
            self._refuse("something else", "a journal of finished tasks")
        if lines[0].get("code") != head["code"]:
            self._refuse("a journal of another version of the program or its libraries", "one of this version")
        if lines[0].get("mark") != head["mark"]:
            self._refuse("a journal of other inputs or another seed", "one of these inputs and this seed")
        self._held = {str(one["task"]): str(one["result"]) for one in lines[1:]}
        if len(whole) < len(content):
            os.truncate(self.path, len(whole))

    def _lines(self, whole: bytes) -> Iterator[dict[str, Any]]:
        for number, line in enumerate(whole.splitlines(), 1):
            try:
                one = json.loads(line)
                whole_line = isinstance(one, dict) and (number == 1 or {"task", "result"} <= set(one))
            except ValueError:
                whole_line = False
            if not whole_line:
                self._refuse(f"line {number} damaged", "a journal of finished tasks, whole but for its last line")
            yield one

    def _refuse(self, found: str, wanted: str) -> NoReturn:
        raise FileError.one("work.journal", Place(file=str(self.path)), found=found, wanted=wanted, next_step=_ANEW)


def _line(content: dict[str, object]) -> bytes:
    return json.dumps(content).encode() + b"\n"


@dataclass(frozen=True, slots=True)
class Kept:
    """A labour whose finished tasks are kept in a journal and not done again; the answer is that of doing all of them."""

    labour: Labour
    journal: Journal

    def map(
        self, work: Work[Given, Task, Result], tasks: Sequence[Task], progress: Progress = SILENT, heard: Heard = unheard
    ) -> tuple[Result, ...]:
        """Do what ``Labour.map`` says, with what is known from the journal; raises FileError where it cannot be written."""
        keys = [work.key(task) for task in tasks]
        results = {place: self.journal.find(key, work.makes) for place, key in enumerate(keys)}
        missing = [place for place, result in results.items() if result is None]
        for place, result in results.items():
            if result is not None:
                heard(place, result)

        def keep(nth: int, result: Any) -> str:
            self.journal.keep(keys[missing[nth]], result)
            return heard(missing[nth], result)

        beyond = _Beyond(progress, len(tasks) - len(missing), len(tasks))
        made = self.labour.map(work, [tasks[place] for place in missing], beyond, keep)
        whole = {**results, **dict(zip(missing, made, strict=True))}
        return tuple(one for one in (whole[place] for place in range(len(tasks))) if one is not None)


@dataclass(frozen=True, slots=True)
class _Beyond:
    """Progress that counts what was known before."""

    progress: Progress
    known: int
    total: int

    def at(self, what: str, done: float, total: float) -> None:
        """Report with what was known."""
        self.progress.at(what, self.known + done, self.total)
