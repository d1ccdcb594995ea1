"""Pages made beside the server: one at a time, the one asked for last first, and shown as soon as they are there."""

import threading
from dataclasses import dataclass, field

from wattwright.web.bench import Bench
from wattwright.web.held import HeldJob, mark_of
from wattwright.web.whole import Wanted, Whole, unmade

PATIENCE_S = 0.5
"""How long a request waits for a page before it says that the page is being worked out."""
_FAREWELL_S = 5.0


@dataclass(eq=False, slots=True)
class _Order:
    """A page that somebody waits for."""

    job: HeldJob
    name: str
    looked_at: str
    figures: bool
    done: threading.Event = field(default_factory=threading.Event)

    @property
    def key(self) -> tuple[int, str, str]:
        return id(self.job), self.name, self.looked_at


class Making:
    """Makes pages in a thread that is started when first needed; the work itself is done on the bench."""

    def __init__(self, bench: Bench, patience_s: float = PATIENCE_S) -> None:
        self.bench, self._patience_s = bench, patience_s
        self._orders: list[_Order] = []
        self._changed, self._ends = threading.Condition(), False
        self._thread: threading.Thread | None = None

    def close(self) -> None:
        """Make no more pages."""
        with self._changed:
            self._ends = True
            self._changed.notify_all()
        self.bench.close()
        if self._thread is not None:
            self._thread.join(_FAREWELL_S)

    def page(self, job: HeldJob, name: str, looked_at: str = "", *, figures: bool = False) -> Whole | None:
        """A page as things stand now, None where it is still being made after a while.

        With ``figures`` its key figures are worked out too. Raises what making it raised, which is a fault of ours.
        """
        broken = job.broken.pop((name, looked_at), None)
        if broken is not None:
            raise broken
        found = self.ready(job, name, looked_at)
        if found is not None:
            return found
        order = self._ordered(_Order(job, name, looked_at, figures))
        if not order.done.wait(self._patience_s):
            return None
        broken = job.broken.pop((name, looked_at), None)
        if broken is not None:
            raise broken
        # Made now, it is shown even where something was put on the shelf meanwhile: the next look makes it anew.
        return job.pages.get((name, looked_at))

    def ready(self, job: HeldJob, name: str, looked_at: str = "") -> Whole | None:
        """A page as things stand now, None where it is not made yet or not any more right."""
        found, latest = job.pages.get((name, looked_at)), job.latest()
        if found is None or latest is None or found.mark != mark_of(job.results):
            return None
        # A meter file that cannot be read leaves nothing on the shelf: the page made last knows of it, and those before do not.
        return found if found.unread >= latest.unread else None

    def is_made(self, job: HeldJob, name: str, looked_at: str = "") -> bool:
        """Whether nobody works at a page any more."""
        with self._changed:
            return not any(one.key == (id(job), name, looked_at) for one in self._orders)

    def _ordered(self, order: _Order) -> _Order:
        """The order, or the one for the same page that is there already, moved to the front."""
        with self._changed:
            there = next((one for one in self._orders if one.key == order.key), order)
            if there is not order:
                self._orders.remove(there)
            self._orders.append(there)
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="pages", daemon=True)
                self._thread.start()
            self._changed.notify_all()
            return there

    def _work(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._ends or self._orders)
                if self._ends:
                    return
                order = self._orders[-1]
            try:
                if not order.job.is_past:
                    self._make(order)
            except Exception as error:  # told to whoever waits for the page; the next one is made all the same
                order.job.broken[order.name, order.looked_at] = error
            with self._changed:
                self._orders.remove(order)
            order.done.set()

    def _make(self, order: _Order) -> None:
        job = order.job
        wanted = Wanted(job.revision, job.job.folder, job.results, order.name, order.looked_at, order.figures)
        made = self.bench.make(wanted)
        page = made.page if made.page is not None else unmade(job, order.name, made.faults)
        job.pages[order.name, order.looked_at] = page
