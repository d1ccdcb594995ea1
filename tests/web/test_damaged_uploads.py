"""Each damaged meter file given to the desk: told on the page of the meter files, which stays usable; never a fault of ours."""

import re
from pathlib import Path

import pytest

from tests.damaged.makers import REFUSED, TOLD, Damage
from tests.web.conftest import Asked
from tests.web.test_answers import plain


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    """A desk for all of them."""
    return Asked(None, tmp_path_factory.mktemp("damaged") / "store")


@pytest.mark.parametrize("damage", REFUSED, ids=lambda damage: damage.name)
def test_refused_file(empty: Asked, damage: Damage) -> None:
    """The file is kept, what is wrong with it stands on the page with its code, and it can be taken out again."""
    name = Path(damage.file.partition(",")[0]).name
    answer = empty.post("/jobs/new", {"zone": "Europe/Athens", "name": "x"}, {"files": (name, damage.make())})
    job = re.search(r"/jobs/(\w+)/", answer.headers["location"])[1]
    page = empty(f"/jobs/{job}/meter-files")
    assert page.status_code == 200
    assert damage.code in page.text
    assert "cannot be read as it stands" in plain(page)
    assert "This sheet cannot be made yet" in plain(empty(f"/jobs/{job}/demand"))
    removed = empty.post(f"/jobs/{job}/do/remove-file", {"base": "1", "index": "0"})
    assert removed.status_code == 303
    assert "No meter file yet" in plain(empty(f"/jobs/{job}/meter-files"))


@pytest.mark.parametrize("damage", TOLD[::4], ids=lambda damage: damage.name)
def test_told_file(empty: Asked, damage: Damage) -> None:
    """A file that can be read in spite of its damage is shown, the finding beside it where it is more than a note."""
    answer = empty.post("/jobs/new", {"zone": "Europe/Athens", "name": "x"}, {"files": (damage.file, damage.make())})
    page = empty(answer.headers["location"])
    assert page.status_code == 200
    assert damage.code in page.text
