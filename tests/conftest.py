"""What all tests share: the folder of real meter files, and no skipped test in CI."""

import os
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import settings

# The first example of a test pays for what later ones find cached, and machines differ: time is no part of what must hold.
# The same examples each time, so that what is green here is green elsewhere; `--hypothesis-profile=fresh` draws new ones.
settings.register_profile("house", deadline=None, derandomize=True)
settings.register_profile("fresh", deadline=None)
settings.load_profile("house")

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


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put tests that share a desk and a browser first: one of the workers then has them all, and starts both but once."""
    items.sort(key=lambda item: {"browser", "running"}.isdisjoint(getattr(item, "fixturenames", ())))


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
