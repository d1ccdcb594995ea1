"""Every address of the desk, made in one place."""

from dataclasses import dataclass
from functools import lru_cache

from wattwright.core.fingerprint import code_version

SHEETS = ("property", "meter-files", "demand", "survey", "tariff", "plan", "gear", "supply", "handover", "proof")
"""The pages of a job, in the order of the work."""
PREVIEWS = ("report", "sheets", "visit")
"""Papers that are shown as pages."""
FOUND = "found"
"""How the page of the survey is asked to show what switches in the readings."""


def made_for(sheet: str, looked_at: str) -> str:
    """What a page is made anew for of what it is asked to look at: a meter file, or the loads found; nothing of a form alone."""
    return looked_at if sheet == "meter-files" or (sheet == "survey" and looked_at == FOUND) else ""


@dataclass(frozen=True, slots=True)
class Links:
    """Makes the addresses of pages and of what belongs to them; `print_` changes whenever the desk's own files do."""

    print_: str

    @property
    def start(self) -> str:
        """The list of jobs, which a person opens first."""
        return "/"

    @property
    def new(self) -> str:
        """Where a new job is asked for."""
        return "/jobs/new"

    @property
    def take_in(self) -> str:
        """Where a job is taken in from a zip file."""
        return "/jobs/import"

    @property
    def demo(self) -> str:
        """Where the invented job is asked for."""
        return "/jobs/demo"

    @property
    def quick(self) -> str:
        """Quick answers for one load, without a job."""
        return "/quick"

    @property
    def keep(self) -> str:
        """Where a load that was asked about is kept into a job."""
        return "/quick/keep"

    def job(self, job: str) -> str:
        """A job's first page."""
        return self.sheet(job, SHEETS[0])

    def sheet(self, job: str, name: str, field: str = "") -> str:
        """A page of a job, by its name in SHEETS; at one of its fields where one is named."""
        return f"/jobs/{job}/{name}" + (f"#{field}" if field else "")

    def looked(self, job: str, file: str) -> str:
        """The page of the meter files with the open questions of one, each answer tried."""
        return f"/jobs/{job}/meter-files?look={file}"

    def load(self, job: str, index: int, field: str = "") -> str:
        """The page of the survey with all that can be said of one load, by its place in the job file; at a field if named."""
        return f"/jobs/{job}/survey?look={index}" + (f"#{field}" if field else "")

    def tariff(self, job: str, file: int, entry: int, field: str = "") -> str:
        """The page of the tariff with all that can be said of one, by its file and its place in it; at a form if named."""
        return f"/jobs/{job}/tariff?look={file}-{entry}" + (f"#{field}" if field else "")

    def ready(self, job: str, sheet: str, looked_at: str = "") -> str:
        """Whether a page is made, told when it is."""
        return f"/jobs/{job}/{sheet}/ready" + (f"?look={looked_at}" if looked_at else "")

    def made_of(self, revision: int, looked_at: str = "") -> str:
        """The end of the address of what belongs to a page: the revision it was made of, and the meter file looked at."""
        return f"?revision={revision}" + (f"&look={looked_at}" if looked_at else "")

    def figures(self, job: str, sheet: str, id_: str, of: str = "") -> str:
        """The figures of a picture as a table on a page of its own; `of` as made_of says."""
        return f"/jobs/{job}/{sheet}/figures/{id_}{of}"

    def figures_file(self, job: str, sheet: str, id_: str, of: str = "") -> str:
        """The same figures as comma-separated text."""
        return f"/jobs/{job}/{sheet}/figures/{id_}.csv{of}"

    def drawing(self, job: str, sheet: str, id_: str, form: str = "wide", of: str = "") -> str:
        """What the page's script draws: the `wide` or the `narrow` form of a picture."""
        return f"/jobs/{job}/{sheet}/drawings/{id_}.{form}.json{of}"

    def reading(self, job: str, sheet: str, id_: str, of: str = "") -> str:
        """What the page's script reads out of a picture, place by place."""
        return f"/jobs/{job}/{sheet}/drawings/{id_}.reading.json{of}"

    def picture_file(self, job: str, sheet: str, id_: str, form: str = "svg", of: str = "") -> str:
        """A picture with its title and source as a file, `svg` or `png`; bare, for a page, as `light.png` or `dark.png`."""
        return f"/jobs/{job}/{sheet}/drawings/{id_}.{form}{of}"

    def act(self, job: str, action: str) -> str:
        """Where a change of a job is asked for, by the name of the action."""
        return f"/jobs/{job}/do/{action}"

    def text(self, job: str) -> str:
        """The job file as text."""
        return f"/jobs/{job}/text"

    def archive(self, job: str) -> str:
        """The job with its meter files as one zip file."""
        return f"/jobs/{job}/job.zip"

    def preview(self, job: str, paper: str) -> str:
        """A paper as a page."""
        return f"/jobs/{job}/preview/{paper}"

    def photo(self, job: str, name: str) -> str:
        """A photo of a plate, by its name among the photos of the job."""
        return f"/jobs/{job}/photos/{name}"

    def entries(self, job: str, print_: str) -> str:
        """The page of the survey with what was entered on a visit, to be taken or left."""
        return f"/jobs/{job}/survey?look=visit-{print_}"

    def found(self, job: str) -> str:
        """The page of the survey with the loads found in the readings, to be taken or refused."""
        return f"/jobs/{job}/survey?look={FOUND}"

    def visit(self, job: str, name: str, of: str = "") -> str:
        """What is taken along on the visit, as a file: the paper, or the survey for the phone."""
        return f"/jobs/{job}/visit/{name}{of}"

    def wiring(self, job: str, name: str, form: str = "svg", of: str = "") -> str:
        """A drawing of the equipment: as a picture (svg, png), what it shows as a page (no form) or as a file (csv)."""
        return f"/jobs/{job}/wiring/{name}{'.' if form else ''}{form}{of}"

    def paper(self, job: str, name: str) -> str:
        """A paper as a file."""
        return f"/jobs/{job}/papers/{name}"

    def papers(self, job: str) -> str:
        """All papers as one zip file."""
        return f"/jobs/{job}/papers.zip"

    def run(self, run: str) -> str:
        """How far long work is, told as it goes on."""
        return f"/runs/{run}/events"

    def asset(self, name: str) -> str:
        """A file of the desk itself; the address is new when the file is, so that a browser may keep it."""
        return f"/assets/{self.print_}/{name}"


@lru_cache(maxsize=1)
def links() -> Links:
    """The addresses of the desk as it is installed."""
    return Links(code_version(("wattwright.web", "wattwright.handover", "wattwright.charts"))[:16])
