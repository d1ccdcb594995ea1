"""What is taken along on the visit: the logging plan, and the survey sheet to be filled in by hand. It needs no readings."""

import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib.resources import files
from typing import Any

from wattwright.charts.table import Column, Table
from wattwright.core.calendar import SEASONS, DayType, Season, public_holidays
from wattwright.core.errors import InputError
from wattwright.core.show import Show
from wattwright.core.wording import fill
from wattwright.demand.weeks import NEEDS, Stretch, days_of, read_days, seasons_ahead, weeks_at_once
from wattwright.handover.context import LANGUAGE
from wattwright.handover.paper import Caution, Paper, Section, Standing, Steps, TableBlock, TitleBlock
from wattwright.handover.wide import clock_text
from wattwright.job.assessment import Assessment
from wattwright.job.clamps import ClampPoint, clamp_points
from wattwright.job.loads import KINDS, LoadSpec
from wattwright.job.spec import JobSpec

_BOARDS, _CIRCUITS, _LOADS = 4, 16, 12
"""Rows of the sheet; for loads so many with those that are known, and some empty ones in any case."""
_LOADS_MORE = 6
_TYPES = (DayType.WORKING_DAY, DayType.SATURDAY, DayType.SUNDAY)


@lru_cache(maxsize=1)
def visit_words() -> Mapping[str, Any]:
    """Return the words of ``visit_en.toml``; nobody may change them."""
    return tomllib.loads(files("wattwright.handover").joinpath("visit_en.toml").read_text(encoding="utf-8"))


def visit(assessment: Assessment) -> Paper:
    """Return logging plan and survey sheet of a job as far as it is known. Raises FileError, InputError for an own range."""
    spec, show, words = assessment.job.spec, assessment.show, visit_words()
    block = TitleBlock(
        spec.name, spec.place, words["sheet"], spec.papers.date.isoformat(), spec.papers.revision, words["basis"], spec.invented
    )
    ahead = stretches(spec, seasons_read(assessment))
    plan = (_plan(ahead, show), _points(clamp_points(assessment.job), show), _weeks(spec, ahead, show), _opens())
    return Paper(block, (*plan, survey_sheet(spec, show)), basis_legend=(), language=LANGUAGE)


def seasons_read(assessment: Assessment) -> tuple[Season, ...]:
    """Return the season of each day that the record has, none where there is no record or it cannot be read."""
    if not assessment.job.spec.files:
        return ()
    try:
        days, power = assessment.demand().days, assessment.power().series
    except InputError:
        return ()
    known = read_days(power, days)
    return tuple(SEASONS[int(one)] for one in days.season[known])


def stretches(spec: JobSpec, read: Sequence[Season]) -> tuple[Stretch, ...]:
    """Return the seasons ahead of a job, from the date of its papers on."""
    return seasons_ahead(spec.papers.date, spec.site.latitude_deg, _holidays(spec), read)


def _holidays(spec: JobSpec) -> frozenset[Any]:
    year = spec.papers.date.year
    return public_holidays(spec.site.country, spec.site.subdivision or None, year, year + 1)


def _plan(ahead: Sequence[Stretch], show: Show) -> Section:
    words = visit_words()["plan"]
    key = "lead" if any(one.is_wanted for one in ahead) else "lead_known"
    return Section(words["title"], fill(words[key], {"weeks": weeks_at_once()}, show), (Caution(words["caution"]),))


def _points(points: Sequence[ClampPoint], show: Show) -> Section:
    words = visit_words()["points"]
    if not points:
        return Section(words["title"], words["none"], (Steps(tuple(words["beside"])),))
    rows = [
        (
            one.name or words["supply"],
            ", ".join(filter(None, one.conductors)) or words["conductor"],
            ", ".join(one.channels),
            "" if one.carries_a is None else show.number(one.carries_a, 3) if one.load else show.plain(one.carries_a),
            _clamp(one, words, show),
        )
        for one in points
    ]
    made = TableBlock(_table(words["head"], rows, words["caption"], words["source"]), wide=True)
    return Section(words["title"], words["lead"], (made, Steps(tuple(words["beside"]))))


def _clamp(point: ClampPoint, words: Mapping[str, Any], show: Show) -> str:
    if point.carries_a is None:
        return str(words["open"])
    if point.primary_a is None:
        return str(words["nothing"])
    key = "clamp" if point.opens else "ring"
    return fill(words[key], {"primary": point.primary_a, "window": point.window_mm}, show)


def _weeks(spec: JobSpec, ahead: Sequence[Stretch], show: Show) -> Section:
    words, first, weeks = visit_words()["weeks"], spec.papers.date, weeks_at_once()
    counted = days_of(first, weeks, _holidays(spec))
    told = {"weeks": weeks, "first": first, **dict(zip(("working", "saturdays", "sundays"), counted.values(), strict=True))}
    needs = []
    for one in NEEDS:
        what, why = words["for"][one.purpose]
        needs.append((what, show.duration(one.interval_s), str(one.days), str(one.weeks), fill(why, {"days": one.days}, show)))
    rows = [
        (
            one.season.value, show.day(one.first), show.day(one.until), str(one.read),
            words["wanted" if one.is_wanted else "there"],
            ", ".join(show.day(day) for day in one.holidays) if spec.site.country else words["no_country"],
        )
        for one in ahead
    ]  # fmt: skip
    blocks = (
        TableBlock(_table(words["head"], needs, words["caption"]), wide=True),
        TableBlock(_table(words["seasons_head"], rows, words["seasons"], words["source"]), wide=True),
    )
    return Section(words["title"], fill(words["lead"], told, show), blocks)


def _opens() -> Section:
    words = visit_words()["opens"]
    rows = [(*row, "") for row in words["rows"]]
    made = _table(words["head"], rows, words["caption"], words["source"])
    return Section(words["title"], words["lead"], (TableBlock(made, wide=True, by_hand=(5, 4, 3)),))


def survey_sheet(spec: JobSpec, show: Show) -> Section:
    """Return the sheet to be filled in by hand, with what the job says already."""
    words = visit_words()["survey"]
    about = _about(spec, show)
    visit_rows = [tuple(fill(cell, about, show) for cell in row) for row in words["visit_rows"]]
    head = words["loads_head"]
    loads = [_load(one, words, show) for one in spec.loads] + _empty(head, max(_LOADS_MORE, _LOADS - len(spec.loads)))
    source = fill(words["loads_source"], {"kinds": ", ".join(KINDS)}, show)
    blocks: tuple[Standing, ...] = (
        _by_hand(words["visit_head"], visit_rows, words["visit"], (4, 4, 5, 4)),
        _by_hand(words["boards_head"], _empty(words["boards_head"], _BOARDS), words["boards"], (3, 5, 4, 3, 4, 3, 2)),
        _by_hand(head, loads, words["loads"], (7, 5, 3, 4, 3, 5, 4, 4, 5, 3), source),
        _by_hand(words["circuits_head"], _empty(words["circuits_head"], _CIRCUITS), words["circuits"], (3, 2, 7, 5, 3, 3, 2)),
    )
    return Section(words["title"], words["lead"], blocks, new_page=True)


def _about(spec: JobSpec, show: Show) -> dict[str, str]:
    supply = spec.supply
    known: dict[str, str] = {"system": "", "voltage": "", "protection": "", "agreed": "", "earthing": spec.gear.earthing or ""}
    if supply is None:
        return known
    agreed = "" if supply.agreed_most_w is None else show.power(supply.agreed_most_w)
    protection = "" if supply.main_protection_a is None else show.plain(supply.main_protection_a)
    return {
        **known, "system": supply.system, "voltage": f"{show.plain(supply.voltage_v)} V", "protection": protection,
        "agreed": agreed,
    }  # fmt: skip


def _load(load: LoadSpec, words: Mapping[str, Any], show: Show) -> tuple[str, ...]:
    duties = sorted({one.duty for one in load.runs})
    duty = ", ".join(show.percent(one) for one in duties)
    hours = (
        ", ".join(f"{_clock(one.begins)}-{_clock(one.ends)}" for one in load.runs if kind.value in one.days) for kind in _TYPES
    )
    may = fill(words["yes"], {"way": load.interrupt}, show) if load.controllable else words["no"]
    return (load.name, load.kind, str(load.quantity), show.power(load.rating_w), duty, *hours, may, "")


def _clock(time: Any) -> str:
    return clock_text(3600 * time.hour + 60 * time.minute)


def _empty(head: Sequence[str], count: int) -> list[tuple[str, ...]]:
    return [("",) * len(head)] * count


def _by_hand(
    head: Sequence[str], rows: Sequence[Sequence[str]], caption: str, shares: tuple[int, ...], source: str = ""
) -> TableBlock:
    return TableBlock(_table(head, rows, caption, source), wide=True, by_hand=shares)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]], caption: str, source: str = "") -> Table:
    columns = tuple(Column(one, align="left") for one in head)
    return Table(columns, tuple(tuple(row) for row in rows), caption, source)
