"""What becomes of an outage: how long it holds by hour and season, which loads run and are shed when, hours lost, settings."""

from collections import Counter

from wattwright.charts.holds import Holding, HoldsPanel, holds_by_hour
from wattwright.charts.picture import Caption, Picture
from wattwright.charts.table import Cell, Table
from wattwright.core.basis import Basis
from wattwright.core.findings import Finding
from wattwright.core.show import MISSING
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, margin_notes, number_column, short, table, text_column
from wattwright.supply.backup.results import BackupStory, Hour, Told

_HOUR_S = 3600.0
_SHOWN_H = 3
"""The table tells every third hour; the picture shows them all."""
_LEAST_KWH = 0.01
"""The least that is told as a figure of what a load used."""


def outages(context: Context, story: BackupStory | Finding | None) -> Section | None:
    """Return the section on outages, or why there is no story; None where nothing carries the site through one."""
    if story is None:
        return None
    if isinstance(story, Finding):
        notes = tuple(margin_notes([story], context.show))
        return Section(context.words("outages.title"), context.words("outages.untold"), notes)
    blocks: list[Block] = [PictureBlock(_picture(context, story), with_table=True)]
    blocks.append(Text(_ended(context, story.best)))
    if story.best.loads:
        blocks.append(TableBlock(_loads(context, story.best), wide=True))
    if story.best.lost is not None:
        blocks.append(TableBlock(_lost(context, story)))
    blocks += [TableBlock(_settings(context, story), wide=True), *margin_notes(story.findings, context.show)]
    blocks.append(Caution(context.words("outages.caution")))
    return Section(context.words("outages.title"), _lead(context, story), tuple(blocks))


def _lead(context: Context, story: BackupStory) -> str:
    hours = sorted(story.best.hours, key=lambda one: one.middle_s)
    worst, middle = min(hours, key=lambda one: one.low_s), hours[len(hours) // 2]
    told = {
        "middle": _held(context, middle.middle_s, story), "worst": _held(context, worst.low_s, story), "season": worst.season,
        "hour": f"{worst.hour:02d}:00", "rules": _rules(context, story.best),
    }  # fmt: skip
    lead = context.words("outages.lead", **told)
    lost = story.best.lost
    if lost is None:
        return lead
    dark, grid = (context.show.number(value) for value in (lost.mean_h, lost.grid_h))
    return f"{lead} {context.words('outages.lead.lost', mean=dark, grid=grid)}"


def _held(context: Context, lasts_s: float, story: BackupStory) -> str:
    """Return how long it holds in words, one that held throughout as at least so long."""
    if lasts_s >= story.followed_s:
        return context.words("outages.longer", time=story.followed_s)
    return context.show.duration(60.0 * round(lasts_s / 60.0)) if lasts_s >= 60.0 else context.words("outages.none")


def _rules(context: Context, told: Told) -> str:
    return context.words(f"outages.rules.{told.name}")


def _holding(hours: list[Hour]) -> Holding:
    return Holding([one.low_s for one in hours], [one.middle_s for one in hours], [one.high_s for one in hours])


def _seasons(told: Told) -> dict[str, list[Hour]]:
    found: dict[str, list[Hour]] = {}
    for one in told.hours:
        found.setdefault(one.season, []).append(one)
    return found


def _picture(context: Context, story: BackupStory) -> Picture:
    by_rules = [_seasons(one) for one in story.told]
    panels = [HoldsPanel(season, [_holding(one[season]) for one in by_rules]) for season in by_rules[0]]
    names = [_rules(context, one) for one in story.told]
    every = [one.middle_s for one in story.best.hours]
    title = context.words(
        "outages.picture", low=_held(context, min(every), story), high=_held(context, max(every), story)
    )  # fmt: skip
    alt = context.words("outages.picture.alt", count=len(panels), days=len(story.days))
    source = context.words("outages.source", source=context.source, days=len(story.days))
    caption = Caption("outages", title, alt, source, _hours(context, story), context.words("outages.step"))
    return holds_by_hour(caption, panels, names, story.followed_s, context.chart_words)


def _hours(context: Context, story: BackupStory) -> Table:
    columns = [text_column("Season"), text_column("Grid goes at")]
    for one in story.told:
        name = _rules(context, one)
        columns += [number_column(f"{name}, middle", "h", Basis.SIMULATED), text_column(f"{name}, least to most")]
    rows = list[list[Cell]]()
    for index, hour in enumerate(story.best.hours):
        if hour.hour % _SHOWN_H:
            continue
        cells: list[Cell] = [hour.season, f"{hour.hour:02d}:00"]
        for told in story.told:
            mine = told.hours[index]
            low, high = (context.show.fixed(value / _HOUR_S, 1) for value in (mine.low_s, mine.high_s))
            cells += [figure(context.show, mine.middle_s / _HOUR_S, 1), context.words("outages.range", low=low, high=high)]
        rows.append(cells)
    return table(columns, rows, context.words("outages.hours"))


def _ended(context: Context, told: Told) -> str:
    """Return what ends the supply, the most frequent first."""
    counts = Counter(one.ends_by or context.words("outages.holds") for one in told.hours)
    by = ", ".join(context.words("outages.ended.by", by=by, count=count) for by, count in counts.most_common())
    return context.words("outages.ended", by=by, count=len(told.hours))


def _loads(context: Context, told: Told) -> Table:
    names = {one.id: one.name for one in context.spec.loads}
    columns = (
        text_column("Season"), text_column("Load"), number_column("Ran in", "% of outages", Basis.SIMULATED),
        number_column("Used until the end", "kWh", Basis.SIMULATED), number_column("Shed in", "% of outages", Basis.SIMULATED),
        text_column("Shed after"),
    )  # fmt: skip
    rows = list[list[Cell]]()
    for one in told.loads:
        after = MISSING if one.shed_after_s is None else context.words("outages.before")
        if one.shed_after_s is not None and one.shed_after_s > 0.0:
            after = context.show.duration(one.shed_after_s)
        shares = [figure(context.show, 100.0 * share, 0) for share in (one.ran_share, one.shed_share)]
        used = short(context.show, one.energy_kwh, _LEAST_KWH)
        rows.append([one.season, names.get(one.load, one.load), shares[0], used, shares[1], after])
    return table(columns, rows, context.words("outages.loads"))


def _lost(context: Context, story: BackupStory) -> Table:
    heads = ("Mean", "5 % of years below", "5 % of years above", "Without own sources")
    columns = [text_column("Rules"), *(number_column(head, "h a year", Basis.SIMULATED) for head in heads)]
    rows = list[list[Cell]]()
    for one in story.told:
        if one.lost is not None:
            values = (one.lost.mean_h, one.lost.year_low_h, one.lost.year_high_h, one.lost.grid_h)
            rows.append([_rules(context, one), *(figure(context.show, value, 1) for value in values)])
    return table(columns, rows, context.words("outages.lost"))


def _settings(context: Context, story: BackupStory) -> Table:
    """Return the settings under the rules told first."""
    rows = [(one.of, one.what, one.value) for one in story.settings[-1][1]]
    columns = (text_column("Of"), text_column("Setting"), text_column("Value"))
    return table(columns, rows, context.words("outages.settings"))
