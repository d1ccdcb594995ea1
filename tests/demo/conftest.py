"""One invented year, drawn and written once for all tests of this folder."""

import gzip

import pytest

from wattwright.demo.meter_files import MeterFiles, write_meter_files
from wattwright.demo.place import DEMO_SEED
from wattwright.demo.truth import Truth, truth


@pytest.fixture(scope="session")
def known() -> Truth:
    return truth(DEMO_SEED)


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> MeterFiles:
    return write_meter_files(tmp_path_factory.mktemp("invented"), DEMO_SEED)


@pytest.fixture(scope="session")
def main_rows(written: MeterFiles) -> list[str]:
    """Rows of readings of the main meter's file, without its preamble."""
    return gzip.decompress(written.main.read_bytes()).decode().splitlines()[6:]
