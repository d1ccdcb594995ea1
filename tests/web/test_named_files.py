"""Files that a job names outside its own folder: refused by every way into the desk, and read by none."""

import io
import zipfile
from pathlib import Path

import pytest

from tests.web.conftest import EARLY, Asked, asked_of
from tests.web.test_answers import plain
from wattwright.core.errors import JobError
from wattwright.job.file import load_job

OUT = ("/etc/passwd", "../../../desk.key", "..", "/etc")
ENTRIES = (
    '[[meters]]\nid = "m"\n[[files]]\nid = "f"\nmeter = "m"\npath = "{}"\n', '[tariff]\nfiles = ["{}"]\n',
    '[weather]\nfile = "{}"\n', '[measurement]\nweather = "{}"\n', '[plan]\ngear = "{}"\n', '[gear]\ncatalogue = ["{}"]\n',
    '[[loads]]\nid = "o"\nname = "O"\nkind = "cooking"\nrating = "2 kW"\nphotos = ["{}"]\n',
)  # fmt: skip


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    """A desk with a job."""
    return asked_of(tmp_path_factory.mktemp("named"), EARLY)


def taken(ask: Asked, *entries: tuple[str, str]):
    """The answer to a zip file of some entries."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in entries:
            archive.writestr(name, content)
    return ask.post("/jobs/import", {}, {"zip": ("j.zip", out.getvalue())})


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.parametrize("path", OUT)
def test_outside(ask: Asked, entry: str, path: str) -> None:
    """From a zip file and from the text of the job file alike."""
    text, before = EARLY + entry.format(path), len(ask.store.jobs())
    for answer in (taken(ask, ("job.toml", text)), ask.post("/do/text", {"text": text})):
        assert answer.status_code == 422
        assert f'"{path}"' in plain(answer)
        assert "the name of a file in the job's own folder" in plain(answer)
    assert len(ask.store.jobs()) == before


def test_outside_by_a_field(ask: Asked) -> None:
    """A field that names a file is refused where it stands, with what was typed."""
    answer = ask.post("/do/set", {"group": "weather", "weather.file": "/etc/passwd"})
    assert answer.status_code == 422
    assert "root:" not in answer.text
    assert 'value="/etc/passwd"' in answer.text


def test_a_link_out_of_a_kept_job(tmp_path: Path) -> None:
    """A confined job gives no path that leads out, be it by a link; a folder of a person's own may."""
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "job.toml").write_text(EARLY)
    (tmp_path / "job" / "link.csv").symlink_to(tmp_path / "other.csv")
    job = load_job(tmp_path / "job", confined=True)
    assert job.inside("a.csv") == tmp_path / "job" / "a.csv"
    for path in ("link.csv", "../other.csv", "/etc/passwd"):
        with pytest.raises(JobError, match="own folder"):
            job.inside(path)
        assert load_job(tmp_path / "job").inside(path) == tmp_path / "job" / path


def test_a_long_job_file(ask: Asked) -> None:
    """A job file longer than people write is refused before it is read as TOML."""
    text = EARLY + "# x\n" * 70_000
    for answer in (taken(ask, ("job.toml", text)), ask.post("/do/text", {"text": text})):
        assert answer.status_code == 422
        assert "256 kB at most" in plain(answer)


def test_a_key_of_thousands_of_parts_is_refused_by_every_way_in(ask: Asked) -> None:
    """One of 120,000 in a small zip file took 24 GB and the desk with it."""
    text = f"{EARLY}{'.'.join('a' * 5000)} = 1\n"
    for answer in (taken(ask, ("job.toml", text)), ask.post("/do/text", {"text": text}),
                   ask.post("/do/add-tariff", {}, {"files": ("t.toml", text.encode())})):  # fmt: skip
        assert answer.status_code == 422
        assert "more tables than are meant" in plain(answer)


def test_a_long_tariff_file(ask: Asked) -> None:
    """A tariff is no longer than a job file may be."""
    answer = ask.post("/do/add-tariff", {}, {"files": ("t.toml", b"#" * 300_000)})
    assert (answer.status_code, "a text of 256 kB at most" in plain(answer)) == (422, True)
