"""The whole demo job written into a folder: job file, tariffs, story, meter files. Everything in it is invented."""

import tomllib
from importlib.resources import files
from pathlib import Path

from wattwright.core.errors import FileError, Place, quoted
from wattwright.core.files import write_bytes
from wattwright.core.fingerprint import code_version, fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.demo.meter_files import write_meter_files
from wattwright.demo.place import DEMO_SEED, PROPERTY_NAME

_MARK = ".demo-made-from"
TEXTS = ("job.toml", "tariffs.toml", "trial.toml", "story.md")


def demo_job(into: Path, progress: Progress = SILENT) -> Path:
    """Write the demo job into a folder, made where missing, and return the path of its job file.

    Job file, tariffs and story that are already there are left as they are, so that what a person changed is never lost. The
    year of readings is drawn again only when the code that draws it has changed or a file is missing. Raises FileError, also
    where the folder holds the job of another property.
    """
    _refuse_other_job(into / "job.toml")
    into.mkdir(parents=True, exist_ok=True)
    for name in TEXTS:
        if not (into / name).exists():
            write_bytes(into / name, files("wattwright.demo").joinpath(name).read_bytes())
    print_ = fingerprint(code_version(("wattwright.core", "wattwright.demo")), DEMO_SEED)
    if not _is_made(into, print_):
        progress.at("drawing a year of minutes", 0, 1)
        made = write_meter_files(into, DEMO_SEED)
        names = "\n".join(path.name for path in (made.main, made.water, made.bills))
        write_bytes(into / _MARK, f"{print_}\n{names}\n".encode())
    return into / "job.toml"


def _refuse_other_job(path: Path) -> None:
    """Raise FileError where another property's job stands: its folder is no place for invented readings."""
    if not path.exists():
        return
    try:
        name = tomllib.loads(path.read_text(encoding="utf-8")).get("name")
    except (OSError, ValueError):
        name = None
    if name != PROPERTY_NAME:
        raise FileError.one(
            "demo.other-job",
            Place(str(path)),
            found=f"the job {quoted(name)}" if name else "a job file that cannot be read",
            wanted="an empty folder, or one with the demo job",
            next_step="Choose another folder; nothing was changed.",
        )


def _is_made(into: Path, print_: str) -> bool:
    try:
        first, *names = (into / _MARK).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return False
    return first == print_ and all((into / name).is_file() for name in names)
