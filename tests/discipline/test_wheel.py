"""What is installed is what is written."""

import subprocess
import sys
import zipfile
from pathlib import Path


def test_wheel_holds_every_tracked_file_of_the_package(root: Path, tmp_path: Path, tracked_names: list[str]) -> None:
    """Typefaces, templates, style sheets and tables beside the code go into the wheel with it."""
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(command, cwd=root, capture_output=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    written = {name.removeprefix("src/") for name in tracked_names if name.startswith("src/wattwright/")}
    packed = set(zipfile.ZipFile(wheel).namelist())
    assert written
    assert written - packed == set()
