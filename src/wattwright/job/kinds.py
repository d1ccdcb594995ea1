"""The kinds of finding about the job itself, with their sentences."""

from wattwright.core.findings import Severity, define

OUTSIDE = define(
    "job.outside-folder",
    Severity.NOTE,
    says="{path:text} leads out of the job's folder{link:text}; a copy of the folder will not hold that file.",
    why="Whoever gets the folder could work nothing out again from it.",
    do="If that is not meant, copy the file into the folder and name it there.",
    source="",
)
