"""Loads found in a record as entries of the survey: proposed, and written into the job file when a person accepts one."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import tomlkit

from wattwright.core.calendar import Days
from wattwright.core.clock import SiteClock
from wattwright.core.errors import JobError, Place, UsageError
from wattwright.core.files import write_text
from wattwright.core.specfile import parse_text, read_text
from wattwright.demand.switched.analyse import Switched, SwitchedLoad
from wattwright.demand.switched.json_form import of_day, switched_json
from wattwright.job.document import document_of, tables_in_line
from wattwright.job.file import parsed
from wattwright.job.found_hours import hours_of, unread, windows_of
from wattwright.job.loads import LoadSpec

_ALIKE: Final = 0.1
"""A level within this share of a rating may be that load: supplies lie up to a tenth off nominal. Common practice, no source."""
_NEVER: Final = ("standby",)
"""Kinds that do not switch, so that no load found is one of them."""


def fitting(load: SwitchedLoad, survey: Sequence[LoadSpec]) -> tuple[LoadSpec, ...]:
    """Return the loads of the survey that a found load may be by its level, one piece of them, the nearest first."""
    near = [(abs(load.level_w - one.rating_w), at) for at, one in enumerate(survey) if one.kind not in _NEVER]
    return tuple(survey[at] for apart, at in sorted(near) if apart <= _ALIKE * survey[at].rating_w)


def taken_as(load: SwitchedLoad, survey: Sequence[LoadSpec]) -> LoadSpec | None:
    """Return the load of the survey that a found one was taken into it as: of its level, with the note it was proposed with.

    What was added behind that note makes no difference.
    """
    return next((one for one in fitting(load, survey) if one.note.startswith(_note(load))), None)


def found_json(found: Switched, survey: Sequence[LoadSpec], days: Days) -> dict[str, Any]:
    """Return the found loads as plain data, each with its proposed entry and the ids of the surveyed loads it may be.

    ``days`` are those of the record, here and below.
    """
    told = switched_json(found, ["\n".join(proposal_lines(proposed(one, days, SiteClock(found.zone)))) for one in found.loads])
    for entry, one in zip(told["switched_loads"], found.loads, strict=True):
        entry["fits_in_survey"] = [load.id for load in fitting(one, survey)]
    return told


def proposed(load: SwitchedLoad, days: Days, clock: SiteClock) -> dict[str, Any]:
    """Return a found load as an entry of the survey, with the hours in which it was seen to run: they add up to its energy.

    The note names the seasons and types of day that were not read. What it is nobody knows yet: its kind is left open, its rating
    assumed.
    """
    hours, level = hours_of(load, days, clock), level_of(load)
    return {
        "id": load.id,
        "name": f"Load of {level}, found in the record",
        "kind": "other",
        "rating": level,
        **({"hours": hours} if hours else {}),
        "note": _note(load) + (_unread(load, days) if hours else ""),
        "basis": "assumed",
    }


def level_of(load: SwitchedLoad) -> str:
    """Return the level of a found load as an entry says it: below 1 kW a figure more, or 54 W would be 50."""
    return f"{load.level_w / 1000:.{2 if load.level_w >= 1000 else 3}f} kW"


def _note(load: SwitchedLoad) -> str:
    when = ", ".join(f"{of_day(one.begins_s)} to {of_day(one.ends_s)}" for one in windows_of(load))
    told = f"found in the record: on {100 * load.duty:.0f} % of the time, mostly {when or 'at no set time'}"
    return f"{told}; {100 * load.energy_share:.0f} % of the energy; say what it is and read its plate"


def _unread(load: SwitchedLoad, days: Days) -> str:
    """Return what the note says of hours that nobody read."""
    named = ", ".join(unread(load, days))
    return f"; not read, and taken to be as the rest: {named}" if named else ""


def proposal_lines(entry: Mapping[str, Any]) -> list[str]:
    """Return a proposed entry as the lines of job.toml that hold it."""
    return ["[[loads]]", *(f"{name} = {value.as_string()}" for name, value in _written(entry).items())]


def _written(entry: Mapping[str, Any]) -> dict[str, tomlkit.items.Item]:
    """Return the values of an entry as they are written into the file, its hours in one line."""
    return {name: tables_in_line(value) if name == "hours" else tomlkit.item(value) for name, value in entry.items()}


def accept_load(path: Path, entry: Mapping[str, Any]) -> None:
    """Write a found load, as it is ``proposed``, into the survey of the job file at ``path``, which keeps its comments.

    The file is only written when the result is a sound job file. Raises UsageError where the survey has the load already,
    FileError and JobError.
    """
    source = read_text(path, JobError)
    document = document_of(source.text, str(path), JobError)
    survey = document.setdefault("loads", tomlkit.aot())
    if not isinstance(survey, tomlkit.items.AoT):
        raise JobError.one(
            "job.loads-no-tables",
            Place(str(path), field="loads"),
            found="loads as one value",
            wanted="one [[loads]] table for each",
            next_step="Write each load under a head of its own, [[loads]].",
        )
    if any(one.get("id") == entry["id"] for one in survey):
        raise UsageError(f'The survey has a load with the id "{entry["id"]}" already. Change or remove that entry first.')
    survey.append(tomlkit.item(_written(entry)))
    new = tomlkit.dumps(document)
    parsed(parse_text(new, str(path), JobError))
    write_text(path, new)
