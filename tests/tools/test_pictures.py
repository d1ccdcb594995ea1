"""The picture of the README: small, and made of real pages."""

from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfWriter

from tools import pictures

INCH_PT = 72


@pytest.fixture
def report(tmp_path: Path) -> Path:
    """A PDF of two blank pages of 3 by 2 inches."""
    writer = PdfWriter()
    for _ in pictures.PAGES:
        writer.add_blank_page(width=3 * INCH_PT, height=2 * INCH_PT)
    path = tmp_path / "report.pdf"
    writer.write(path)
    return path


def test_pages_lie_side_by_side(report: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At 96 dots an inch each page has 288 by 192; two of them with three gaps of 24 are 648 wide, with two 240 high."""
    monkeypatch.setattr(pictures, "demo", lambda folder: report)
    pictures.main(tmp_path / "picture.png")
    with Image.open(tmp_path / "picture.png") as image:
        made = image.convert("RGB")
    assert made.size == (648, 240)
    assert [made.getpixel(at) for at in ((168, 120), (480, 120))] == [(255, 255, 255)] * 2
    assert made.getpixel((2, 2)) == made.getpixel((324, 120))
    assert made.getpixel((23, 120)) == made.getpixel((623 + 1, 120))


def test_committed_picture_is_small(root: Path) -> None:
    """The README's picture is wide enough to read and light enough for a page."""
    assert pictures.PICTURE.stat().st_size < pictures.LARGEST_BYTES
    with Image.open(pictures.PICTURE) as image:
        assert image.width >= 1200
    assert f"({pictures.PICTURE.relative_to(root).as_posix()})" in (root / "README.md").read_text(encoding="utf-8")
