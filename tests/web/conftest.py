"""The desk in this process, and the real program on a free port with a browser before it."""

import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from queue import Queue
from threading import Thread

import anyio
import httpx
import pytest

from tests.handover.kit import hours
from wattwright.demo.job import demo_job
from wattwright.store.exchange import take_folder
from wattwright.store.store import Store
from wattwright.web.app import application
from wattwright.web.bench import Bench, Given, Outcome, do, take_given
from wattwright.web.desk import Desk
from wattwright.web.errands import Errands
from wattwright.web.links import SHEETS
from wattwright.web.open_job import OpenJob, open_job
from wattwright.web.whole import Wanted

PORT = 4711
PROGRAM = "from wattwright.cli.main import run; run()"
LAUNCH = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
READY_S = 60
EARLY = """
version = 2
name = "Mill (invented)"
invented = true
[site]
zone = "UTC"
[papers]
date = 2025-11-03
[supply]
system = "single-phase"
voltage = "230 V"
[[loads]]
id = "oven"
name = "Oven"
kind = "cooking"
rating = "2 kW"
"""
"""A job before its visit."""
PATIENCE_S = 300.0
"""Tests wait for a page until it is made."""


class Here(Bench):
    """A bench without a process of its own: what it does is done here, and counts for coverage."""

    def make(self, wanted: Wanted) -> Outcome:
        """The page, made here and without a bound of memory."""
        return do(resource.RLIM_INFINITY, wanted)

    def _given(self, given: Given) -> Outcome:
        return take_given(resource.RLIM_INFINITY, given)


class Asked:
    """A desk asked without a network, over the interface between server and application."""

    def __init__(self, folder: Path | None, into: Path | None = None, program: str = "") -> None:
        kept = into or folder.parent / f"{folder.name}-store"
        self.store = Store(kept)
        errands = Errands(self.store, lambda errand: [sys.executable, "-c", program]) if program else None
        self.desk = Desk(self.store, errands, Here(), PATIENCE_S)
        self._application = application(self.desk, PORT)
        self.job = take_folder(self.store, folder, "read") if folder is not None else ""

    @property
    def opened(self):
        """The job as the desk holds it."""
        return self.desk.job(self.job)

    @property
    def worked(self) -> OpenJob:
        """The job as it is worked out beside the server."""
        held = self.opened
        return open_job(held.revision, held.job.folder, held.results)

    def at(self, path: str) -> str:
        """The address of a page of the job; others stay as they are."""
        return (
            f"/jobs/{self.job}{path}"
            if path.split("?")[0].split("/")[1] in (*SHEETS, "do", "text", "preview", "papers", "wiring")
            else path
        )

    def __call__(self, path: str, method: str = "GET", host: str = f"127.0.0.1:{PORT}", **more: object) -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(self._application, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=f"http://127.0.0.1:{PORT}", timeout=60) as client:
                headers = {"host": host, **more.pop("headers", {})}
                return await client.request(method, self.at(path), headers=headers, **more)

        # In a thread of its own: one that drives a browser already runs a loop.
        with ThreadPoolExecutor(1) as thread:
            return thread.submit(anyio.run, ask).result()

    def post(self, path: str, values: dict[str, object] | None = None, files: object = None, **more: object) -> httpx.Response:
        """A form of the desk sent as a browser would, with its token and the revision that a page would show."""
        base = {"base": str(self.store.head(self.job).number)} if self.job else {}
        data = {"token": self.desk.token, **base, **(values or {})}
        return self(path, "POST", headers={"origin": f"http://127.0.0.1:{PORT}"}, data=data, files=files, **more)


def asked_of(folder: Path, text: str) -> Asked:
    """A desk with the job of a text, and four days of its readings, in a folder."""
    job = folder / "job"
    job.mkdir()
    (job / "job.toml").write_text(text)
    (job / "readings.csv").write_text(hours([2.5, 3.0] * 48))
    return Asked(job)


@dataclass
class Running:
    """The real program: its address, its process, and the address of the job it was opened with."""

    address: str
    process: subprocess.Popen
    job: str = ""

    def at(self, path: str) -> str:
        """The whole address of a page of the job, or of another page."""
        return self.address + (self.job if re.split("[/?#]", path)[1] in SHEETS else "") + path


@dataclass
class Seen:
    """A page in the browser, and what was said and asked while it was open."""

    page: object
    told: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented property's job, its results kept for all tests of the desk."""
    folder = tmp_path_factory.mktemp("desk") / "demo"
    demo_job(folder)
    return folder


def start(root: Path, *given: str, port: str = "0", folder: Path | None = None) -> Running:
    """Start the program on a job and wait until it says where it is."""
    # The program is compiled as a person has it, also where the tests around it run as plain Python.
    environment = {name: value for name, value in os.environ.items() if name != "NUMBA_DISABLE_JIT"}
    environment["PYTHONPATH"] = str(root / "src")
    kept = folder or Path(tempfile.mkdtemp(prefix="ww-desk-"))
    command = [sys.executable, "-c", PROGRAM, "desk", *given, "--port", port, "--folder", str(kept)]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    lines: Queue[str] = Queue()
    Thread(target=lambda: lines.put(process.stdout.readline()), daemon=True).start()
    told = re.search(r"(http://127\.0\.0\.1:\d+)(/jobs/\w+)?", lines.get(timeout=READY_S))
    assert told, "the desk did not say where it is"
    return Running(told[1], process, told[2] or "")


def settled(address: str) -> httpx.Response:
    """A page, asked for until it is made."""
    last = time.monotonic() + PATIENCE_S
    while (answer := httpx.get(address, timeout=60)).status_code == 200 and "/ready" in answer.text:
        assert time.monotonic() < last, address
        time.sleep(0.2)
    assert answer.status_code == 200
    return answer


def end(running: Running) -> tuple[int, str]:
    """Ask the program to end by its process id, as Control-C does; return its exit code and what it said of errors."""
    running.process.send_signal(signal.SIGINT)
    _, errors = running.process.communicate(timeout=READY_S)
    return running.process.returncode, errors


@pytest.fixture(scope="session")
def running(root: Path, demo_folder: Path) -> Iterator[Running]:
    """The desk with the invented property."""
    started = start(root, str(demo_folder))
    for _ in range(2):  # what one page puts on the shelf has others made once more
        for sheet in SHEETS:
            assert "cannot be made" not in settled(started.at(f"/{sheet}")).text
    yield started
    assert end(started) == (0, "")


@pytest.fixture(scope="session")
def early(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """The desk with a job before its visit."""
    folder = tmp_path_factory.mktemp("early") / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(EARLY)
    started = start(root, str(folder))
    yield started
    assert end(started) == (0, "")


def patient(make):
    """Make pages of a browser that wait as long as the tests do: freezing alone took a busy machine over half a minute."""

    def made(**given: object):
        one = make(**given)
        one.set_default_timeout(1000 * PATIENCE_S)
        return one

    return made


@pytest.fixture(scope="session")
def browser():
    """The system's Chromium."""
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("no Chromium on this machine")  # a desk without a browser; in CI this fails
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=program, args=list(LAUNCH))
        opened.new_page, opened.new_context = patient(opened.new_page), patient(opened.new_context)
        yield opened
        opened.close()


@pytest.fixture
def open_page(browser, running: Running):
    """Open a page of the running desk at a width and in a colour scheme, scrolled through once."""
    contexts = []

    def opened(path: str, width: int = 1440, scheme: str = "light", **more: object) -> Seen:
        context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme, **more)
        contexts.append(context)
        seen = Seen(context.new_page())
        seen.page.on("console", lambda message: seen.told.append(f"{message.type}: {message.text}"))
        seen.page.on("pageerror", lambda error: seen.told.append(str(error)))
        seen.page.on("request", lambda request: seen.asked.append(request.url))
        seen.page.add_init_script(
            "addEventListener('securitypolicyviolation', (e) => console.error(`policy: ${e.violatedDirective} ${e.blockedURI}`))"
        )
        seen.page.goto(running.at(path))
        seen.page.evaluate("document.fonts.ready")  # a busy machine measured a page before its letters were there
        return seen

    yield opened
    for context in contexts:
        context.close()
