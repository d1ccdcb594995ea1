"""Files are written whole or not at all."""

import hashlib
import os
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from wattwright.core.errors import FileError
from wattwright.core.files import read_bytes, replacing, source_of, write_bytes, write_text


def names(folder):
    return [path.name for path in folder.iterdir()]


def write_and_fail(path, error):
    with replacing(path) as part:
        part.write_bytes(b"half of it")
        raise error


@pytest.mark.parametrize("error", [RuntimeError("x"), KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_failing_writer_leaves_the_old_file(tmp_path, error):
    """Whatever breaks the writing, the old content stays, and nothing else is left in the folder."""
    path = tmp_path / "report.pdf"
    path.write_bytes(b"good")
    with pytest.raises((type(error), FileError)):
        write_and_fail(path, error)
    assert path.read_bytes() == b"good"
    assert names(tmp_path) == ["report.pdf"]


def test_full_disk_is_told_as_a_sentence(tmp_path):
    """An error of the system becomes one a person can read, with the file and what to do."""
    with pytest.raises(FileError, match="no space left on device") as refused:
        write_and_fail(tmp_path / "a", OSError(28, "No space left on device"))
    assert refused.value.faults[0].code == "file.unwritable"
    assert str(tmp_path / "a") in str(refused.value)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(st.binary(max_size=200))
def test_bytes_come_back(tmp_path, content):
    """What was written is read, and nothing but the file stays."""
    path = write_bytes(tmp_path / "sub" / "a.bin", content)
    assert read_bytes(path) == content
    assert names(path.parent) == ["a.bin"]


def test_text_is_utf8(tmp_path):
    """Text is written as UTF-8 with the line ends given."""
    assert write_text(tmp_path / "a.txt", "é\n").read_bytes() == b"\xc3\xa9\n"


@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o027, 0o640), (0o077, 0o600)])
def test_file_has_the_rights_the_person_usually_gives(tmp_path, mask, mode):
    """A new file has 0666 less the umask, as if it had been opened plainly; the umask is left as it was."""
    before = os.umask(mask)
    try:
        path = write_bytes(tmp_path / "a", b"")
        assert stat.S_IMODE(path.stat().st_mode) == mode
        assert os.umask(mask) == mask
    finally:
        os.umask(before)


def test_part_has_the_ending_of_the_file(tmp_path):
    """A writer that looks at the ending of its path sees the right one, and a long name is not too long."""
    with replacing(tmp_path / ("x" * 240 + ".xlsx")) as part:
        assert part.suffix == ".xlsx"
        assert part.parent == tmp_path
        part.write_bytes(b"1")
    assert names(tmp_path) == ["x" * 240 + ".xlsx"]


def test_folder_in_the_place_of_a_file(tmp_path):
    """A folder is neither read nor written over."""
    with pytest.raises(FileError, match="found a folder"):
        read_bytes(tmp_path)
    (tmp_path / "papers").mkdir()
    with pytest.raises(FileError, match="What stood there is as it was"):
        write_bytes(tmp_path / "papers", b"x")
    assert names(tmp_path) == ["papers"]


def test_file_in_the_place_of_a_folder(tmp_path):
    """Where the folder of a path is a file, that is told."""
    (tmp_path / "a").write_bytes(b"")
    with pytest.raises(FileError, match="a place that can be written to"):
        write_bytes(tmp_path / "a" / "b", b"x")
    with pytest.raises(FileError, match="not a directory"):
        read_bytes(tmp_path / "a" / "b")


def test_missing_file_is_told(tmp_path):
    """No such file, with its whole path."""
    with pytest.raises(FileError, match="no such file") as refused:
        read_bytes(tmp_path / "none.csv")
    assert refused.value.faults[0].place.file == str(tmp_path / "none.csv")


def test_source_is_known_by_its_hash(tmp_path):
    """Name, size and SHA-256: FIPS 180 gives ba7816bf... for "abc"."""
    source = source_of(tmp_path / "m.csv", b"abc")
    assert (source.name, source.size_bytes) == ("m.csv", 3)
    assert source.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert source.sha256 == hashlib.sha256(b"abc").hexdigest()


def test_a_pipe_is_not_read(tmp_path):
    """A named pipe would be waited for without end; a device has none."""
    os.mkfifo(tmp_path / "pipe.csv")
    for path in (tmp_path / "pipe.csv", Path("/dev/zero")):
        with pytest.raises(FileError, match="has no end"):
            read_bytes(path)
