"""What all tests share: the folder of real meter files, and no skipped test in CI."""

import os
import sys
from collections.abc import Callable, Generator
from functools import wraps
from pathlib import Path

import pytest
from hypothesis import settings
from numba.core.dispatcher import Dispatcher

# The first example of a test pays for what later ones find cached, and machines differ: time is no part of what must hold.
# The same examples each time, so that what is green here is green elsewhere; `--hypothesis-profile=fresh` draws new ones.
settings.register_profile("house", deadline=None, derandomize=True)
settings.register_profile("fresh", deadline=None)
settings.load_profile("house")


def untraced(function: Callable[..., object]) -> Callable[..., object]:
    """The function, called without the tracer of coverage; the tracer goes on as soon as it returns, however it ends."""

    @wraps(function)
    def call(*given: object, **more: object) -> object:
        tracer = sys.gettrace()
        sys.settrace(None)
        try:
            return function(*given, **more)
        finally:
            sys.settrace(tracer)

    return call


# The compiler is a long Python program of others. It runs no line of ours, and takes several times as long when traced.
Dispatcher.compile = untraced(Dispatcher.compile)

ROOT = Path(__file__).resolve().parents[1]
SHARED_DATA = ROOT.parent / "shared" / "data"


@pytest.fixture(scope="session")
def root() -> Path:
    """Top folder of the project."""
    return ROOT


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """Folder of the real meter files, which lie beside the project and are never part of it."""
    if not SHARED_DATA.is_dir():
        pytest.skip("the real meter files are not on this machine")  # they may not be committed; in CI this fails
    return SHARED_DATA


def _refuse_skip(report: pytest.TestReport | pytest.CollectReport) -> None:
    """In CI nothing may be missing, so a test that did not run counts as failed, with its reason kept."""
    if report.skipped and os.environ.get("CI") == "true":
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"{report.nodeid} did not run, and in CI every test runs. {reason}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn a skipped test into a failed one in CI."""
    report = yield
    _refuse_skip(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Turn a skipped test module into a failed one in CI."""
    report = yield
    _refuse_skip(report)
    return report
