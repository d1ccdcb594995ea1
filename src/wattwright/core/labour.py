"""How rooms ask for long work in many like parts, without knowing whether one process does it or several.

A room that has many parts to work out takes a ``Labour``. ``IN_TURN`` does them here, one after the other; processes and
journals, which lie on a higher floor, do the same and give the same results.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from wattwright.core.fingerprint import fingerprint
from wattwright.core.progress import SILENT, Progress

Given = TypeVar("Given")
Task = TypeVar("Task")
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, eq=False)
class Work(Generic[Given, Task, Result]):
    """The same thing to be done for many tasks: ``do(given, task)`` makes a ``makes``, and depends on nothing else.

    ``do`` is a function of a module, so that another process finds it by name. ``given`` is what all tasks share, however large;
    it is sent to each process once. Chance comes from a stream named after the task, never from the order of the tasks.
    ``mark`` stands for ``given`` in journals, and must differ where it does: a fingerprint of what it was made from. ``makes`` is
    a frozen dataclass, which ``core.frozen`` can keep.
    """

    name: str
    do: Callable[[Given, Task], Result]
    given: Given
    makes: type[Result]
    mark: str = ""

    def key(self, task: Task) -> str:
        """Return the fingerprint of one task of this work; raises OwnFault for a task that cannot be fingerprinted."""
        return fingerprint(self.name, self.mark, task)


Heard = Callable[[int, Any], str]
"""Called with place and result of each task when it is done, in whatever order; returns words for progress, such as the best
so far."""


def unheard(place: int, result: Any) -> str:
    """Listen to nothing."""
    return ""


class Labour(Protocol):
    """Who does the work."""

    def map(
        self, work: Work[Given, Task, Result], tasks: Sequence[Task], progress: Progress = SILENT, heard: Heard = unheard
    ) -> tuple[Result, ...]:
        """Return the results in the order of the tasks, whichever is done first.

        Progress is told after each task, and asked now and then whether to stop. Raises Cancelled when it says so, WorkError
        where a process ended before its task, and what a task raises. What was done until then has been heard.
        """


def said(work: Work[Any, Any, Any], words: str) -> str:
    """Return what progress is told: the work's name, and the words of the last result that had some."""
    return f"{work.name}, {words}" if words else work.name


class InTurn:
    """One task after the other, in this process."""

    def map(
        self, work: Work[Given, Task, Result], tasks: Sequence[Task], progress: Progress = SILENT, heard: Heard = unheard
    ) -> tuple[Result, ...]:
        """Do what ``Labour.map`` says."""
        results: list[Result] = []
        words = ""
        progress.at(work.name, 0, len(tasks))
        for place, task in enumerate(tasks):
            results.append(work.do(work.given, task))
            words = heard(place, results[-1]) or words
            progress.at(said(work, words), place + 1, len(tasks))
        return tuple(results)


IN_TURN = InTurn()
