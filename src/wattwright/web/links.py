"""Every address of the desk, made in one place."""

from dataclasses import dataclass
from functools import lru_cache

from wattwright.core.fingerprint import code_version

SHEETS = ("meter-files", "demand")
"""The pages of a job, in the order of the work."""


@dataclass(frozen=True, slots=True)
class Links:
    """Makes the addresses of pages and of what belongs to them; `print_` changes whenever the desk's own files do."""

    print_: str

    @property
    def start(self) -> str:
        """The address a person opens first."""
        return "/"

    def sheet(self, name: str) -> str:
        """A page of the job, by its name in SHEETS."""
        return f"/{name}"

    def figures(self, sheet: str, id_: str) -> str:
        """The figures of a picture as a table on a page of its own."""
        return f"/{sheet}/figures/{id_}"

    def figures_file(self, sheet: str, id_: str) -> str:
        """The same figures as comma-separated text."""
        return f"/{sheet}/figures/{id_}.csv"

    def drawing(self, sheet: str, id_: str, form: str = "wide") -> str:
        """What the page's script draws: the `wide` or the `narrow` form of a picture."""
        return f"/{sheet}/drawings/{id_}.{form}.json"

    def picture_file(self, sheet: str, id_: str) -> str:
        """A picture with its title and source as an SVG file."""
        return f"/{sheet}/drawings/{id_}.svg"

    def asset(self, name: str) -> str:
        """A file of the desk itself; the address is new when the file is, so that a browser may keep it."""
        return f"/assets/{self.print_}/{name}"


@lru_cache(maxsize=1)
def links() -> Links:
    """The addresses of the desk as it is installed."""
    return Links(code_version(("wattwright.web", "wattwright.handover", "wattwright.charts"))[:16])
