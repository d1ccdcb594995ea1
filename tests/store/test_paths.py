"""Names of files as file systems take them: 255 bytes at most, whatever letters they have (POSIX NAME_MAX)."""

import pytest

from wattwright.core.errors import StoreError
from wattwright.store.paths import name_of, safe_path


@pytest.mark.parametrize("name", ["ä" * 190, "x/" + "日" * 90, "a" * 201])
def test_a_name_too_long_for_a_file_system_is_refused(name: str) -> None:
    """What counts are bytes: 190 letters with an umlaut are 380."""
    with pytest.raises(StoreError, match="a name below the job's folder"):
        safe_path(name)


def test_a_name_of_a_browser_is_cut_to_what_a_file_system_takes() -> None:
    """Its end is kept, which says what kind of file it is."""
    made = name_of("日" * 200 + ".csv")
    assert made.endswith("日.csv")
    assert len(made.encode()) <= 200
    assert safe_path(made) == made
