"""The store on SQLite and on a real PostgreSQL, the same tests for both."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import text

from wattwright.store.database import open_engine
from wattwright.store.store import Store

JOB = """version = 2
name = "Lindengasse bakery (invented)"
[site]
zone = "Europe/Vienna"
[papers]
date = 2026-01-12
[[meters]]
id = "main"
[[files]]
id = "readings"
path = "readings.csv"
meter = "main"
"""
READINGS = b"time,kW\n2025-01-01 00:00,1.5\n2025-01-01 01:00,1.25\n2025-01-01 02:00,1.0\n"


def programs() -> Path | None:
    """Folder of the programs of Debian's PostgreSQL, None where it is not installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


def as_other_user(command: list[str]) -> list[str]:
    """The server refuses to run as root; then it runs as the user that its package made."""
    return ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups", *command] if os.geteuid() == 0 else command


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """Address of a PostgreSQL server of this session's own, on a socket in a folder of its own and no network."""
    programs_ = programs()
    if programs_ is None:
        pytest.skip("no PostgreSQL on this machine")  # a developer without the server; in CI this fails
    folder = Path(tempfile.mkdtemp(prefix="ww-pg-", dir="/tmp"))
    if os.geteuid() == 0:
        os.chown(folder, pwd.getpwnam("postgres").pw_uid, -1)
    data = str(folder / "data")
    quiet = {"check": True, "stdout": subprocess.DEVNULL, "cwd": "/tmp"}
    subprocess.run(as_other_user([str(programs_ / "initdb"), "-D", data, "-U", "postgres", "-A", "trust", "--no-sync"]), **quiet)
    server = f"-k {folder} -c listen_addresses= -c fsync=off"
    control = [str(programs_ / "pg_ctl"), "-D", data, "-w"]
    subprocess.run(as_other_user([*control, "-l", str(folder / "log"), "-o", server, "start"]), **quiet)
    yield f"postgresql://postgres@/postgres?host={folder}"
    subprocess.run(as_other_user([*control, "-m", "immediate", "stop"]), **quiet)
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> str:
    """Address of an empty database of each kind; empty for the store's own file."""
    if request.param == "sqlite":
        return ""
    server = request.getfixturevalue("postgres")
    name = f"ww_{uuid4().hex}"
    engine = open_engine(server)
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as own:
        own.execute(text(f"CREATE DATABASE {name}"))
    engine.dispose()
    return server.replace("/postgres?", f"/{name}?")


@pytest.fixture
def store(tmp_path: Path, url: str) -> Iterator[Store]:
    """An empty store."""
    opened = Store(tmp_path / "desk", url)
    yield opened
    opened.close()
