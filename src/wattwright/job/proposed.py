"""What freezing would write, worked out for people to look at before they agree; and the records of the time after in a job."""

from pathlib import Path

from wattwright.job.assessment import Assessment
from wattwright.job.freezing import sealed
from wattwright.job.proved import Proposal
from wattwright.job.proving import prove
from wattwright.proof.seal import AFTER_RECORD, AFTER_WEATHER


def keep_proposed(assessment: Assessment) -> Proposal:
    """Keep what freezing would write beside the job, and return it. Raises what ``sealed`` does, and FileError."""
    seal, findings = sealed(assessment)
    made = Proposal(seal.text(), findings)
    assessment.keep_proposal(made)
    return made


def record_after(folder: Path) -> tuple[Path | None, Path | None]:
    """Return the record of the time after that lies in a job, and measured weather of its days, None where there is none."""
    return _only(folder / AFTER_RECORD), _only(folder / AFTER_WEATHER)


def _only(folder: Path) -> Path | None:
    found = sorted(one for one in folder.glob("*") if one.is_file()) if folder.is_dir() else []
    return found[-1] if found else None


def keep_proved(assessment: Assessment) -> None:
    """Keep what the record of the time after in the job shows. Raises what ``prove`` does, and FileError where there is none."""
    record, weather = record_after(assessment.job.folder)
    named = record or assessment.job.folder / AFTER_RECORD
    assessment.keep_proof(prove(assessment, named, weather, assessment.progress))
