"""What the tests of this room share: files written from text, and the invented year."""

from pathlib import Path

import pytest

from tests.record.writing import Write
from wattwright.demo.meter_files import MeterFiles, write_files_of
from wattwright.demo.place import DEMO_SEED
from wattwright.demo.truth import Truth, truth


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write a text (UTF-8) or bytes to a file of its own and return the path."""

    def written(content: str | bytes) -> Path:
        path = tmp_path / "meter.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return written


@pytest.fixture(scope="session")
def known() -> Truth:
    return truth(DEMO_SEED)


@pytest.fixture(scope="session")
def demo_files(known: Truth, tmp_path_factory: pytest.TempPathFactory) -> MeterFiles:
    return write_files_of(known, tmp_path_factory.mktemp("invented"))
