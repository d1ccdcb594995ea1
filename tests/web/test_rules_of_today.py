"""How loads are switched today, said in forms: rules with their lists of times, contacts, interlocks and the shed order."""

import datetime as dt
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked, asked_of
from tests.web.test_answers import plain
from tests.web.test_details import LOADS, shown, spec
from wattwright.control.rules import Limit, RepeatCycle, SetPoint, TimeProgramme
from wattwright.job.edit import Edit

NIGHT = {"id": "night", "load": "boiler", "months.1": "yes", "months.12": "yes", "other_months": "no say"}
TIMES = {
    "times.0.days.Mon": "yes", "times.0.days.Tue": "yes", "times.0.on": "22:30", "times.0.off": "6:00",
    "times.2.on": "sunset - 30 min", "times.2.off": "23:00",
}  # fmt: skip
PEAK = {
    "id": "peak", "load": "pump", "quantity": "site power", "acts": "above", "contact": "opens", "pick_up": "9.2",
    "pick_up.unit": "kW", "drop_out": "8000", "drop_out.unit": "W", "on_delay": "5", "on_delay.unit": "s",
}  # fmt: skip


def at(place: str, values: dict[str, str]) -> dict[str, str]:
    """The values as a form sends those of an entry."""
    return {f"{place}.{name}": value for name, value in values.items()}


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job of two loads."""
    return asked_of(tmp_path, PLAIN + LOADS)


def added(ask: Asked, many: str, place: str, values: dict[str, str]):
    """The answer to an entry added."""
    return ask.post("/do/add-entry", {"many": many, **at(place, values)})


def test_a_time_programme_is_added_changed_and_taken_back(ask: Asked) -> None:
    """Its lines are one list of the file, those left empty are none; saved as it stands it changes nothing."""
    assert added(ask, "programme", "control.rule.0", NIGHT | TIMES).headers["location"].endswith("/plan#new-programme")
    (rule,) = spec(ask).control.rules
    assert isinstance(rule, TimeProgramme)
    assert (rule.months, rule.load) == ((1, 12), "boiler")
    first, second = rule.times
    assert (first.days, first.on.clock, first.off.clock) == (("Mon", "Tue"), dt.time(22, 30), dt.time(6))
    assert (second.on.sun, second.on.offset_s, second.off.clock, len(second.days)) == ("sunset", -1800, dt.time(23), 7)
    page = ask("/plan").text
    stands = shown(page, "programme-0")
    assert (stands["control.rule.0.times.0.on"], stands["control.rule.0.times.1.on"]) == ("22:30", "sunset - 30 min")
    assert 'name="control.rule.0.months.12" value="yes" checked' in page
    # Without a tick a line holds on every day; of months nothing of the kind is said in the file.
    assert (
        page.count('days <span class="source">none ticked: every one of them</span></legend>') == page.count("days</legend>") + 8
    )
    assert "<legend>Months</legend>" in page
    ticked = at("control.rule.0", {"months.1": "yes", "months.12": "yes", "times.0.days.Mon": "yes", "times.0.days.Tue": "yes"})
    before = ask.store.head(ask.job)
    assert ask.post("/do/set", {"group": "programme-0", **stands, **ticked}).status_code == 303
    assert ask.store.head(ask.job) == before
    emptied = {"control.rule.0.times.0.on": "", "control.rule.0.times.0.off": ""}
    assert ask.post("/do/set", {"group": "programme-0", **stands, **emptied}).status_code == 303
    (rule,) = spec(ask).control.rules
    assert (len(rule.times), rule.times[0].on.sun, rule.months) == (1, "sunset", ())
    ask.post("/do/undo", {"sheet": "plan"})
    assert ask.store.head(ask.job).text == before.text


def test_a_wrong_line_is_told_beside_it(ask: Asked) -> None:
    """Lines left empty before it are passed over, on the page too, so that the sentence stands at the right one."""
    wrong = {"times.1.on": "dusk", "times.1.off": "23:00", "times.1.days.Sun": "yes"}
    answer = added(ask, "programme", "control.rule.0", NIGHT | wrong)
    assert answer.status_code == 422
    assert 'class="field wrong">\n<label for="programme.control.rule.0.times.0.on"' in answer.text
    stands = shown(answer.text, "new-programme")
    assert (stands["control.rule.0.times.0.on"], stands["control.rule.0.times.0.off"]) == ("dusk", "23:00")
    assert stands["control.rule.0.times.1.off"] == ""
    assert 'name="control.rule.0.times.0.days.Sun" value="yes" checked' in answer.text
    assert "in quotes" not in plain(answer)
    assert not spec(ask).control.rules


def test_values_with_the_unit_of_their_quantity(ask: Asked) -> None:
    """A pick-up value takes the unit of what is measured, a value of the load itself none; another unit is told at its field."""
    wrong = added(ask, "limit-rule", "control.rule.0", PEAK | {"drop_out.unit": "A"})
    assert wrong.status_code == 422
    assert 'class="field wrong">\n<label for="limit-rule.control.rule.0.drop_out"' in wrong.text
    assert added(ask, "limit-rule", "control.rule.0", PEAK).status_code == 303
    point = {"id": "warm", "load": "boiler", "quantity": "load value", "calls": "below", "set_point": "55", "set_point.unit": ""}
    assert added(ask, "set-point", "control.rule.1", {**point, "differential": "4"}).status_code == 303
    limit, warm = spec(ask).control.rules
    assert isinstance(limit, Limit)
    assert isinstance(warm, SetPoint)
    assert (limit.pick_up, limit.drop_out, limit.on_delay_s) == ("9.2 kW", "8000 W", 5)
    assert (warm.set_point, warm.differential) == (55, 4)
    page = ask("/plan")
    assert "A limit of today (1)" in plain(page)
    assert "A thermostat or other set point of today (2)" in plain(page)
    for id_ in ("limit-rule-0", "set-point-1"):
        before, stands = ask.store.head(ask.job), shown(page.text, id_)
        assert ask.post("/do/set", {"group": id_, **stands}).status_code == 303
        assert ask.store.head(ask.job) == before


def test_a_rule_is_found_by_its_kind_alone(ask: Asked) -> None:
    """All kinds stand in one list: one of another kind is neither shown, set nor taken out as this one."""
    cycle = {"id": "stir", "load": "pump", "on_for": "10", "on_for.unit": "min", "off_for": "1", "off_for.unit": "h"}
    assert added(ask, "cycle", "control.rule.0", cycle).status_code == 303
    assert added(ask, "limit-rule", "control.rule.1", PEAK).status_code == 303
    assert ask.post("/do/set", {"group": "cycle-1"}).status_code == 422
    assert ask.post("/do/remove-entry", {"many": "cycle", "index": "1"}).status_code == 422
    assert ask.post("/do/remove-entry", {"many": "limit-rule", "index": "1"}).status_code == 303
    (rule,) = spec(ask).control.rules
    assert isinstance(rule, RepeatCycle)
    assert (rule.on_for_s, rule.off_for_s) == (600, 3600)
    assert ask.post("/do/remove-entry", {"many": "cycle", "index": "0"}).status_code == 303
    assert "control" not in ask.opened.revision.text


def test_a_load_is_chosen_among_those_of_the_survey(ask: Asked) -> None:
    """By its name; with no load there is nothing to switch, and no form for it."""
    page = ask("/plan").text
    assert '<option value="pump">Pump</option>' in page
    assert '<option value="" selected>the load of the rule itself</option>' in page
    for _ in range(2):
        ask.post("/do/remove-load", {"index": "0"})
    assert 'id="new-programme"' not in ask("/plan").text


def test_contacts_interlocks_and_the_shed_order(ask: Asked) -> None:
    """Entries below the same table; the shed order is lines, the first to go first, and with nothing said there is none."""
    contact = {"load": "pump", "min_off": "3", "min_off.unit": "min", "fail_safe": "open", "unattended": "no"}
    assert added(ask, "actuator", "control.actuator.0", contact).status_code == 303
    both = {"kind": "never both", "loads": "boiler\npump"}
    assert added(ask, "interlock", "control.interlock.0", both).status_code == 303
    shed = at("control.shedding", {"quantity": "site power", "pick_up": "9.2 kW", "restore": "7 kW", "order": "pump\nboiler"})
    assert ask.post("/do/set", {"group": "shedding", **shed}).status_code == 303
    control = spec(ask).control
    (switched,) = control.actuators
    assert (switched.min_off_s, switched.fail_safe, switched.unattended) == (180, "open", False)
    assert control.interlocks[0].loads == ("boiler", "pump")
    assert control.shedding.order == ("pump", "boiler")
    none = ask.post("/do/set", {"group": "shedding", **shed, "control.shedding.order": "pump\noven"})
    assert none.status_code == 422
    emptied = {**dict.fromkeys(shed, ""), "control.shedding.quantity": "site power"}
    assert ask.post("/do/set", {"group": "shedding", **emptied}).status_code == 303
    assert spec(ask).control.shedding is None


def test_a_list_of_tables_is_written_as_it_stood(tmp_path: Path) -> None:
    """In brackets, or as tables with a header of their own: what follows in the file still belongs where it did."""
    tables = '[[control.rule]]\nkind = "time programme"\n[[control.rule.times]]\non = 06:00:00\n[papers]\ndate = 2025-01-01\n'
    edit = Edit(tables)
    edit.set("control.rule.0.times", [{"on": dt.time(7)}, {"on": dt.time(8)}])
    assert edit.text.count("[[control.rule.times]]") == 2
    assert edit.value("papers.date") == dt.date(2025, 1, 1)
    brackets = 'times = [{on = 06:00:00}]\n[site]\nzone = "UTC"\n'
    edit = Edit(brackets)
    edit.set("times", [{"on": dt.time(9)}])
    assert "[[times]]" not in edit.text
    assert (edit.value("times"), edit.value("site.zone")) == ([{"on": dt.time(9)}], "UTC")
