"""Draw docs/pictures/report.png anew: two pages of the demo's report side by side.

    python -m tools.pictures

Needs pdftoppm (Debian package poppler-utils) and Pillow. It runs the whole demo first, which takes half a minute.
"""

import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[1]
PICTURE = ROOT / "docs" / "pictures" / "report.png"
PAGES = (1, 2)
DOTS_PER_INCH = 96
GAP_PX, EDGE_PX = 24, 1
DESK, EDGE = "#E4E1D8", "#8A8578"
LARGEST_BYTES = 300_000


def demo(folder: Path) -> Path:
    """Run the demo into a folder and return its report."""
    subprocess.run(
        [sys.executable, "-c", "from wattwright.cli.main import run; run()", "demo", "--into", str(folder)], check=True
    )
    return folder / "papers" / "report.pdf"


def page(report: Path, number: int, folder: Path) -> Image.Image:
    """Return one page of a PDF as a picture."""
    stem = folder / f"page-{number}"
    resolution = ["-r", str(DOTS_PER_INCH), "-f", str(number), "-l", str(number), "-singlefile"]
    subprocess.run(["pdftoppm", "-png", *resolution, str(report), str(stem)], check=True)
    with Image.open(stem.with_suffix(".png")) as image:
        return image.convert("RGB")


def side_by_side(pages: Sequence[Image.Image]) -> Image.Image:
    """Return the sheets laid on a desk, each with a thin edge, in 256 colours."""
    width = sum(one.width for one in pages) + GAP_PX * (len(pages) + 1)
    height = max(one.height for one in pages) + 2 * GAP_PX
    desk = Image.new("RGB", (width, height), DESK)
    left = GAP_PX
    for one in pages:
        desk.paste(
            Image.new("RGB", (one.width + 2 * EDGE_PX, one.height + 2 * EDGE_PX), EDGE), (left - EDGE_PX, GAP_PX - EDGE_PX)
        )
        desk.paste(one, (left, GAP_PX))
        left += one.width + GAP_PX
    return desk.quantize(256, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)


def main(picture: Path = PICTURE) -> None:
    """Make the demo in a folder of its own and keep the picture of its report."""
    with tempfile.TemporaryDirectory() as name:
        report = demo(Path(name) / "demo")
        side_by_side([page(report, number, Path(name)) for number in PAGES]).save(picture, optimize=True)


if __name__ == "__main__":
    main()
