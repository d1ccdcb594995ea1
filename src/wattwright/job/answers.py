"""Answers about a meter file as lines of job.toml: to be shown, and to be written there without losing a comment."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from wattwright.core.errors import JobError, Place
from wattwright.core.files import write_text
from wattwright.core.specfile import parse_text, read_text
from wattwright.job.document import document_of
from wattwright.job.file import FILE_NAME, parsed
from wattwright.job.questions import Choice
from wattwright.record.spec import LayoutSpec

_SEARCHED = 3
"""A job's file is looked for beside the meter file and in so many folders above."""


def lines_of(entries: Mapping[str, Any]) -> list[str]:
    """Return entries as the lines of job.toml that hold them, each under the head of its table."""
    lines: list[str] = []
    for path, value in entries.items():
        table, _, name = path.rpartition(".")
        if name == "columns":
            for spec in value:
                lines += ["[[files.layout.columns]]", *(_line(key, one) for key, one in spec.items())]
            continue
        lines += [{"": "[[files]]", "layout": "[files.layout]", "site": "[site]"}[table], _line(name, value)]
    return lines


def _line(name: str, value: Any) -> str:
    return f"{name} = {tomlkit.item(value).as_string()}"


def said_entries(layout: LayoutSpec) -> dict[str, Any]:
    """Return what a person said about a layout, as entries below the file's own."""
    said = layout.model_dump(mode="json", exclude_defaults=True)
    return {f"layout.{name}": value for name, value in said.items()}


def job_of(meter_file: Path) -> Path | None:
    """Return the job file beside ``meter_file``, or in a folder above it, that names it; None where there is none."""
    whole = meter_file.resolve()
    for folder in list(whole.parents)[:_SEARCHED]:
        path = folder / FILE_NAME
        if path.is_file() and any((folder / one.path).resolve() == whole for one in parsed(read_text(path, JobError)).files):
            return path
    return None


def write_answers(path: Path, file_id: str, entries: Mapping[str, Any], assumed: Sequence[Choice] = ()) -> None:
    """Write ``entries`` into the [[files]] entry ``file_id`` of the job file at ``path``.

    ``assumed`` are answers nobody gave: they are left there as comments, to be made entries once somebody knows. The file is only
    written when the result is a sound job file; raises FileError and JobError.
    """
    source = read_text(path, JobError)
    document = document_of(source.text, str(path), JobError)
    files = document.get("files", [])
    entry = next((one for one in files if one.get("id") == file_id), None)
    if entry is None:
        raise JobError.one(
            "job.no-file",
            Place(str(path), field="files"),
            found=f'no entry with id = "{file_id}"',
            wanted="the entry of a meter file",
            next_step="Add a [[files]] entry with its path and meter.",
        )
    for dotted, value in entries.items():
        _set(document if dotted.startswith("site.") else entry, dotted, value)
    for choice in assumed:
        _remark(entry, choice)
    new = tomlkit.dumps(document)
    parsed(parse_text(new, str(path), JobError))
    write_text(path, new)


def _set(at: Any, dotted: str, value: Any) -> None:
    *tables, last = dotted.split(".")
    for step in tables:
        at = at.setdefault(step, tomlkit.table())
    if last == "columns":
        kept = [one for one in at.get("columns", []) if one["column"] not in {spec["column"] for spec in value}]
        array = tomlkit.aot()
        for spec in (*kept, *value):
            array.append(tomlkit.item(dict(spec)))
        value = array
    at[last] = value


def _remark(entry: Any, choice: Choice) -> None:
    """Leave an answer about the layout that was only assumed as a comment, unless it stands in the file's entry already.

    Each is a whole line, so that it is an entry as soon as its first sign is taken away.
    """
    for path, value in choice.entries.items():
        table, _, name = path.rpartition(".")
        if table == "layout":
            remark = f"{name} = {_inline(value)}  # assumed: nothing in the file shows it"
            layout = entry.setdefault("layout", tomlkit.table())
            if remark not in layout.as_string():
                layout.add(tomlkit.comment(remark))


def _inline(value: Any) -> str:
    """Return a value as TOML writes it in one line."""
    if isinstance(value, list):
        return f"[{', '.join(_inline(one) for one in value)}]"
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_inline(one)}" for key, one in value.items()) + " }"
    return str(tomlkit.item(value).as_string())
