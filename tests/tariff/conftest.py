"""Small ways to write tariffs and readings in the tests."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.tariff.load import parse_tariff
from wattwright.tariff.usage import Usage

ATHENS = "Europe/Athens"
HEAD = 'id = "one"\nname = "One"\ncurrency = "EUR"\n'
FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'


@pytest.fixture(scope="session")
def examples(root: Path) -> Path:
    """Folder of the example tariffs."""
    return root / "examples" / "tariffs"


@pytest.fixture(scope="session")
def athens() -> SiteClock:
    """The clock of a site in Greece."""
    return SiteClock(ATHENS)


@pytest.fixture(scope="session")
def tariff():
    """Write one tariff: the lines after the usual head."""

    def written(text: str, head: str = ""):
        return parse_tariff("[[tariff]]\n" + HEAD + head + text).tariff()

    return written


@pytest.fixture(scope="session")
def second():
    """UTC second of wall-clock digits in a zone."""

    def at(text: str, zone: str = ATHENS) -> int:
        return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC).timestamp())

    return at


@pytest.fixture(scope="session")
def steady(second):
    """A usage of one constant power from one local time to another."""

    def usage(start: str, end: str, power_w: float = 1000.0, step_s: int = 3600, zone: str = ATHENS) -> Usage:
        count = (second(end, zone) - second(start, zone)) // step_s
        return Usage(of_values(second(start, zone), step_s, np.full(count, power_w)))

    return usage
