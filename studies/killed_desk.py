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
from pathlib import Path
from typing import Any

from wattwright.core.seeds import Streams
from wattwright.store.store import Store

DATA = tuple(f"src/wattwright/web/{name}.py" for name in ("bench", "desk", "errand", "errands", "making", "whole"))
ROUNDS = 4
"""In each the long work, the process that makes pages and the desk itself are killed, one after the other."""
SEED = 20263
MOST_S = 1.5
PATIENCE_S = 120.0
PROGRAM = "from wattwright.cli.main import run; run()"
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

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-c", PROGRAM, "desk", "--port", "0", "--folder", str(folder)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        assert self.process.stdout is not None  # a pipe was asked for
        told = re.search(r"http://([\d.]+:\d+)", self.process.stdout.readline())
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
            if parent == self.process.pid and b"resource_tracker" not in words:
                found["papers" if b"wattwright.web.errand" in words else "bench"] = int(one.name)
        return found


def saver(desk: Running, job: str, number: int, saved: list[str]) -> None:
    """Change the name of the job again and again, and note each that was told as saved, until the desk is gone."""
    while True:
        name = f"n{number}"
        led = desk.ask(f"/jobs/{job}/do/set", base=str(number), group="job", name=name, place="an invented place", client="")
        if not led:
            return
        saved.append(name)
        number += 1


def kill_worker(desk: Running, which: str, after_s: float) -> None:
    """Kill a process of the desk so long after it is there; where it is done before, there is nothing to kill."""
    end = time.monotonic() + PATIENCE_S
    while which not in desk.workers() and time.monotonic() < end:
        time.sleep(0.02)
    time.sleep(after_s)
    pid = desk.workers().get(which)
    if pid is not None:
        os.kill(pid, signal.SIGKILL)


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


def one_round(folder: Path, after_s: tuple[float, float, float]) -> dict[str, int]:
    """Kill the long work, the bench and the desk, one after the other, and return what became of it."""
    store = Store(folder)
    rows = "".join(f"2025-02-{1 + i // 24:02d} {i % 24:02d}:00,{1 + i % 2}\n" for i in range(28 * 24))
    job = store.add(JOB, {"readings.csv": ("time,P [kW]\n" + rows).encode()}, "made")
    store.close()
    desk = Running(folder)
    desk.ask(f"/jobs/{job}/do/begin-papers", base="1")
    kill_worker(desk, "papers", after_s[0])
    desk.ask(f"/jobs/{job}/demand")
    kill_worker(desk, "bench", after_s[1])
    # A page whose process was killed says so; a change has it made anew.
    desk.ask(f"/jobs/{job}/do/set", base="1", group="job", name="n1", place="an invented place", client="")
    came = int(desk.page(f"/jobs/{job}/demand"))
    saved = ["n1"]
    desk.ask(f"/jobs/{job}/do/begin-papers", base="2")
    saving = threading.Thread(target=saver, args=(desk, job, 2, saved))
    saving.start()
    time.sleep(after_s[2])
    workers = desk.workers().values()
    desk.process.kill()
    desk.process.wait()
    saving.join()
    end = time.monotonic() + PATIENCE_S
    while any(Path(f"/proc/{pid}").exists() for pid in workers) and time.monotonic() < end:
        time.sleep(0.05)
    left = sum(Path(f"/proc/{pid}").exists() for pid in workers)
    again = Running(folder)
    opened = int(again.page(f"/jobs/{job}/demand"))
    again.process.send_signal(signal.SIGINT)
    again.process.wait()
    store = Store(folder)
    head = store.head(job)
    texts = [store.revision(job, number).text for number in range(1, head.number + 1)]
    store.close()
    kept = all(any(f'name = "{name}"' in text for text in texts) for name in saved)
    whole = all(text.replace(f'"n{i}"', '"n0"', 1) == JOB for i, text in enumerate(texts)) and is_whole(folder)
    return {
        "rounds of three kills": 1, "pages made after those of the workers": came,
        "desks opened again": opened, "nothing lost": int(kept), "nothing half there": int(whole), "processes left over": left,
    }  # fmt: skip


def run() -> dict[str, Any]:
    """Return how many processes were killed, and how often all was well."""
    draws = Streams(SEED).stream("studies/killed-desk")
    total: dict[str, int] = {}
    for _ in range(ROUNDS):
        after_s = (float(draws.uniform(0.0, MOST_S)), float(draws.uniform(0.0, MOST_S)), float(draws.uniform(0.0, MOST_S)))
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
            for what, count in one_round(Path(name), after_s).items():
                total[what] = total.get(what, 0) + count
    return total
