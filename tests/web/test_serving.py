"""The program that serves the desk: where it listens, how it ends, what it says where it cannot begin."""

import http.client
import socket
from pathlib import Path

import pytest
import uvicorn

from tests.job.hand import JOB, readings
from tests.web.conftest import end, start
from wattwright.cli import verbs
from wattwright.cli.options import Reading
from wattwright.core.errors import FileError, InputError
from wattwright.web import serve as serving
from wattwright.web.desk import Desk


def test_real_program(root: Path, demo_folder: Path) -> None:
    """It answers on the loopback address only, refuses a request without a name, and ends by itself on Control-C."""
    running = start(root, str(demo_folder / "water-heaters-2025.csv"))
    port = int(running.address.rpartition(":")[2])
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", "/meter-files")
    page = connection.getresponse()
    assert (page.status, b"water-heaters-2025.csv" in page.read()) == (200, True)
    connection.request("GET", "/meter-files", headers={"Host": f"elsewhere.example:{port}"})
    assert connection.getresponse().status == 400
    connection.close()
    with socket.create_connection(("127.0.0.1", port), timeout=60) as bare:
        bare.sendall(b"GET /meter-files HTTP/1.0\r\n\r\n")
        assert bare.recv(1000).split(b" ")[1] == b"400"
    assert end(running) == (0, "")


def test_listens_here_only() -> None:
    """The socket is bound to the loopback address."""
    with serving.listening(0) as own:
        assert own.getsockname()[0] == "127.0.0.1"


def test_taken_port_is_told() -> None:
    """A port in use is told with what to do instead."""
    with serving.listening(0) as own:
        port = own.getsockname()[1]
        with pytest.raises(InputError, match=rf"port {port}: address already in use.*--port 0"):
            serving.listening(port)


def test_served_until_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    """The address is told once the port is open; Control-C ends it without a word; headers name no server."""
    told, ran = [], []

    def run(server: uvicorn.Server, sockets: list[socket.socket]) -> None:
        ran.append((server.config.server_header, server.config.proxy_headers, sockets[0].getsockname()))
        raise KeyboardInterrupt

    monkeypatch.setattr(uvicorn.Server, "run", run)
    serving.serve(Desk(lambda: None), 0, told.append)
    [(header, proxied, (host, port))] = ran
    assert (header, proxied, told) == (False, False, [f"http://{host}:{port}/"])


def test_verb_opens_the_job(monkeypatch: pytest.MonkeyPatch, demo_folder: Path, capsys: pytest.CaptureFixture) -> None:
    """The verb serves the job it was given at the port it was given, and says how to end it."""
    served = []

    def serve(desk: Desk, port: int, started) -> None:
        started("http://127.0.0.1:1/")
        served.append((desk.assessment().job.path, port))

    monkeypatch.setattr(serving, "serve", serve)
    verbs.open_desk(Reading(demo_folder, "", "", {}), 1)
    assert served == [(demo_folder / "job.toml", 1)]
    assert "Control-C ends it" in capsys.readouterr().out


def test_no_job_is_told_at_once(tmp_path: Path) -> None:
    """Where there is nothing to show the desk does not begin; a job file with a fault is told in the page instead."""
    with pytest.raises(FileError, match="no such file"):
        verbs.open_desk(Reading(tmp_path / "nowhere.csv", "", "", {}), 0)


def test_wrong_job_is_told_in_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The desk begins with a job file that is wrong, so that one can mend it and load the page again."""
    (tmp_path / "job.toml").write_text("version = ")
    served = []
    monkeypatch.setattr(serving, "serve", lambda desk, port, started: served.append(desk.stages()))
    verbs.open_desk(Reading(tmp_path, "", "", {}), 0)
    assert served == [()]


@pytest.mark.parametrize("named", ["folder", "file"])
def test_job_file_that_goes_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: str) -> None:
    """A desk opened on a job never shows its meter files as a bare record once the job file is gone, and says what to do."""
    (tmp_path / "job.toml").write_text(JOB)
    (tmp_path / "readings.csv").write_text(readings())
    desks: list[Desk] = []
    monkeypatch.setattr(serving, "serve", lambda desk, port, started: desks.append(desk))
    verbs.open_desk(Reading(tmp_path if named == "folder" else tmp_path / "job.toml", "", "", {}), 0)
    assert desks[0].assessment().job.spec.name
    (tmp_path / "job.toml").rename(tmp_path / "away.toml")
    with pytest.raises(FileError, match=r"the job file that the desk was opened with.*Put it back"):
        desks[0].assessment()
    (tmp_path / "away.toml").rename(tmp_path / "job.toml")
    assert desks[0].assessment().job.spec.name
