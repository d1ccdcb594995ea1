"""The sheets for whoever mounts, sets, tests and keeps the equipment: one paper, from what was chosen for a job."""

from collections.abc import Iterator
from dataclasses import replace

from wattwright.charts.table import Column, Table
from wattwright.core.show import Show
from wattwright.core.wording import fill
from wattwright.handover.array_sheet import array_sheet
from wattwright.handover.gear_tables import asked_table, bill_table, mounted_table, numbered, settings_table
from wattwright.handover.island_sheet import without_grid
from wattwright.handover.paper import Caution, Paper, Section, Standing, Steps, TableBlock, Text, TitleBlock
from wattwright.handover.quick import nearest
from wattwright.handover.sheet_words import sheet_words
from wattwright.job.equipping import Equipped
from wattwright.job.gearing import LoadGear, SiteGear
from wattwright.job.island import job_island
from wattwright.job.simulated_site import supply_of
from wattwright.job.spec import JobSpec
from wattwright.supply.backup.settings import settings as source_settings

_NEAREST = 3
"""Rules and refusals told for each load; all of them are in the JSON."""
_LONG_YEARS = 50.0
"""Devices are replaced for other reasons before that."""


def sheets(equipped: Equipped, spec: JobSpec, show: Show) -> Paper:
    """Return the sheets of a job: what is mounted and why, settings, bill of materials, mounting, testing, keeping."""
    made, papers = equipped.gear, spec.papers
    rules = "NEC" if made.rules == "nec" else "IEC 60364"
    block = TitleBlock(
        spec.name,
        spec.place,
        sheet_words()["sheet"],
        papers.date.isoformat(),
        papers.revision,
        f"{equipped.ruled.says}, {rules}",
        spec.invented,
    )
    of_sources = tuple(_own_sources(equipped, spec, show))
    if not made.loads:
        # Its first sheet goes on the first page.
        return Paper(block, tuple(replace(one, new_page=one is not of_sources[0]) for one in of_sources))
    sections = (
        chosen(equipped, show), reasons(made, show), settings(equipped, spec, show), materials(made, show), mounting(made),
        commissioning(equipped, show), *of_sources, keeping(made, show),
    )  # fmt: skip
    return Paper(block, sections)


def _own_sources(equipped: Equipped, spec: JobSpec, show: Show) -> Iterator[Section]:
    """Yield the sheets of PV strings and of running without the grid, where anything but the grid feeds the site."""
    if spec.strings:
        yield array_sheet(spec, show)
    island = job_island(equipped.gear, spec)
    if island is not None and spec.supply is not None:
        names = {one.id: one.name for one in spec.loads}
        yield without_grid(island, source_settings(supply_of(spec, spec.supply), equipped.ruled.control, names), show)


def chosen(equipped: Equipped, show: Show) -> Section:
    """Return what is mounted for each load, with its circuit, and the cautions before all else."""
    made = equipped.gear
    switched = [one for one in made.loads if one.answer.choice.selected is not None]
    lead = (
        f"{len(switched)} of {len(made.loads)} loads get a switch, for {equipped.ruled.says}; what is open is named "
        "with each. Other tables tell loads by the numbers given here."
    )
    blocks: list[Standing] = [Caution(sheet_words()["cautions"]["always"]), *(Caution(told) for told in _cautions(made))]
    blocks += [TableBlock(mounted_table(made, show), wide=True), *_site(made, show)]
    if made.findings:
        blocks.append(TableBlock(_told(made, show), wide=True))
    return Section("What is mounted", lead, tuple(blocks))


def _cautions(made: SiteGear) -> Iterator[str]:
    words, loads = sheet_words()["cautions"], [one.load.kind for one in made.loads]
    if made.measuring is not None:
        yield words["transformer"]
    if any(one.answer.appliance.system == "split-phase" for one in made.loads):
        yield words["split"]
    if "water heater" in loads:
        yield words["water"]
    if {"cold room", "freezer"} & set(loads):
        yield words["cold"]


def _site(made: SiteGear, show: Show) -> Iterator[Standing]:
    if made.measuring is not None:
        chosen_meter = made.measuring.selected
        yield Text(
            f"The supply is measured by a {chosen_meter.name}." if chosen_meter else "No meter of the range measures this supply."
        )
    if made.housing is not None and made.housing.selected is not None:
        width, heat = show.fixed(made.housing.modules, 1), show.fixed(made.housing.heat_w, 0)
        count = f"{made.housing.count} of: " if made.housing.count > 1 else ""
        yield Text(f"In the board: {count}{made.housing.selected.name}, for {width} modules and {heat} W at rated current.")


def _told(made: SiteGear, show: Show) -> Table:
    """Return what is to be looked at, each thing once with the loads it is about, the gravest first."""
    names = {one.load.id: one.load.name for one in made.loads}
    about: dict[tuple[str, str, str, str], list[str]] = {}
    for one in made.findings:
        about.setdefault((one.severity.value, one.says(show), one.do(show), one.source), []).append(
            names.get(one.where, one.where)
        )
    rows = tuple((severity, numbered(where, made), says, do, source) for (severity, says, do, source), where in about.items())
    heads = ("Weight", "For load", "What was found", "What to do", "Source")
    return Table(tuple(Column(head, align="left") for head in heads), rows, "What to look at before anything is ordered")


def reasons(made: SiteGear, show: Show) -> Section:
    """Return why each device was chosen: the rules with the least to spare, what was refused, and what is to be asked."""
    rows = []
    for one in made.loads:
        scheme = one.answer.choice.selected
        if scheme is None:
            continue
        told = [ruling for ruling in scheme.judged.rulings if ruling.margin is not None and ruling.rule != "voltage"]
        tight = sorted((ruling.margin or 0.0, ruling.says, ruling.clause) for ruling in told)[:_NEAREST]
        for index, (margin, says, clause) in enumerate(tight):
            rows.append((one.load.name if index == 0 else "", says, show.percent(margin), clause))
    heads = ("Load", "Rule with little to spare", "To spare", "Where it stands")
    table = Table(tuple(Column(head, align="left") for head in heads), tuple(rows), "Why these devices")
    columns = tuple(Column(head, align="left") for head in ("For load", "Refused", "By which rule"))
    refused = Table(columns, tuple(_refused(made)), "What was refused next to them")
    asked = asked_table(made)
    lead = f"{len(asked.rows)} questions are open; until they are answered, what rests on them is provisional."
    blocks = [TableBlock(one, wide=True) for one in (asked, table, refused) if one.rows]
    return Section("Why, and what is open", lead, tuple(blocks))


def _refused(made: SiteGear) -> Iterator[tuple[str, str, str]]:
    """Yield the devices that were nearest to passing with the rule that refused them, each once with the loads it is about."""
    about: dict[tuple[str, str], list[str]] = {}
    for one in made.loads:
        for judged in nearest(one.answer.choice.refused)[:_NEAREST]:
            by = judged.refused_by
            if by is not None:
                about.setdefault((judged.name, f"{by.rule}: {by.says} ({by.clause})"), []).append(one.load.name)
    for (name, why), names in about.items():
        yield numbered(names, made), name, why


def settings(equipped: Equipped, spec: JobSpec, show: Show) -> Section:
    """Return the settings of each controller in words."""
    table = settings_table(equipped, spec, show)
    if not table.rows:
        return Section("Settings", "Nothing is set yet: the job has no rules, and no plan belongs to it as it stands.")
    lead = f"Settings to enter: {len(table.rows)}, for {equipped.ruled.says}. Write beside each what was set in the end."
    return Section("Settings", lead, (TableBlock(table, wide=True),), new_page=True)


def materials(made: SiteGear, show: Show) -> Section:
    """Return the bill of materials with its totals."""
    bill = made.bill
    priced = f"; {bill.unpriced} of them have no price in this range" if bill.totals and bill.unpriced else ""
    lead = f"{len(bill.rows)} kinds of equipment are ordered{priced}."
    return Section("Bill of materials", lead, (TableBlock(bill_table(made, show), wide=True),), new_page=True)


def _ways(made: SiteGear) -> dict[str, list[LoadGear]]:
    """Return the loads by what their equipment has: the way they are switched, a motor, a probe."""
    found: dict[str, list[LoadGear]] = {}
    for one in made.loads:
        if one.answer.choice.selected is None:
            continue
        found.setdefault(one.answer.choice.selected.way, []).append(one)
        if one.answer.appliance.is_motor and one.answer.choice.selected.way != "control input":
            found.setdefault("motor", []).append(one)
        if one.answer.probing is not None and one.answer.probing.selected is not None:
            found.setdefault("probe", []).append(one)
    return found


def mounting(made: SiteGear) -> Section:
    """Return the steps of mounting and isolating, for the ways that occur."""
    words, ways = sheet_words()["mount"], _ways(made)
    steps = [*words["always"][:4]]
    for way in ("in line", "contactor", "control input", "motor", "probe"):
        steps += words[way] if way in ways else []
    steps += words["transformer"] if made.measuring is not None else []
    steps += words["always"][4:]
    return Section(
        "Mounting and isolating",
        "Nothing is touched before it is proved dead.",
        (Caution(sheet_words()["cautions"]["always"]), Steps(tuple(steps))),
        new_page=True,
    )


def commissioning(equipped: Equipped, show: Show) -> Section:
    """Return the commissioning sheet: dead tests, live tests, tests of what was set; what was found is written in by hand."""
    made, control = equipped.gear, equipped.ruled.control
    words, ways = sheet_words()["commission"], _ways(made)
    tests = [tuple(one) for one in words["before"]]
    tests += [tuple(one) for one in words["transformer"]] if made.measuring is not None else []
    for way in ("in line", "contactor", "control input", "motor", "probe"):
        tests += [
            tuple(fill(cell, {"load": one.load.name}, show) for cell in row) for one in ways.get(way, ()) for row in words[way]
        ]
    tests += [tuple(one) for one in words["threshold"]] if control.shedding is not None else []
    tests += [tuple(one) for one in words["after"]]
    rows = tuple((str(number), *test, "", "") for number, test in enumerate(tests, start=1))
    table = Table(
        tuple(Column(head, align="left") for head in words["head"]),
        rows,
        "Commissioning",
        "order of tests: IEC 60364-6, from memory",
    )
    lead = f"{len(rows)} tests, dead ones first; what fails is mended before the next."
    blocks = (Caution(sheet_words()["cautions"]["always"]), TableBlock(table, wide=True))
    return Section("Commissioning", lead, blocks, new_page=True)


def keeping(made: SiteGear, show: Show) -> Section:
    """Return the plan of maintenance, with when each contact is due."""
    words = sheet_words()["keep"]
    rows = [tuple(one) for one in words["rows"]]
    for one in made.loads:
        scheme, a_year = one.answer.choice.selected, one.answer.choice.need.switchings_a_year
        ruling = None if scheme is None else next((r for r in scheme.judged.rulings if r.rule == "life of the contact"), None)
        if ruling is None or ruling.margin is None or not a_year:
            continue
        years = (1.0 + ruling.margin) * one.answer.choice.need.years
        if years <= _LONG_YEARS:
            data = {"load": one.load.name, "years": round(years), "count": round(a_year)}
            rows.append((f"{show.fixed(years, 0)} years", "Contact", fill(words["contact"], data, show), "a licensed person"))
    table = Table(
        tuple(Column(head, align="left") for head in words["head"]), tuple(rows), "Maintenance plan", "common practice, no source"
    )
    lead = f"{len(rows)} things are looked after; the shortest interval is a month."
    return Section("Keeping it in order", lead, (TableBlock(table, wide=True),), new_page=True)
