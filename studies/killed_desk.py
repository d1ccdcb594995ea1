"""The desk and its workers killed while they save and work out: it opens again, nothing saved is lost, nothing is half there."""

import http.client
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
import zipfile
from contextlib import suppress
from pathlib import Path
from typing import IO, Any

from wattwright.core.seeds import Streams
from wattwright.store.store import Store

DATA = tuple(f"src/wattwright/web/{name}.py" for name in ("bench", "desk", "errand", "errands", "making", "whole"))
KILLS = 100
"""Each ends the desk and every process of its own at once, by SIGKILL."""
EVERY = 10
"""After so many kills a page is made to its end, and the process that makes pages is killed alone."""
SEED = 20263
MOST_S = 1.5
ENOUGH_IN_WORK, ENOUGH_SAVES = 40, 200
PATIENCE_S = 120.0
NURSERY = """
import os, signal, sys
from wattwright.cli.main import run
import wattwright.web.serve, wattwright.web.app
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
for folder in sys.stdin:
    if os.fork() == 0:
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        print(os.getpid(), flush=True)
        sys.argv = ["wattwright", "desk", "--port", "0", "--folder", folder.strip()]
        run()
        os._exit(0)
"""
"""Keeps the program loaded and makes a desk of its own for each folder it is told: loading it takes longer than all else."""
JOB = """version = 2
name = "n0"
place = "an invented place"
[site]
zone = "UTC"
[papers]
date = 2026-01-12
[[meters]]
id = "main"
[[files]]
id = "readings"
path = "readings.csv"
meter = "main"
"""


class Running:
    """A desk on a folder of jobs, asked as a browser asks it."""

    def __init__(self, nursery: "subprocess.Popen[str]", folder: Path) -> None:
        into, out = _pipes(nursery)
        into.write(f"{folder}\n")
        into.flush()
        while not (line := out.readline().strip()).isdigit():
            pass  # what the desk before said last
        self.pid = int(line)
        told = re.search(r"http://([\d.]+:\d+)", out.readline())
        assert told is not None  # a desk says where it is
        self.host = told[1]
        found = re.search(r'name="token" value="([^"]+)"', self.ask("/"))
        assert found is not None  # each form carries it
        self.token = found[1]

    def ask(self, path: str, **form: str) -> str:
        """The text of a page, or where a form led to; empty where the desk is gone."""
        line = http.client.HTTPConnection(self.host, timeout=PATIENCE_S)
        try:
            if not form:
                line.request("GET", path)
                return line.getresponse().read().decode()
            own = {"content-type": "application/x-www-form-urlencoded", "origin": f"http://{self.host}"}
            line.request("POST", path, urllib.parse.urlencode({"token": self.token, **form}), own)
            answer = line.getresponse()
            answer.read()
            return answer.getheader("location") or ""
        except (OSError, http.client.HTTPException):
            return ""
        finally:
            line.close()

    def page(self, path: str) -> bool:
        """Whether a page is made in the end."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            text = self.ask(path)
            if text and "/ready" not in text:
                return "cannot be made" not in text
            time.sleep(0.1)
        return False

    def workers(self) -> dict[str, int]:
        """The processes of the desk by what they do: "papers" for long work, "bench" for pages."""
        found = {}
        for one in Path("/proc").glob("[0-9]*"):
            try:
                words = (one / "cmdline").read_bytes()
                parent = int((one / "stat").read_text().rpartition(")")[2].split()[1])
            except (OSError, ValueError, IndexError):
                continue  # gone meanwhile
            if parent == self.pid and b"resource_tracker" not in words:
                found["papers" if b"wattwright.web.errand" in words else "bench"] = int(one.name)
        return found


def _pipes(program: "subprocess.Popen[str]") -> tuple[IO[str], IO[str]]:
    assert program.stdin is not None  # asked for
    assert program.stdout is not None
    return program.stdin, program.stdout


def is_there(pid: int) -> bool:
    """Whether a process is there; one that only waits to be buried is not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def saver(desk: Running, job: str, number: int, saved: list[str]) -> None:
    """Change the name of the job again and again, and note each that was told as saved, until the desk is gone."""
    while True:
        name = f"n{number}"
        led = desk.ask(f"/jobs/{job}/do/set", base=str(number), group="job", name=name, place="an invented place", client="")
        if not led:
            return
        saved.append(name)
        number += 1


def is_whole(folder: Path) -> bool:
    """Whether no result and no paper is there in part."""
    for one in folder.rglob("results/*/*"):
        if one.suffix in (".zip", ".xlsx"):
            with zipfile.ZipFile(one) as archive:
                if archive.testzip() is not None:
                    return False
        if one.suffix == ".pdf" and not one.read_bytes().rstrip().endswith(b"%%EOF"):
            return False
        if one.name == ".papers.json":
            json.loads(one.read_text(encoding="utf-8"))
    return True


class Site:
    """A folder of jobs with one job, through all kills."""

    def __init__(self, folder: Path, nursery: "subprocess.Popen[str]") -> None:
        self.folder, self.nursery, self.saved = folder, nursery, ["n0"]
        rows = "".join(f"2025-02-{1 + i // 24:02d} {i % 24:02d}:00,{1 + i % 2}\n" for i in range(28 * 24))
        store = Store(folder)
        self.job = store.add(JOB, {"readings.csv": ("time,P [kW]\n" + rows).encode()}, "made")
        store.close()

    def killed(self, wait_s: float, *, working: bool, workers_first: bool) -> dict[str, int]:
        """Kill the desk while it saves; where it is to be ``working``, once long work has told that it is under way."""
        store = Store(self.folder)
        first = store.head(self.job).number
        desk = Running(self.nursery, self.folder)
        desk.ask(f"/jobs/{self.job}/do/begin-papers", base=str(first))
        end = time.monotonic() + PATIENCE_S
        while working and time.monotonic() < end and not any(run.doing for run in store.open_runs()):
            time.sleep(0.02)
        # Saves begin only now: while the long work is being loaded they would but hold it up.
        saving = threading.Thread(target=saver, args=(desk, self.job, first, self.saved))
        saving.start()
        time.sleep(wait_s)
        begun = any(run.doing for run in store.open_runs())
        store.close()
        workers = list(desk.workers().values())
        for pid in [*workers, desk.pid] if workers_first else [desk.pid, *workers]:
            _kill(pid)
        saving.join()
        while any(map(is_there, (desk.pid, *workers))) and time.monotonic() < end:
            time.sleep(0.02)
        left = sum(map(is_there, (desk.pid, *workers)))
        told = {"kills": 1, "with long work under way": int(begun)}
        return {**told, "saves before the kill": self._saves(first), **self._whole(first), "processes left over": left}

    def _saves(self, first: int) -> int:
        store = Store(self.folder)
        number = store.head(self.job).number - first
        store.close()
        return number

    def _whole(self, first: int) -> dict[str, int]:
        """Whether the store opens, no job and nothing told as saved is gone, and no revision and no result is half there."""
        store = Store(self.folder)
        jobs, head = [one.id for one in store.jobs()], store.head(self.job)
        texts = [store.revision(self.job, number).text for number in range(first, head.number + 1)]
        sound = store.content(head.files["readings.csv"]).startswith(b"time,P [kW]")
        store.close()
        names = [name for name in self.saved if int(name[1:]) >= first]
        kept = jobs == [self.job] and sound and all(any(f'name = "{name}"' in text for text in texts) for name in names)
        whole = all(re.sub(r'name = "n\d+"', 'name = "n0"', text, count=1) == JOB for text in texts) and is_whole(self.folder)
        return {"store opened": 1, "nothing lost": int(kept), "nothing half there": int(whole)}

    def looked_at(self) -> dict[str, int]:
        """Kill the process that makes pages alone, and see that the page comes after the next change; then end the desk."""
        desk = Running(self.nursery, self.folder)
        page, end = f"/jobs/{self.job}/demand", time.monotonic() + PATIENCE_S
        desk.ask(page)
        while "bench" not in desk.workers() and time.monotonic() < end:
            time.sleep(0.02)
        _kill(desk.workers().get("bench", 0))
        store = Store(self.folder)
        number = store.head(self.job).number
        store.close()
        name = f"n{number}"
        desk.ask(f"/jobs/{self.job}/do/set", base=str(number), group="job", name=name, place="an invented place", client="")
        self.saved.append(name)
        made = desk.page(page)
        workers = list(desk.workers().values())
        os.kill(desk.pid, signal.SIGINT)
        while is_there(desk.pid) and time.monotonic() < end:
            time.sleep(0.02)
        for pid in workers:
            _kill(pid)
        return {"looks at a page": 1, "pages made after a kill": int(made)}


def _kill(pid: int) -> None:
    """Kill a process, if there is one: never the group that a number of nought stands for."""
    if pid > 0:
        with suppress(ProcessLookupError):  # ended by itself meanwhile
            os.kill(pid, signal.SIGKILL)


def run() -> dict[str, Any]:
    """Return how often the desk was killed and in the midst of what, and how often all was well."""
    draws = Streams(SEED).stream("studies/killed-desk")
    total: dict[str, int] = {}
    command = [sys.executable, "-c", NURSERY]
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        nursery = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        site = Site(Path(name), nursery)
        for kill in range(KILLS):
            wait_s, first = float(draws.uniform(0.0, MOST_S)), bool(draws.uniform(0.0, 1.0) < 0.5)
            told = [site.killed(wait_s, working=kill % 2 == 1, workers_first=first)]
            told += [site.looked_at()] if kill % EVERY == EVERY - 1 else []
            for what, count in (pair for one in told for pair in one.items()):
                total[what] = total.get(what, 0) + count
        _pipes(nursery)[0].close()
        nursery.wait()
    print(total, file=sys.stderr)
    # How many fall into what depends on the machine; that enough do does not.
    work, saves = total.pop("with long work under way"), total.pop("saves before the kill")
    enough = {
        "killed with long work under way 40 times or more": work >= ENOUGH_IN_WORK,
        "saves before kills 200 or more": saves >= ENOUGH_SAVES,
    }
    return {**total, **enough}
