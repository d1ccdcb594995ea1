"""Older job files brought up to the schema of today, one version at a time, comments kept."""

from collections.abc import Callable, Mapping

import tomlkit
from tomlkit import TOMLDocument

from wattwright.core.errors import JobError
from wattwright.core.specfile import parse_text
from wattwright.job.document import document_of
from wattwright.job.spec import VERSION

Upgrade = Callable[[TOMLDocument], None]


def _rules_into_control(document: TOMLDocument) -> None:
    """Version 2 holds everything that switches loads under [control]."""
    rules = document.pop("rules", None)
    if rules is not None:
        for rule in rules:
            # A rule of version 1 with months was a switch that is off outside them.
            if rule.get("months"):
                rule["other_months"] = "open"
        control = tomlkit.table(is_super_table=True)
        control["rule"] = rules
        document["control"] = control


UPGRADES: Mapping[int, Upgrade] = {1: _rules_into_control}
"""For each older version, what changes a document of that version into the next. Version 1 is the first."""


def brought_up(text: str, name: str, upgrades: Mapping[int, Upgrade] = UPGRADES, newest: int = VERSION) -> str:
    """Return the TOML ``text`` of a job file at version ``newest``; the same text if it is already there.

    Raises JobError for what is no TOML, for a version newer than this code knows, or one it has no way up from.
    """
    document = document_of(text, name, JobError)
    # A file that does not say is of today unless it holds what only version 1 had.
    version = document.get("version", 1 if "rules" in document else newest)
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise _unknown(text, name, f"a whole number from 1 to {newest}", f"Write version = {newest} for a new file.")
    if version > newest:
        step = "The file was written by a newer wattwright; bring this one up to date."
        raise _unknown(text, name, f"a version up to {newest}", step)
    if version == newest:
        return text
    for step_from in range(version, newest):
        if step_from not in upgrades:
            raise _unknown(text, name, f"a version wattwright can bring up to {newest}", "Ask for help with this file.")
        upgrades[step_from](document)
        document["version"] = step_from + 1
    return tomlkit.dumps(document)


def _unknown(text: str, name: str, wanted: str, step: str) -> JobError:
    source = parse_text(text, name, JobError)
    found = f"version {source.data.get('version')}"
    return JobError.one("job.version", source.place(("version",)), found=found, wanted=wanted, next_step=step)
