"""Names of files as file systems take them: 255 bytes at most, whatever letters they have (POSIX NAME_MAX)."""

import pytest

from wattwright.core.errors import StoreError
from wattwright.store.paths import name_of, require_apart, safe_path


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


@pytest.mark.parametrize("name", ["a:b.csv", "x\u202ecsv.exe", "a\u200bb.csv", "a\x85b.csv", "a\ufeff.csv"])
def test_letters_that_no_name_may_have_are_told(name: str) -> None:
    """A colon, and letters that turn the order or are not seen (U+202E, U+200B, U+0085, U+FEFF: Unicode categories Cf and Cc)."""
    with pytest.raises(StoreError, match=r"without < > : .* and without letters that nobody sees"):
        safe_path(name)
    made = name_of(name)
    assert safe_path(made) == made
    assert made.isprintable()


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("CON", "for a device"), ("x/com1.csv", "for a device"), ("CONIN$", "for a device"), ("conout$.txt", "for a device"),
        ("COM\u00b9.csv", "for a device"), ("lpt\u00b3", "for a device"), (".hidden", "begins with a dot"),
        ("a/.b/c.csv", "begins with a dot"), ("a.csv ", "ends with a space or a dot"), ("a./b.csv", "ends with a space or a dot"),
        ("Job.toml", "the job file itself"), ("a" * 201, "200 letters at most"),
    ],
)  # fmt: skip
def test_why_a_name_is_refused(name: str, told: str) -> None:
    """The sentence says it; the names of devices are those that Windows documents, from memory."""
    with pytest.raises(StoreError, match=told):
        safe_path(name)


@pytest.mark.parametrize("name", ["console.csv", "com10.csv", "CONIN", "COM\u2074.csv", "a..b.csv", "a b.csv", "x/job.toml"])
def test_names_that_only_look_like_those(name: str) -> None:
    """They are kept as they are."""
    assert safe_path(name) == name


def test_two_names_that_look_alike_are_one() -> None:
    """A letter with its mark beside it and the composed one (Unicode Standard Annex 15, NFC)."""
    assert safe_path("u\u0308.csv") == "\u00fc.csv" == name_of("u\u0308.csv") == safe_path("\u00fc.csv")


def test_a_file_and_a_folder_of_one_name() -> None:
    """No file system holds both; names that only begin alike are well apart."""
    require_apart(["a.csv", "a/b.csv", "a/bb/c.csv", "ab"])
    for clash in (["a", "a/b.csv"], ["a/b/c.csv", "a/b"]):
        with pytest.raises(StoreError, match="each name once"):
            require_apart(clash)
