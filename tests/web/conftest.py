"""The desk in this process, and the real program on a free port with a browser before it."""

import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from queue import Queue
from threading import Thread

import anyio
import httpx
import pytest

from wattwright.demo.job import demo_job
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.web.app import application
from wattwright.web.desk import Desk

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


class Asked:
    """A desk asked without a network, over the interface between server and application."""

    def __init__(self, folder: Path) -> None:
        self.desk = Desk(lambda: Assessment(load_job(folder), keep=False))
        self._application = application(self.desk, PORT)

    def __call__(self, path: str, method: str = "GET", host: str = f"127.0.0.1:{PORT}") -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(self._application)
            async with httpx.AsyncClient(transport=transport, base_url=f"http://127.0.0.1:{PORT}") as client:
                return await client.request(method, path, headers={"host": host})

        return anyio.run(ask)


@dataclass
class Running:
    """The real program: its address and its process."""

    address: str
    process: subprocess.Popen


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


def start(root: Path, *given: str, port: str = "0") -> Running:
    """Start the program on a job and wait until it says where it is."""
    environment = {**os.environ, "PYTHONPATH": str(root / "src")}
    command = [sys.executable, "-c", PROGRAM, "desk", *given, "--port", port]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    lines: Queue[str] = Queue()
    Thread(target=lambda: lines.put(process.stdout.readline()), daemon=True).start()
    address = re.search(r"http://127\.0\.0\.1:\d+", lines.get(timeout=READY_S))
    assert address, "the desk did not say where it is"
    return Running(address[0], process)


def end(running: Running) -> tuple[int, str]:
    """Ask the program to end by its process id, as Control-C does; return its exit code and what it said of errors."""
    running.process.send_signal(signal.SIGINT)
    _, errors = running.process.communicate(timeout=READY_S)
    return running.process.returncode, errors


@pytest.fixture(scope="session")
def running(root: Path, demo_folder: Path) -> Iterator[Running]:
    """The desk with the invented property."""
    started = start(root, str(demo_folder))
    yield started
    assert end(started) == (0, "")


@pytest.fixture(scope="session")
def browser():
    """The system's Chromium."""
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("no Chromium on this machine")  # a desk without a browser; in CI this fails
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=program, args=list(LAUNCH))
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
        seen.page.goto(running.address + path)
        return seen

    yield opened
    for context in contexts:
        context.close()
