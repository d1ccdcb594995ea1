"""The drawings of a job: its equipment laid out, with the job's own title block."""

from wattwright.charts.table import Table
from wattwright.handover.drawings.files import drawing_files, sheet_file, sheet_titles
from wattwright.handover.drawings.sheet import Size, Title
from wattwright.handover.drawings.told import tables_of
from wattwright.job.equipping import Equipped
from wattwright.job.spec import JobSpec
from wattwright.job.wirings import single_line, wirings


def usual_size(spec: JobSpec) -> Size:
    """Return the sheet size that goes with a job's papers."""
    return "Letter" if spec.papers.paper == "Letter" else "A4"


def job_drawings(equipped: Equipped, spec: JobSpec, size: Size) -> dict[str, bytes]:
    """Return the drawings of a job's equipment as files by name: a sheet each as SVG, the PDF, the schedules."""
    made, papers = equipped.gear, spec.papers
    basis = f"{equipped.ruled.says}, {'NEC' if made.rules == 'nec' else 'IEC'}{'; invented' if spec.invented else ''}"
    title = Title(spec.name, spec.place, "", papers.date.isoformat(), papers.revision, papers.prepared_by, basis)
    return drawing_files(single_line(made, spec), wirings(made), made.rules, title, size, papers.date)


def job_drawings_told(equipped: Equipped, spec: JobSpec, size: Size) -> dict[str, tuple[str, tuple[Table, ...]]]:
    """Return what each sheet of a job's drawings is called, and shows as tables, by the name of its SVG file."""
    what, wired = single_line(equipped.gear, spec), wirings(equipped.gear)
    told = zip(sheet_titles(what, wired, size), tables_of(what, wired, size), strict=True)
    return {sheet_file(number): one for number, one in enumerate(told, start=1)}
