"""What no single entry can show: ids that are used twice, and references to things that are not there."""

import difflib
from collections.abc import Iterator

from wattwright.core.errors import Fault, JobError
from wattwright.core.specfile import SpecText
from wattwright.job.spec import JobSpec


def check(spec: JobSpec, text: SpecText) -> None:
    """Return when every reference in ``spec`` leads somewhere; raises JobError with every fault and its line."""
    faults = [*_twice(spec, text), *_references(spec, text), *_loops(spec, text)]
    if faults:
        raise JobError(sorted(faults, key=lambda fault: fault.place.line or 0))


def _twice(spec: JobSpec, text: SpecText) -> Iterator[Fault]:
    for kind in ("meters", "files", "loads", "rules"):
        seen: set[str] = set()
        for index, one in enumerate(getattr(spec, kind)):
            if one.id in seen:
                place = text.place((kind, index, "id"))
                yield Fault(
                    "job.id-twice", place, f'"{one.id}" again', f"an id of its own among the {kind}", "Choose another id."
                )
            seen.add(one.id)


def _references(spec: JobSpec, text: SpecText) -> Iterator[Fault]:
    meters = [meter.id for meter in spec.meters]
    loads = [load.id for load in spec.loads]
    for index, meter in enumerate(spec.meters):
        yield from _missing(meter.behind, meters, ("meters", index, "behind"), "meter", text)
    for index, file in enumerate(spec.files):
        yield from _missing(file.meter, meters, ("files", index, "meter"), "meter", text)
    for index, load in enumerate(spec.loads):
        yield from _missing(load.meter, meters, ("loads", index, "meter"), "meter", text)
    for index, rule in enumerate(spec.rules):
        yield from _missing(rule.load, loads, ("rules", index, "load"), "load", text)


def _missing(given: str, known: list[str], path: tuple[str | int, ...], what: str, text: SpecText) -> Iterator[Fault]:
    if not given or given in known:
        return
    near = difflib.get_close_matches(given, known, n=1)
    step = f"Did you mean {near[0]}?" if near else f"Add that {what}, or correct the id."
    wanted = f"the id of a {what}: {', '.join(known) or 'there is none yet'}"
    yield Fault("job.no-such-id", text.place(path), f'"{given}"', wanted, step)


def _loops(spec: JobSpec, text: SpecText) -> Iterator[Fault]:
    behind = {meter.id: meter.behind for meter in spec.meters}
    for index, meter in enumerate(spec.meters):
        at, steps = meter.behind, 0
        while at in behind and steps <= len(behind):
            if at == meter.id:
                place = text.place(("meters", index, "behind"))
                yield Fault(
                    "job.meter-loop", place, f'"{meter.behind}"', "meters that form a tree", "This meter is behind itself."
                )
                break
            at, steps = behind[at], steps + 1
