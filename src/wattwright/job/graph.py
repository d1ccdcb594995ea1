"""A small graph of stages: each knows what it needs; a result is reused, marked stale or worked out again by its fingerprint."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from importlib.metadata import version
from typing import Any

from wattwright.core.errors import OwnFault
from wattwright.core.fingerprint import code_version, fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.job.cache import Shelf


class State(StrEnum):
    """What is known of a stage without working it out."""

    READY = "ready"
    STALE = "stale"
    MISSING = "not made yet"


@dataclass(frozen=True, slots=True)
class Stage:
    """One step from inputs to a frozen result.

    ``needs`` are the names of stages whose results ``make`` takes, in that order, after which comes the progress; ``inputs`` is
    gives everything else that decides the result (specs, hashes of files, the seed) when first asked; ``rooms`` are the packages
    whose code does.
    """

    name: str
    kind: type[Any]
    needs: tuple[str, ...]
    inputs: Callable[[], object]
    rooms: tuple[str, ...]
    make: Callable[..., Any]


@lru_cache(maxsize=1)
def library_versions() -> tuple[str, ...]:
    """Return name and version of the libraries whose data or arithmetic decide a result: an update must not pass for the old."""
    return tuple(f"{name} {version(name)}" for name in ("holidays", "numpy", "polars", "tzdata"))


class Graph:
    """Stages by name, with results in memory and on a shelf."""

    def __init__(
        self, stages: Mapping[str, Stage], shelf: Shelf, seed: int = 1, elsewhere: Callable[[str], None] | None = None
    ) -> None:
        """Take the stages and the job's seed; raises OwnFault when one needs a stage that is not there or needs itself.

        ``elsewhere`` is asked to have another process put a stage's result on the shelf before it is made in this one.
        """
        self._elsewhere = elsewhere
        self._stages = dict(stages)
        self._shelf = shelf
        self._seed = seed
        self._held: dict[str, tuple[str, Any]] = {}
        self._prints: dict[str, str] = {}
        for name in self._stages:
            self._check(name, ())

    def names(self) -> tuple[str, ...]:
        """Return the stages in the order they were given."""
        return tuple(self._stages)

    def fingerprint_of(self, name: str) -> str:
        """Return the fingerprint of a stage: inputs, seed, code, libraries that decide results, and what it needs."""
        if name not in self._prints:
            stage = self._stages[name]
            below = [self.fingerprint_of(one) for one in stage.needs]
            code = code_version(("wattwright.core", *stage.rooms))
            self._prints[name] = fingerprint(name, stage.inputs(), self._seed, below, code, library_versions())
        return self._prints[name]

    def state(self, name: str) -> State:
        """Return whether a stage's result is ready, stale or not made yet, without making it."""
        if name in self._held:
            return State.READY
        print_ = self.fingerprint_of(name)
        if self._shelf.find(name, print_, self._stages[name].kind) is not None:
            return State.READY
        return State.STALE if self._shelf.has_other(name, print_) else State.MISSING

    def result(self, name: str, progress: Progress = SILENT) -> Any:
        """Return a stage's result: from memory, from the shelf, or made now from what it needs."""
        print_ = self.fingerprint_of(name)
        if name in self._held:
            return self._held[name][1]
        stage = self._stages[name]
        made = self._shelf.find(name, print_, stage.kind)
        if made is None and self._elsewhere is not None:
            self._elsewhere(name)
            made = self._shelf.find(name, print_, stage.kind)
        if made is None:
            made = stage.make(*(self.result(one, progress) for one in stage.needs), progress)
            self._shelf.keep(name, print_, made)
        self._held[name] = (print_, made)
        return made

    def _check(self, name: str, above: tuple[str, ...]) -> None:
        if name not in self._stages or name in above:
            raise OwnFault(f"the stages {' > '.join((*above, name))} do not form a graph")
        for one in self._stages[name].needs:
            self._check(one, (*above, name))
