"""The program that serves the desk: where it listens, how it ends, what it says where it cannot begin."""

import http.client
import re
import socket
import sys
from pathlib import Path

import pytest
import uvicorn

from tests.web.conftest import end, start
from wattwright.cli import desking
from wattwright.cli.options import Reading
from wattwright.core.errors import FileError, InputError, JobError, UsageError
from wattwright.store.store import Store
from wattwright.web import serve as serving
from wattwright.web.desk import Desk


def test_real_program(root: Path, demo_folder: Path, tmp_path: Path) -> None:
    """It answers on the loopback address only, refuses a request without a name, and ends by itself on Control-C."""
    running = start(root, str(demo_folder / "water-heaters-2025.csv"), folder=tmp_path)
    path = f"{running.job}/meter-files"
    port = int(running.address.rpartition(":")[2])
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", path)
    page = connection.getresponse()
    assert (page.status, b"water-heaters-2025.csv" in page.read()) == (200, True)
    connection.request("GET", path, headers={"Host": f"elsewhere.example:{port}"})
    assert connection.getresponse().status == 400
    connection.close()
    with socket.create_connection(("127.0.0.1", port), timeout=60) as bare:
        bare.sendall(b"GET / HTTP/1.0\r\n\r\n")
        assert bare.recv(1000).split(b" ")[1] == b"400"
    assert end(running) == (0, "")


def test_listens_here_only() -> None:
    """The socket is bound to the loopback address."""
    with serving.listening(0) as own:
        assert own.getsockname()[0] == "127.0.0.1"
        # The event loop sends at once only where it knows that this is TCP; else each answer waits 40 ms.
        assert own.proto == socket.IPPROTO_TCP


def test_taken_port_is_told() -> None:
    """A port in use is told with what to do instead."""
    with serving.listening(0) as own:
        port = own.getsockname()[1]
        with pytest.raises(InputError, match=rf"port {port}: address already in use.*--port 0"):
            serving.listening(port)


def test_served_until_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The address is told once the port is open; Control-C ends it without a word; headers name no server."""
    told, ran = [], []

    def run(server: uvicorn.Server, sockets: list[socket.socket]) -> None:
        ran.append((server.config.server_header, server.config.proxy_headers, sockets[0].getsockname()))
        raise KeyboardInterrupt

    monkeypatch.setattr(uvicorn.Server, "run", run)
    serving.serve(Desk(Store(tmp_path)), 0, told.append)
    [(header, proxied, (host, port))] = ran
    assert (header, proxied, told) == (False, False, [f"http://{host}:{port}/"])


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, int]]:
    """What the verb serves: the jobs of its store by name, and the port."""
    found: list[tuple[str, int]] = []

    def serve(desk: Desk, port: int, started) -> None:
        started("http://127.0.0.1:1/")
        found.extend((desk.job(one.id).spec.name, port) for one in desk.store.jobs())

    monkeypatch.setattr(desking, "serve", serve)
    return found


def test_verb_opens_the_job(served, demo_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    """The verb takes the job into the store, once, with the results beside it, and says where it is and how to end it."""
    (demo_folder / ".wattwright").mkdir(exist_ok=True)
    for _ in range(2):
        desking.open_desk(Reading(demo_folder, "", "", {}), 1, tmp_path, "")
    assert served == [("Thymarolakka guesthouse and nursery (invented)", 1)] * 2
    told = capsys.readouterr().out
    assert "Control-C ends it" in told
    assert re.search(r"http://127\.0\.0\.1:1/jobs/\w+/property", told)
    assert len(list(tmp_path.glob("work/*/results/.wattwright"))) == 1


def test_verb_opens_a_meter_file(served, demo_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    """A meter file alone becomes a job of its own, opened at its meter files."""
    desking.open_desk(Reading(demo_folder / "water-heaters-2025.csv", "Europe/Athens", "", {}), 1, tmp_path, "")
    assert served == [("water-heaters-2025.csv", 1)]
    assert "/meter-files" in capsys.readouterr().out


def test_verb_opens_the_list(served, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    """Without anything given it is the list of jobs that is opened."""
    desking.open_desk(None, 1, tmp_path, "")
    assert "http://127.0.0.1:1/\n" in capsys.readouterr().out


def test_what_cannot_be_opened(served, demo_folder: Path, tmp_path: Path) -> None:
    """Where there is nothing to show the desk does not begin; a wrong job file is told with its line."""
    with pytest.raises(FileError, match="no such file"):
        desking.open_desk(Reading(tmp_path / "nowhere.csv", "", "", {}), 0, tmp_path, "")
    (tmp_path / "job.toml").write_text("version = ")
    with pytest.raises(JobError, match="line 1"):
        desking.open_desk(Reading(tmp_path, "", "", {}), 0, tmp_path / "store", "")
    with pytest.raises(UsageError, match="--zone"):
        desking.open_desk(Reading(demo_folder, "UTC", "", {}), 0, tmp_path / "store", "")
    assert served == []


def test_usual_folder() -> None:
    """Jobs lie where this system keeps a person's data, under our name."""
    assert desking.usual_folder().name == "wattwright"


def test_a_page_outlives_a_restart(tmp_path: Path) -> None:
    """The secret of the forms is kept, for nobody else to read: a form of a page shown before a restart is taken after it."""
    first, second = Desk(Store(tmp_path)), Desk(Store(tmp_path))
    assert first.token == second.token
    assert (tmp_path / "desk.key").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("kept", [b"", b"short", b"\xff" * 50])
def test_a_secret_cut_off_is_made_anew(tmp_path: Path, kept: bytes) -> None:
    """A secret that was not written whole is never one that a form may carry."""
    (tmp_path / "desk.key").write_bytes(kept)
    made = Desk(Store(tmp_path)).token
    assert len(made) == 43  # 32 bytes in base 64 (RFC 4648), without padding
    assert (tmp_path / "desk.key").read_text() == made
    assert (tmp_path / "desk.key").stat().st_mode & 0o077 == 0
    assert list(tmp_path.glob(".desk.key.*")) == []


def test_one_desk_a_folder(served, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second desk on the same jobs is refused in a sentence; where the system has no locks nobody is."""
    with desking._alone(tmp_path), pytest.raises(FileError, match="another desk has open"):
        desking.open_desk(None, 1, tmp_path, "")
    monkeypatch.setitem(sys.modules, "fcntl", None)
    with desking._alone(tmp_path):
        desking.open_desk(None, 1, tmp_path, "")
