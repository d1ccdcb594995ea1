"""Tables about equipment that the sheets and the workbook share: what is mounted, ordered, set, wired and asked."""

from collections.abc import Iterator, Sequence

from wattwright.charts.table import Cell, Marked, Table
from wattwright.core.basis import Basis
from wattwright.core.show import MISSING, Show
from wattwright.gear.wiring.netlist import Wiring
from wattwright.handover.drawings.files import CABLE_HEAD, TERMINAL_HEAD, cable_rows, terminal_rows
from wattwright.handover.switching import entered, sheds
from wattwright.handover.wide import figure, number_column, table, text_column
from wattwright.job.equipping import Equipped
from wattwright.job.gearing import LoadGear, SiteGear
from wattwright.job.spec import JobSpec
from wattwright.job.wirings import wirings

MOUNTED, BILL, SETTINGS, ASKED = "What is mounted", "Bill of materials", "Settings", "What is to be asked on site"
_TESTS = {
    "time programme": "Turn the clock to a minute before a switching, watch the contact, set the clock right again.",
    "repeat-cycle timer": "Time one whole cycle with a watch.",
    "limit": "Bring the quantity past the pick-up value and back by real load: the contact must follow after its delays.",
    "set point": "Bring the probe past the set point and back: the contact must open and close at the values set.",
    "shedding": "Switch known loads on until the pick-up value is passed: they must go and come back in these orders.",
}
"""How to see that a setting works. Source: common practice, no source."""


def numbered(names: Sequence[str], made: SiteGear) -> str:
    """Return loads by their numbers, runs joined, "all" where it is every one of several; what is no load by its name."""
    numbers = sorted({one.number for one in made.loads if one.load.name in names})
    others = [name for name in names if name not in {one.load.name for one in made.loads}]
    if len(numbers) == len(made.loads) > 1:
        return ", ".join(("all", *others))
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told = [str(run[0]) if len(run) == 1 else f"{run[0]}{', ' if len(run) == 2 else ' to '}{run[-1]}" for run in runs]
    return ", ".join((*told, *others))


def mounted_table(made: SiteGear, show: Show) -> Table:
    """Return each load by its number with its switch, protection and cable."""
    columns = (
        text_column("No."), text_column("Load"), text_column("Switched"), text_column("Devices"), text_column("Protection"),
        text_column("Cable"), number_column("Drop", "%", Basis.CALCULATED),
    )  # fmt: skip
    return table(columns, (_mounted(one, show) for one in made.loads), MOUNTED)


def _mounted(one: LoadGear, show: Show) -> tuple[Cell, ...]:
    scheme, circuit = one.answer.choice.selected, one.circuit
    head = (str(one.number), one.load.name, "not yet" if scheme is None else scheme.way)
    devices = "nothing in the range" if scheme is None else " + ".join(item.name for item in scheme.parts)
    if circuit is None:
        return (*head, devices, "open", "open", "")
    protection = circuit.chosen.protection
    told = " ".join(part for part in (protection.kind, protection.curve, f"{protection.rated_a:g} A") if part)
    drop = figure(show, 100.0 * circuit.drop_share, 2)
    return (*head, devices, told, f"{circuit.chosen.cable.size}, {show.plain(circuit.spec.length_m)} m", drop)


def bill_table(made: SiteGear, show: Show) -> Table:
    """Return the bill of materials, numbers as numbers; columns of the store only where the range has a price."""
    bill = made.bill
    priced, articles = bool(bill.totals), any(one.item is not None and one.item.article for one in bill.rows)
    columns = [text_column("What"), number_column("Quantity", ""), text_column("Unit"), text_column("For load")]
    columns += [text_column("Article")] if articles else []
    columns += [number_column("Price", ""), number_column("Total", ""), text_column("Currency")] if priced else []
    rows = list[list[Cell]]()
    for one in bill.rows:
        row: list[Cell] = [
            one.name, figure(show, one.quantity, 0 if one.quantity == round(one.quantity) else 1), one.unit,
            numbered(one.used_for, made),
        ]  # fmt: skip
        row += ["" if one.item is None else one.item.article] if articles else []
        if priced:
            price = None if one.item is None else one.item.price
            row += [MISSING if price is None else figure(show, price, 2)]
            row += [MISSING if one.total is None else figure(show, one.total, 2), one.currency]
        rows.append(row)
    for currency, whole in bill.totals.items():
        rows.append(["In all", "", "", "", *([""] if articles else []), "", figure(show, whole, 2), currency])
    return table(columns, rows, BILL, totals=len(bill.totals))


def settings_table(equipped: Equipped, spec: JobSpec, show: Show) -> Table:
    """Return what is entered at each controller: of a plan its own settings first, then the rules that stay as they are."""
    columns = [text_column(head) for head in ("Load", "Set at", "What to enter", "Why, and how to test it", "Set to, by, date")]
    rows = [*_planned(equipped), *_rules(equipped, spec, show), *_contacts(equipped, spec, show)]
    return table(columns, ((*row, "") for row in rows), SETTINGS)


def _planned(equipped: Equipped) -> Iterator[tuple[str, str, str, str]]:
    for one in equipped.ruled.settings:
        at = next((_device(load) for load in equipped.gear.loads if load.load.name == one.load), "")
        why = f"{one.reason}; {one.margin}. Test: {one.test}"
        yield one.load, at or one.controller, "; ".join(one.entries), why[:1].upper() + why[1:]


def _rules(equipped: Equipped, spec: JobSpec, show: Show) -> Iterator[tuple[str, str, str, str]]:
    """Yield the rules that no setting of a plan tells already."""
    names, ruled = {one.id: one.name for one in spec.loads}, equipped.ruled
    told, chosen = {load for load, _ in ruled.classes}, {one.load.id: one for one in equipped.gear.loads}
    for rule in ruled.control.rules:
        if rule.load not in told:
            at = _device(chosen[rule.load]) if rule.load in chosen else ""
            yield names.get(rule.load, rule.load), at or MISSING, entered(rule, show), _TESTS[rule.kind]
    shedding = ruled.control.shedding
    if shedding is not None and not any(one.family == "shed order" for one in ruled.settings):
        yield "the supply", "where it is measured", sheds(shedding, names, show), _TESTS["shedding"]


def _contacts(equipped: Equipped, spec: JobSpec, show: Show) -> Iterator[tuple[str, str, str, str]]:
    names, control = {one.id: one.name for one in spec.loads}, equipped.ruled.control
    for one in control.actuators:
        times = (("shortest on", one.min_on_s), ("shortest off", one.min_off_s), ("restart delay", one.restart_s))
        told = [f"{name} {show.duration(value)}" for name, value in times if value]
        told += [f"after an outage {one.power_up}", f"without the link {one.fail_safe}"]
        yield names.get(one.load, one.load), "its contact", "; ".join(told), "Tests of link and outage."
    if control.stagger_s:
        told_s = show.duration(control.stagger_s)
        yield "all loads", "after an outage", f"the next load comes back {told_s} after the one before", "Test of outage."


def _device(one: LoadGear) -> str:
    scheme = one.answer.choice.selected
    return "" if scheme is None else f"-K{one.number}, {scheme.controller.name}"


def asked_table(made: SiteGear) -> Table:
    """Return what is to be asked, each question once with the loads it is about."""
    about: dict[str, list[str]] = {}
    for one in made.loads:
        for question in one.asked:
            about.setdefault(question, []).append(one.load.name)
    columns = (text_column("To be asked"), text_column("For load"), text_column("Answer, by, date"))
    return table(columns, ((question, numbered(names, made), "") for question, names in about.items()), ASKED)


def workbook_tables(equipped: Equipped, spec: JobSpec, show: Show) -> tuple[Table, ...]:
    """Return the tables that the workbook has beside those of the report."""
    made = equipped.gear
    drawn = wirings(made)
    tables = (
        mounted_table(made, show), bill_table(made, show), settings_table(equipped, spec, show), _terminals(drawn),
        _cables(drawn), asked_table(made),
    )  # fmt: skip
    return tuple(one for one in tables if one.rows)


def _terminals(drawn: Sequence[Wiring]) -> Table:
    return table(tuple(text_column(head) for head in TERMINAL_HEAD), terminal_rows(drawn), "Terminal schedule")


def _cables(drawn: Sequence[Wiring]) -> Table:
    """Return the cable schedule, cores and lengths as numbers."""
    columns = [number_column(head, "") if head == "Cores" else text_column(head) for head in CABLE_HEAD]
    rows: list[tuple[Cell, ...]] = [(*row[:-1], Marked(row[-1], None, float(row[-1]), 0)) for row in cable_rows(drawn)]
    return table(columns, rows, "Cable schedule")
