"""What is added from a page that another tab, or the way back, has made old: kept as a further entry, nothing typed is lost."""

import datetime as dt
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked, asked_of
from tests.web.test_details import LOADS, shown, spec
from tests.web.test_entries import ROOF, STRINGS, below
from tests.web.test_rules_of_today import NIGHT, PEAK, TIMES
from tests.web.test_tariff_forms import posted as of_tariff
from wattwright.job.edit import Edit
from wattwright.web.entries import MANY
from wattwright.web.posted import Posted

KINDS: dict[str, tuple[dict[str, str], dict[str, str]]] = {
    "programme": (
        {**NIGHT, **{name.replace("s.2.", "s.1."): one for name, one in TIMES.items()}},
        {"id": "other", "times.0.on": "21:00"},
    ),
    "cycle": (
        {"id": "stir", "load": "pump", "on_for": "10", "on_for.unit": "min", "off_for": "1", "off_for.unit": "h"},
        {"id": "other", "on_for": "20"},
    ),
    "limit-rule": (PEAK, {"id": "other", "pick_up": "9.4"}),
    "set-point": (
        {"id": "warm", "load": "boiler", "quantity": "load value", "calls": "below", "set_point": "55", "set_point.unit": "",
         "differential": "4"},
        {"id": "other", "load": "boiler", "set_point": "57"},
    ),
    "actuator": ({"load": "pump", "min_off": "3", "min_off.unit": "min"}, {"load": "boiler", "min_off": "7"}),
    "interlock": ({"kind": "never both", "loads": "boiler\npump"}, {"loads": "pump\nboiler"}),
    "not-load": ({"level": "2", "level.unit": "kW", "reason": "Guests"}, {"level": "0.9", "reason": "A lamp"}),
    "bill": (
        {"from": "2025-01-01", "until": "2025-02-01", "energy": "310", "energy.unit": "kWh"},
        {"from": "2025-02-01", "until": "2025-03-01", "energy": "290"},
    ),
    "adjustment": (
        {"from": "2025-03-01", "until": "2025-03-15", "why": "Kitchen closed", "agreed_by": "Both", "leave_out": "yes"},
        {"from": "2025-04-01", "until": "2025-04-15", "why": "Guests"},
    ),
    "pv": (ROOF, {"peak": "2"}),
    "roof": (ROOF, {"peak": "3"}),
    "strings": (STRINGS, {"series": "8"}),
    "isolation": ({"source": "battery", "where": "Garage", "lockable": "yes"}, {"where": "Shed", "source": "inverter"}),
}  # fmt: skip
"""Of each kind of entry what its form sends, and what a second one says otherwise; figures invented."""
WRONG = {
    "programme": {"times.0.on": "dusk"}, "cycle": {"on_for": "long"}, "limit-rule": {"pick_up": "high"},
    "set-point": {"differential": "-4"}, "actuator": {"min_off": "long"}, "interlock": {"loads": "pump\noven"},
    "not-load": {"level": "-1"}, "bill": {"until": "2024-01-01"}, "adjustment": {"until": "2024-01-01"}, "pv": {"peak": "x"},
    "roof": {"peak": "x"}, "strings": {"series": "x"}, "isolation": {"where": ""},
}  # fmt: skip
"""A value of each kind that is refused."""
LOAD = {"name": "Kiln", "kind": "other", "rating": "3", "rating.unit": "kW", "note": "In the shed"}


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job of two loads and a PV array."""
    made = asked_of(tmp_path, PLAIN + LOADS)
    assert made.post("/do/add-entry", {"many": "pv", **below("pv.0", ROOF)}).status_code == 303
    return made


def test_every_kind_of_entry_is_tried_here() -> None:
    """Of each of them there is one below."""
    assert set(KINDS) == set(WRONG) == set(MANY)


@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_from_an_old_page_is_a_further_one(ask: Asked, kind: str) -> None:
    """Two forms of one page, both named for the first free place: both are kept. A wrong one is shown with all it said."""
    many, (first, changed) = MANY[kind], KINDS[kind]
    place = many.count(Edit(ask.opened.revision.text))
    form = {"many": kind, **below(f"{many.entry}.{place}", first)}
    second = {**form, **below(f"{many.entry}.{place}", changed)}
    assert ask.post("/do/add-entry", form).status_code == 303
    wrong = ask.post("/do/add-entry", {**second, **below(f"{many.entry}.{place}", WRONG[kind])})
    assert wrong.status_code == 422
    stands = shown(wrong.text, f"new-{kind}")
    kept = below(f"{many.entry}.{place + 1}", {**first, **changed, **WRONG[kind]})
    typed = stands.keys() & kept.keys()
    assert typed
    assert {name: stands[name] for name in typed} == {name: kept[name] for name in typed}
    assert ask.post("/do/add-entry", second).status_code == 303
    said = Edit(ask.opened.revision.text).value(many.entry)
    assert len(said) == place + 2
    assert said[place] != said[place + 1]


@pytest.mark.parametrize("back", ["", "found"])
def test_a_load_from_an_old_page_is_a_further_one(ask: Asked, back: str) -> None:
    """The plain form, and that of a load found in the readings with its hours: as typed, behind what another tab has added."""
    hours = {"hours.0.from": "6:00", "hours.0.until": "10:00", "hours.0.days.Saturday": "yes"} if back else {}
    old = {"back": back, **below("loads.2", {**LOAD, **hours})}
    assert ask.post("/do/add-load", below("loads.2", {**LOAD, "name": "Lamp"})).status_code == 303
    wrong = ask.post("/do/add-load", {**old, "loads.2.rating": "much"})
    assert wrong.status_code == 422
    stands = shown(wrong.text, "new-load")
    ticked = "loads.3.hours.0.days.Saturday"
    kept = below("loads.3", {**LOAD, **hours, "rating": "much"})
    kept.pop(ticked, None)
    assert {name: stands[name] for name in kept} == kept
    assert (f'name="{ticked}" value="yes" checked' in wrong.text) is bool(back)
    assert ask.post("/do/add-load", old).status_code == 303
    lamp, kiln = spec(ask).loads[2:]
    assert (lamp.name, kiln.name, kiln.rating_w, kiln.note) == ("Lamp", "Kiln", 3000, "In the shed")
    assert [(one.begins.hour, one.ends.hour, one.days) for one in kiln.runs] == ([(6, 10, ("Saturday",))] if back else [])


def test_hours_until_midnight_as_people_write_it(ask: Asked) -> None:
    """The end of a day may be written 24:00, as the survey of the phone has it; a beginning may not, and is told how to."""
    form = below("loads.0", {"hours.0.from": "22:00", "hours.0.until": "24:00"})
    assert ask.post("/do/set", {"group": "hours-0", **form}).status_code == 303
    assert [(one.begins, one.ends) for one in spec(ask).loads[0].runs] == [(dt.time(22), dt.time(0))]
    wrong = ask.post("/do/set", {"group": "hours-0", **form, "loads.0.hours.0.from": "24:00"})
    assert wrong.status_code == 422
    assert "midnight is 00:00" in wrong.text


def test_a_charge_of_a_tariff_from_an_old_page_stands_in_its_fields(tmp_path: Path) -> None:
    """A tariff is changed on the state that the page showed alone: it is told, and what was typed stays."""
    ask = asked_of(tmp_path, PLAIN)
    ask.post("/do/simple-tariff", {"currency": "EUR", "price": "0.25", "standing": "9", "source": ""})
    base = str(ask.store.head(ask.job).number)
    levy = {"levy.0.label": "Tax", "levy.0.price": "0.05"}
    assert of_tariff(ask, "add-tariff-entry", {"many": "levy"}, levy).status_code == 303
    late = of_tariff(ask, "add-tariff-entry", {"many": "levy"}, {**levy, "levy.0.label": "Network"}, base=base)
    assert late.status_code == 409
    stands = shown(late.text, "new-levy")
    assert (stands["tariff.0.levy.1.label"], stands["tariff.0.levy.1.price"]) == ("Network", "0.05")


@pytest.mark.parametrize(
    "names", [("pv.x.peak",), ("pv.1.peak", "pv.2.peak"), ("pv.12345.peak",), ("pv.².peak",), ("roof.0.peak",), ()]
)
def test_names_that_no_form_of_ours_sends_stay(names: tuple[str, ...]) -> None:
    """No place, several, one beyond any list, none of the list: left as they came."""
    given = Posted(dict.fromkeys(names, "6"), {})
    assert given.placed("pv", 7) == given
