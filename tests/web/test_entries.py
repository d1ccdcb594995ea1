"""Entries a job may have several of, and tables it may do without: added, changed and taken out by forms of their specs."""

from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked, asked_of
from tests.web.test_answers import plain
from tests.web.test_details import shown, spec
from wattwright.job.edit import Edit
from wattwright.job.file import load_job
from wattwright.web.entries import MANY, entry_group

ROOF = {
    "peak": "6", "peak.unit": "kW", "tilt_deg": "30", "azimuth_deg": "180", "losses.soiling": "4", "losses.soiling.unit": "%",
}  # fmt: skip
STRINGS = {
    "rules": "iec", "series": "9", "parallel": "2", "building": "dwelling", "coldest": "-5", "hottest": "38",
    "module.peak": "400", "module.open": "41.5", "module.working": "34.4", "module.short": "12.2", "module.at_work": "11.6",

    "module.open_per_k": "-0.28", "module.working_per_k": "-0.36", "module.system": "1000", "module.fuse": "20",
    "tracker.most_voltage": "600",
    "tracker.window_low": "90", "tracker.window_high": "550", "tracker.input_current": "26", "tracker.short": "32",
    "tracker.ac": "6000",
}  # fmt: skip
UNITS = {
    "degC": ("coldest", "hottest"), "W": ("module.peak", "tracker.ac"), "%": ("module.open_per_k", "module.working_per_k"),
    "V": ("module.open", "module.working", "module.system", "tracker.most_voltage", "tracker.window_low", "tracker.window_high"),
    "A": ("module.short", "module.at_work", "module.fuse", "tracker.input_current", "tracker.short"),
}  # fmt: skip
STRINGS |= {f"{name}.unit": unit for unit, names in UNITS.items() for name in names}
"""Figures of an invented module and tracker, as such have them."""


def below(at: str, values: dict[str, str]) -> dict[str, str]:
    """The values as the form of the entry sends them."""
    return {f"{at}.{name}": value for name, value in values.items()}


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job of readings alone."""
    return asked_of(tmp_path, PLAIN)


def test_arrays_are_added_changed_and_taken_out(ask: Asked) -> None:
    """A second array gets the second place, its losses a table of their own; with the last one the list goes."""
    assert "A PV array that is there: add one" in plain(ask("/supply"))
    answer = ask.post("/do/add-entry", {"many": "pv", **below("pv.0", ROOF)})
    assert answer.headers["location"].endswith("/supply#new-pv")
    assert ask.post("/do/add-entry", {"many": "pv", **below("pv.1", {**ROOF, "peak": "2"})}).status_code == 303
    first, second = spec(ask).pv
    assert (first.peak_w, first.tilt_deg, first.losses.soiling, second.peak_w) == (6000, 30, 0.04, 2000)
    assert "A PV array that is there (2)" in plain(ask("/supply"))
    stands = shown(ask("/supply").text, "pv-1")
    assert (stands["pv.1.peak"], stands["pv.1.losses.soiling"]) == ("2", "4")
    assert ask.post("/do/set", {"group": "pv-1", **stands, "pv.1.peak": "3", "pv.1.losses.soiling": ""}).status_code == 303
    assert (spec(ask).pv[1].peak_w, spec(ask).pv[1].losses.soiling) == (3000, 0.02)
    ask.post("/do/remove-entry", {"many": "pv", "index": "0"})
    assert [one.peak_w for one in spec(ask).pv] == [3000]
    ask.post("/do/remove-entry", {"many": "pv", "index": "0"})
    assert "pv" not in ask.opened.revision.text
    ask.post("/do/undo", {"sheet": "supply"})
    assert [one.peak_w for one in spec(ask).pv] == [3000]


def test_strings_with_module_and_tracker(ask: Asked) -> None:
    """The module and the tracker are tables within the entry; what is missing is told at its field, and nothing is added."""
    assert ask.post("/do/add-entry", {"many": "pv", **below("pv.0", ROOF)}).status_code == 303
    without = {name: value for name, value in STRINGS.items() if name != "module.open"}
    wrong = ask.post("/do/add-entry", {"many": "strings", **below("strings.0", without)})
    assert wrong.status_code == 422
    assert 'class="field wrong">\n<label for="strings.0.module.open"' in wrong.text
    assert not spec(ask).strings
    assert ask.post("/do/add-entry", {"many": "strings", **below("strings.0", STRINGS)}).status_code == 303
    (one,) = spec(ask).strings
    assert (one.module.open_v, one.tracker.ac_w, one.series, one.parallel) == (41.5, 6000, 9, 2)


def test_entries_below_a_table(ask: Asked) -> None:
    """A roof to quote for lies below the quote, where a source is isolated below the island, a bill at the top."""
    assert ask.post("/do/add-entry", {"many": "roof", **below("quote.pv.0", ROOF)}).status_code == 303
    there = {"source": "battery", "where": "Garage", "lockable": "yes"}
    assert ask.post("/do/add-entry", {"many": "isolation", **below("island.isolation.0", there)}).status_code == 303
    bill = {"from": "2025-01-01", "until": "2025-02-01", "energy": "310", "energy.unit": "kWh"}
    answer = ask.post("/do/add-entry", {"many": "bill", **below("bills.0", bill)})
    assert answer.headers["location"].endswith("/tariff#new-bill")
    said = spec(ask)
    assert (said.quote.pv[0].peak_w, said.island.isolation[0].lockable, said.bills[0].paid_wh) == (6000, True, 310_000)
    ask.post("/do/remove-entry", {"many": "roof", "index": "0"})
    assert "quote" not in ask.opened.revision.text


def test_a_table_the_job_may_do_without(ask: Asked) -> None:
    """A battery half said is told where; said, it is there; with nothing in its fields there is none."""
    values = {"inverter.rating": "5", "inverter.rating.unit": "kVA", "battery.capacity": "10", "battery.capacity.unit": "kWh"}
    values |= {"battery.charge_power": "5", "battery.charge_power.unit": "kW"}
    wrong = ask.post("/do/set", {"group": "inverter", **values})
    assert wrong.status_code == 422
    assert 'class="field wrong">\n<label for="battery.discharge_power"' in wrong.text
    values |= {"battery.discharge_power": "4", "battery.discharge_power.unit": "kW"}
    assert ask.post("/do/set", {"group": "inverter", **values}).status_code == 303
    assert spec(ask).battery.discharge_w == 4000
    stands = {**shown(ask("/supply").text, "inverter"), **dict.fromkeys(values, "")}
    assert ask.post("/do/set", {"group": "inverter", **stands}).status_code == 303
    assert (spec(ask).battery, spec(ask).inverter) == (None, None)


def test_lists_of_words_are_lines(ask: Asked) -> None:
    """What must stay as it is stands one to a line, is shown so again, and saved as it stands changes nothing."""
    told = {"measurement.static_factors": "Four rooms let\n\n  Open from 8 to 18  \n"}
    assert ask.post("/do/set", {"group": "measurement", **told}).status_code == 303
    assert spec(ask).measurement.static_factors == ("Four rooms let", "Open from 8 to 18")
    page = ask("/proof").text
    assert "Four rooms let\nOpen from 8 to 18</textarea>" in page
    before, again = ask.store.head(ask.job), {"measurement.static_factors": "Four rooms let\r\nOpen from 8 to 18"}
    stands = {**shown(page, "measurement"), **again}
    assert ask.post("/do/set", {"group": "measurement", **stands}).status_code == 303
    assert ask.store.head(ask.job) == before


def test_an_agreed_adjustment(ask: Asked) -> None:
    """Added on the page of the proof; one that is neither left out nor an energy is told."""
    event = {"from": "2025-03-01", "until": "2025-03-15", "why": "Kitchen closed", "agreed_by": "Owner and adviser"}
    assert ask.post("/do/add-entry", {"many": "adjustment", **below("adjustments.0", event)}).status_code == 422
    event["leave_out"] = "yes"
    answer = ask.post("/do/add-entry", {"many": "adjustment", **below("adjustments.0", event)})
    assert answer.headers["location"].endswith("/proof#new-adjustment")
    (one,) = spec(ask).adjustments
    assert (one.leave_out, one.a_day_wh, one.why) == (True, None, "Kitchen closed")


@pytest.mark.parametrize(("entry", "sheet"), [("weather.file", "plan"), ("measurement.weather", "proof")])
def test_a_weather_file_is_named_by_the_job(ask: Asked, entry: str, sheet: str) -> None:
    """It lies in the job under a name of its own, and the entry names it; without a file that is said."""
    file = [("files", ("../air 2025.csv", b"time,temp_air degC\n2025-01-01 00:00,4\n2025-01-01 01:00,5\n"))]
    none = ask.post("/do/add-weather", {"entry": entry})
    assert none.status_code == 422
    assert "Choose a file" in plain(none)
    assert ask.post("/do/add-weather", {"entry": "place"}, file).status_code == 422
    for _ in range(2):
        answer = ask.post("/do/add-weather", {"entry": entry}, file)
        assert answer.headers["location"].endswith(f"/{sheet}#{entry}")
    said = spec(ask).weather.file if sheet == "plan" else spec(ask).measurement.weather
    assert said in ask.store.head(ask.job).files
    assert len(ask.store.head(ask.job).files) == 3
    ask.post("/do/undo", {"sheet": sheet})
    ask.post("/do/undo", {"sheet": sheet})
    assert len(ask.store.head(ask.job).files) == 1


def test_what_is_no_entry_is_refused(ask: Asked) -> None:
    """Names and places that there are not are told in one sentence, and nothing changes."""
    before = ask.store.head(ask.job)
    for action, values in (
        ("add-entry", {"many": "none"}), ("add-entry", {}), ("remove-entry", {"many": "pv", "index": "0"}),
        ("remove-entry", {"many": "files", "index": "0"}), ("set", {"group": "pv-0"}), ("set", {"group": "pv-x"}),
    ):  # fmt: skip
        answer = ask.post(f"/do/{action}", values)
        assert answer.status_code == 422
        assert "no such entry" in plain(answer)
    late = ask.post("/do/remove-entry", {"many": "pv", "index": "0", "base": "99"})
    assert late.status_code == 409
    assert ask.store.head(ask.job) == before


def test_lists_are_those_of_the_job(tmp_path: Path) -> None:
    """Each kind names a list that a job has, and its group is found by its id once the entry is there."""
    (tmp_path / "job.toml").write_text(PLAIN)
    assert load_job(tmp_path).spec.pv == ()
    for many in MANY.values():
        edit = Edit(PLAIN)
        assert entry_group(f"{many.id}-0", edit) is None
        edit.append(many.entry, {"kind": many.kind} if many.kind else {})
        assert many.count(edit) == 1
        assert entry_group(f"{many.id}-0", edit) == many.group(0)
        edit.remove(many.entry, 0)
        assert edit.value(many.entry) is None


def test_a_bound_is_written_out(ask: Asked) -> None:
    """Of the units beside a field the one is taken in which the bound is a plain number: 10 MWh is 10000 kWh, not 1e+07 Wh."""
    told = plain(ask("/supply"))
    assert "at most 10000 kWh" in told
    assert "e+" not in told
