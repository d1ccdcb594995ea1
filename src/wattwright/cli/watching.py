"""Progress of long work on the terminal, shown on standard error and only to a person."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from wattwright.core.progress import SILENT, Progress, Reporting

_PATIENCE_S = 1.0


@contextmanager
def watching(*, quiet: bool) -> Iterator[Progress]:
    """Yield a progress that draws one line on a terminal once the work has taken a second, and nothing elsewhere."""
    if quiet or not sys.stderr.isatty():
        yield SILENT
        return
    from rich.console import Console

    console = Console(stderr=True)
    began = time.monotonic()
    with console.status("") as status:

        def show(what: str, done: float, total: float) -> None:
            if time.monotonic() - began > _PATIENCE_S:
                status.update(f"{what} ({done:.0f} of {total:.0f})")

        yield Reporting(show)
