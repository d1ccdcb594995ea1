"""The sheet about running without the grid: what ends a fault, what must hold, what is asked, what is set and tested."""

from collections.abc import Iterator, Sequence
from typing import Final

from wattwright.charts.table import Column, Table
from wattwright.core.show import Show
from wattwright.core.wording import fill
from wattwright.gear.circuit.working import figure
from wattwright.handover.paper import Block, Caution, Section, Standing, Steps, TableBlock
from wattwright.handover.sheet_words import sheet_words
from wattwright.supply.backup.results import Setting
from wattwright.supply.island.judge import CAUTIONS
from wattwright.supply.island.results import Ends, FaultEnd, Island

_FAULTS = {"short": "short circuit", "earth": "fault to earth"}
_ENDS: Final[dict[Ends, str]] = {
    "nothing": "NOTHING in time", "not known": "not known: ask", "source": "the source shuts itself off", "RCD": "its RCD",
    "breaker": "its protection",
}  # fmt: skip
"""How a fault ends in words, the gravest first."""
_RESULTS = {"passed": "holds", "failed": "FAILS", "not checked": "ask"}


def without_grid(island: Island, settings: Sequence[Setting], show: Show) -> Section:
    """Return the sheet of a site that own sources can feed; ``settings`` are those of sources and shedding."""
    words = sheet_words()["island"]
    failed = sum(one.result == "failed" for one in island.points)
    data = {"sources": _listed(island.sources), "open": len(island.asked), "failed": failed}
    blocks: list[Standing] = [Caution(told) for told in CAUTIONS]
    blocks += [TableBlock(_points(island), wide=True)]
    tables = (_faults(island), _questions(island), _found(island, show))
    blocks += [TableBlock(one, wide=True) for one in tables if one.rows]
    if island.feeds:
        blocks.append(TableBlock(_settings(settings)))
    steps = [*words["set"], *([words["shut_down"]] if any(one.ends == "source" for one in island.faults) else [])]
    blocks += [Steps(tuple(steps)), TableBlock(_tests(island, show), wide=True)]
    lead = fill(words["lead" if island.asked or failed else "lead_whole"], data, show)
    return Section(words["title"], lead, tuple[Block, ...](blocks), new_page=True)


def _listed(names: tuple[str, ...]) -> str:
    told = [name if name == "PV array" else f"the {name}" for name in names]
    text = " and ".join((", ".join(told[:-1]), told[-1])) if len(told) > 1 else told[0]
    return text[0].upper() + text[1:]


def _columns(*heads: str) -> tuple[Column, ...]:
    return tuple(Column(head, align="left") for head in heads)


def _points(island: Island) -> Table:
    rows = tuple((one.what, one.of, one.found, _RESULTS[one.result], one.clause) for one in island.points)
    return Table(_columns("What must hold", "Of", "Found", "Result", "Where it stands"), rows, "What must hold", "from memory")


def _faults(island: Island) -> Table:
    """Return what ends a fault, a row for each source and kind of fault and a way to end it, with the circuits it is about."""
    rows = []
    for feed in island.feeds:
        for kind, fault in _FAULTS.items():
            mine = [one for one in island.faults if one.feed == feed.name and one.kind == kind]
            rows += [(feed.name, fault, *row) for row in _ended(mine)]
    return Table(
        _columns("Fed by", "Fault", "Ended by", "On circuits"),
        tuple(rows),
        "What ends a fault without the grid; in brackets what flows, of what trips at once",
    )


def _ended(mine: list[FaultEnd]) -> Iterator[tuple[str, str]]:
    for how in _ENDS:
        named = [one for one in mine if one.ends == how]
        told = ", ".join(f"{one.name} ({_figures(one)})" for one in named)
        if named:
            yield _ENDS[how], told


def _figures(one: FaultEnd) -> str:
    given = "?" if one.given_a is None else figure(one.given_a, "A")
    return f"{given} of {figure(one.tripping_a, 'A')}"


def _settings(settings: Sequence[Setting]) -> Table:
    rows = tuple((one.of, one.what, one.value, "") for one in settings)
    return Table(_columns("Of", "Setting", "Value", "Set to, by"), rows, "Settings of sources and shedding")


def _questions(island: Island) -> Table:
    rows = tuple((str(number), one.ask, "") for number, one in enumerate(island.asked, start=1))
    return Table(_columns("No.", "To be asked before it runs without the grid", "Answer"), rows, "Open questions")


def _found(island: Island, show: Show) -> Table:
    rows = tuple((one.severity.value, one.says(show), one.do(show), one.source) for one in island.findings)
    return Table(_columns("Weight", "What was found", "What to do", "Source"), rows, "What to look at before it is connected")


def _tests(island: Island, show: Show) -> Table:
    """Return the tests of the day; what was found is written in by hand."""
    words = sheet_words()["island"]
    tests = [tuple(one) for one in words["always"]]
    for feed in island.feeds:
        tests += [tuple(fill(cell, {"feed": feed.name}, show) for cell in row) for row in words["carrier"]]
    tests += [tuple(one) for one in words["export"]] if "grid" in island.sources else []
    rows = tuple((str(number), *test, "", "") for number, test in enumerate(tests, start=1))
    return Table(_columns(*words["head"]), rows, "Set and tested on the day", "after IEC 60364-6, from memory")
