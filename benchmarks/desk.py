"""The desk on the invented job: each page with all that it asks for against an empty page, its weight, and its pictures.

The real program serves a year of minutes over the loopback interface. Pages are made before they are measured, as a person finds
them again: how long the first making takes is the time of the stages, which have benchmarks of their own.
"""

import http.client
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

from benchmarks.harness import Action, Allowed, Memory, Tail
from wattwright.core.errors import OwnFault
from wattwright.demo.job import demo_job
from wattwright.web.links import SHEETS

_PROGRAM = "from wattwright.cli.main import run; run()"
_PATIENCE_S = 900.0
_MOST_KB = 400.0
_MOST_MS = 1500.0
_QUICK = (
    "load=pool+pump&power=1100&power.unit=W&length=20&length.unit=m&method=C", "load=water+heater&power=3&power.unit=kW",
    "load=lighting&power=400&power.unit=W",
)  # fmt: skip
_LAUNCH = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync",
)  # fmt: skip


class Served:
    """A running desk: its host and port, the job that is measured, and one that has nothing in it."""

    def __init__(self, host: str, job: str) -> None:
        self.host, self.job, self.empty = host, job, ""
        self._line = http.client.HTTPConnection(host, timeout=_PATIENCE_S)

    def __enter__(self) -> "Served":
        """Ask over one line."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let go of the line."""
        self._line.close()

    def ask(self, path: str, form: str = "") -> tuple[int, bytes, str]:
        """Status, body and where it leads: of a page, or of a form sent."""
        own = {"content-type": "application/x-www-form-urlencoded", "origin": f"http://{self.host}"}
        self._line.request("POST" if form else "GET", path, form or None, own if form else {})
        answer = self._line.getresponse()
        return answer.status, answer.read(), answer.getheader("location") or ""

    def whole(self, path: str, *, wide: bool = True) -> int:
        """Ask for a page and every picture that it shows at a width, as a browser does; return their bytes."""
        status, body, _ = self.ask(path)
        asked = re.findall(rb'data-drawing="([^"]+\.' + (b"wide" if wide else b"narrow") + rb'\.json)"', body)
        parts = [self.ask(one.decode()) for one in asked]
        if status != 200 or any(part[0] != 200 for part in parts):
            raise OwnFault(f"{path} cannot be measured: not everything came")
        return len(body) + sum(len(part[1]) for part in parts)

    def settle(self) -> None:
        """Ask for all pages until each is made and none is made again for what another put on the shelf."""
        end = time.monotonic() + _PATIENCE_S
        while any(b"/ready" in self.ask(f"{job}/{sheet}")[1] for job in (self.job, self.empty) for sheet in SHEETS):
            if time.monotonic() > end:
                raise OwnFault("the pages of the desk were not made in time")
            time.sleep(0.2)


@contextmanager
def served(folder: Path | None = None) -> Iterator[Served]:
    """The desk on the job in a folder, the invented one where none is given, all its pages made."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        job = folder or Path(name) / "demo"
        if folder is None:
            demo_job(job)
        command = [sys.executable, "-c", _PROGRAM, "desk", str(job), "--port", "0", "--folder", str(Path(name) / "store")]
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
        with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
            try:
                assert process.stdout is not None  # a pipe was asked for
                address = urlsplit(process.stdout.readline().split()[-1])
                one = stack.enter_context(Served(address.netloc, address.path.rpartition("/")[0]))
                found = re.search(rb'name="token" value="([^"]+)"', one.ask("/")[1])
                assert found is not None  # each form carries it
                _, _, led = one.ask("/jobs/new", f"token={found[1].decode()}&zone=UTC&name=Empty")
                one.empty = led.rpartition("/")[0]
                one.settle()
                yield one
            finally:
                process.send_signal(signal.SIGINT)


@contextmanager
def prepare(folder: Path | None = None) -> Iterator[tuple[Sequence[Action], Action]]:
    """Every page of the job with its pictures, and a page that has nothing to show."""
    with served(folder) as one:
        yield [partial(one.whole, f"{one.job}/{sheet}") for sheet in SHEETS], partial(one.whole, f"{one.empty}/demand")


@contextmanager
def prepare_quick(folder: Path | None = None) -> Iterator[tuple[Sequence[Action], Action]]:
    """Quick answers for loads of three kinds, and a page that has nothing to show."""
    with served(folder) as one:
        yield [partial(one.whole, f"/quick?{asked}") for asked in _QUICK], partial(one.whole, f"{one.empty}/demand")


@contextmanager
def prepare_weight(folder: Path | None = None) -> Iterator[tuple[Callable[[], int], Callable[[], int]]]:
    """The bytes of the heaviest page with its pictures at a width, and how many it may have."""
    with served(folder) as one:
        paths = [(f"{one.job}/{sheet}", wide) for sheet in SHEETS for wide in (True, False)]
        yield lambda: max(one.whole(path, wide=wide) for path, wide in paths), lambda: int(_MOST_KB * 1000)


@contextmanager
def prepare_drawn(folder: Path | None = None) -> Iterator[Action]:
    """Open the page of the demand anew in Chromium and wait until the picture of the year is drawn."""
    from playwright.sync_api import sync_playwright

    with served(folder) as one, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=list(_LAUNCH))

        def draw() -> None:
            page = browser.new_page()
            page.goto(f"http://{one.host}{one.job}/demand", wait_until="commit")
            page.locator("#year-heat [data-drawn=here]").first.wait_for()
            page.close()

        yield draw
        browser.close()


DESK: tuple[Allowed | Memory | Tail, ...] = (
    Tail(name="desk: slowest page, 95 of 100", bar=10.0, pairs=40, prepare=prepare),
    Tail(name="desk: slowest quick answer, 95 of 100", bar=10.0, pairs=40, prepare=prepare_quick),
    Memory(name="desk: weight of the heaviest page", bar=1.0, pairs=1, prepare=prepare_weight),
    Allowed(name="desk: the year drawn in a browser", allowed=_MOST_MS, pairs=5, prepare=prepare_drawn),
)
