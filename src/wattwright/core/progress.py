"""One small protocol by which long work reports how far it is and learns that it should stop."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from wattwright.core.errors import Cancelled


class Progress(Protocol):
    """What long work is given: it calls ``at`` now and then and lets the exception through."""

    def at(self, what: str, done: float, total: float) -> None:
        """Report that ``done`` of ``total`` parts of ``what`` are finished; raises Cancelled to stop the work."""


class Silent:
    """Progress nobody watches."""

    def at(self, what: str, done: float, total: float) -> None:
        """Ignore the report."""


@dataclass(frozen=True, slots=True)
class Reporting:
    """Progress passed on to ``show(what, done, total)``, with ``stopped()`` asked at each report."""

    show: Callable[[str, float, float], None]
    stopped: Callable[[], bool] = lambda: False

    def at(self, what: str, done: float, total: float) -> None:
        """Pass the report on; raises Cancelled when the person has asked to stop."""
        if self.stopped():
            raise Cancelled(f"Stopped while working on {what}; no file is half-written.")
        self.show(what, done, total)


SILENT = Silent()
