"""Estimates of gaps taken or refused by the rule that made them: what each rule fills, and what that changes."""

from collections.abc import Iterator

from wattwright.core.errors import InputError
from wattwright.job.edit import Edit, no_entry
from wattwright.job.spec import RepairSpec
from wattwright.record.estimate import RULES
from wattwright.web.forms import Form
from wattwright.web.links import Links
from wattwright.web.open_job import OpenJob
from wattwright.web.words import words


def estimate_forms(job: OpenJob, links: Links) -> Iterator[Form]:
    """A form for each rule that can fill gaps of the main meter: what it fills, and a button that takes or refuses all of it."""
    main = job.spec.main_file()
    if main is None:
        return
    try:
        filled = job.assessment.estimates()
    except InputError:
        return  # what keeps the file from being read is told by its own section
    for name, rule in RULES.items():
        own = [one for one in filled if one.method is rule]
        if own:
            taken = is_taken(job.spec.repair, name)
            energy = sum(one.energy_kwh for one in own)
            told = {"count": len(own), "rule": rule.value, "energy": energy}
            note = words("estimates.taken" if taken else "estimates.refused", job.assessment.show, **told)
            yield Form(
                f"estimates-{name.replace(' ', '-')}", words("estimates.title", name=main.path, rule=rule.value),
                links.act(job.id, "estimates"), (), words("estimates.refuse" if taken else "estimates.take"), note,
                hidden=(("rule", name), ("take", "no" if taken else "yes")),
            )  # fmt: skip


def is_taken(repair: RepairSpec, rule: str) -> bool:
    """Whether the estimates of a rule are taken."""
    return repair.gaps == "estimate" and rule not in repair.refuse


def judged(edit: Edit, repair: RepairSpec, rule: str, *, take: bool) -> None:
    """Write into a job file that all estimates of a rule are taken or refused; those of the others stay as they are.

    Raises JobError for a rule that there is not.
    """
    if rule not in RULES:
        raise no_entry("repair", 0)
    taken = [one for one in RULES if (take if one == rule else is_taken(repair, one))]
    edit.set("repair.gaps", "estimate" if taken else "leave")
    edit.set("repair.refuse", [one for one in RULES if one not in taken] if 0 < len(taken) < len(RULES) else None)
