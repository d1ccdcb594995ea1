"""A tariff in full by forms: periods with their prices, seasons, charges; checked whole, told beside the field, taken back."""

from pathlib import Path

import pytest

from tests.handover.kit import PLAIN, hours
from tests.web.conftest import Asked, asked_of
from tests.web.test_answers import plain
from tests.web.test_details import shown
from tests.web.test_rules_of_today import at
from wattwright.tariff.load import parse_tariff

PERIODS = {
    "rest": "day", "window.1.period": "night", "window.1.from": "22:00", "window.1.to": "7:00",
    "energy.0.price": "", "energy.0.prices.0.period": "day", "energy.0.prices.0.price": "0,31",
    "energy.0.prices.2.period": "night", "energy.0.prices.2.price": "0.12",
}  # fmt: skip


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job that has a tariff of one price."""
    made = asked_of(tmp_path, PLAIN)
    assert made.post("/do/simple-tariff", {"currency": "EUR", "price": "0.25", "standing": "9", "source": ""}).status_code == 303
    return made


def posted(ask: Asked, action: str, what: dict[str, str], values: dict[str, str], **more: str):
    """The answer to a form of the tariff."""
    return ask.post(f"/do/{action}", {"file": "0", "entry": "0", **what, **at("tariff.0", values), **more})


def text(ask: Asked) -> str:
    """The tariff file of the job."""
    return ask.store.content(ask.opened.revision.files["tariff.toml"]).decode()


def tariff(ask: Asked):
    """The tariff as it is now."""
    return parse_tariff(text(ask)).tariffs[0].versions[0]


def test_one_price_becomes_periods(ask: Asked) -> None:
    """In one form, since neither is whole without the other; empty lines say nothing, and undo takes it back."""
    assert "/tariff?look=0-0" in ask("/tariff").text
    before = text(ask)
    answer = posted(ask, "set-tariff", {"group": "periods"}, PERIODS)
    assert answer.headers["location"].endswith("/tariff?look=0-0#periods")
    made = tariff(ask)
    assert made.periods == ("night", "day")
    assert (made.windows[0].start, made.windows[0].end) == (22 * 60, 7 * 60)
    assert {name: str(price) for name, price in made.energy[0].prices.items()} == {"day": "0.31", "night": "0.12"}
    now, stands = ask.store.head(ask.job), shown(ask("/tariff?look=0-0").text, "periods")
    assert posted(ask, "set-tariff", {"group": "periods"}, {}, **stands).status_code == 303
    assert ask.store.head(ask.job) == now
    ask.post("/do/undo", {"sheet": "tariff"})
    assert text(ask) == before


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"energy.0.prices.2.price": "cheap"}, "energy.0.prices.1.price"),
        ({"window.1.from": "25:00"}, "window.0.from"),
    ],
)
def test_a_wrong_entry_is_told_beside_its_field(ask: Asked, change: dict[str, str], field: str) -> None:
    """Nothing is saved and nothing typed is lost; a price by name is told at the line that has the name."""
    before = ask.store.head(ask.job)
    answer = posted(ask, "set-tariff", {"group": "periods"}, PERIODS | change)
    assert answer.status_code == 422
    assert f'class="field wrong">\n<label for="periods.tariff.0.{field}"' in answer.text
    assert shown(answer.text, "periods")["tariff.0.energy.0.prices.1.period"] == "night"
    assert 'id="new-levy"' in answer.text
    assert ask.store.head(ask.job) == before


def test_what_does_not_hold_together_is_told(ask: Asked) -> None:
    """A period without a price cannot be billed: told above the forms, with what was typed."""
    none = {"energy.0.prices.2.period": "", "energy.0.prices.2.price": ""}
    answer = posted(ask, "set-tariff", {"group": "periods"}, PERIODS | none)
    assert answer.status_code == 422
    assert "night" in plain(answer)
    assert shown(answer.text, "periods")["tariff.0.window.0.period"] == "night"


def test_charges_are_added_changed_and_taken_out(ask: Asked) -> None:
    """Each kind of charge, a season with its days, a table within an entry; what is not one of them is refused."""
    posted(ask, "set-tariff", {"group": "periods"}, PERIODS)
    for many, values in (
        ("season", {"season.0.name": "winter", "season.0.ranges.1.from": "11-01", "season.0.ranges.1.to": "03-31"}),
        ("demand", {"demand.0.label": "Peak", "demand.0.price": "2.8", "demand.0.window": "30", "demand.0.window.unit": "min",
                    "demand.0.periods.day": "yes", "demand.0.ratchet.share": "0.8", "demand.0.ratchet.months": "11"}),
        ("levy", {"levy.0.label": "Tax", "levy.0.percent": "13"}),
        ("levy", {"levy.1.label": "Network", "levy.1.price": "0.017"}),
        ("fixed", {"fixed.1.label": "Meter", "fixed.1.price": "2", "fixed.1.per": "month"}),
        ("reactive", {"reactive.0.label": "Reactive", "reactive.0.price": "0.03", "reactive.0.free_share": "0.5"}),
        ("entered", {"entered.0.label": "Rounding", "entered.0.amount": "-0.5"}),
    ):  # fmt: skip
        answer = posted(ask, "add-tariff-entry", {"many": many}, values)
        assert answer.status_code == 303, (many, plain(answer))
        assert answer.headers["location"].endswith(f"#new-{many}")
    made = tariff(ask)
    assert (made.seasons[0].ranges[0].first, made.demand[0].window_s, made.demand[0].ratchet.months) == (1101, 1800, 11)
    assert made.demand[0].periods == ("day",)
    page = ask("/tariff?look=0-0").text
    assert '<span class="own-unit">EUR/kvarh</span>' in page
    assert 'name="tariff.0.window.0.seasons.winter"' in page
    stands = shown(page, "levy-1")
    assert posted(ask, "set-tariff", {"group": "levy-1"}, {"levy.1.price": "0.02"}, **{
        name: one for name, one in stands.items() if not name.endswith("price")}).status_code == 303  # fmt: skip
    assert str(tariff(ask).levies[1].price) == "0.02"
    posted(ask, "remove-tariff-entry", {"many": "levy", "index": "0"}, {})
    assert [one.label for one in tariff(ask).levies] == ["Network"]
    export = {"export.label": "Feed-in", "export.price": "0.08", "export.netting": "none"}
    assert posted(ask, "set-tariff", {"group": "export"}, export).status_code == 303
    assert str(tariff(ask).export.price) == "0.08"
    assert posted(ask, "set-tariff", {"group": "export"}, {"export.label": "", "export.price": "", "export.netting": "none"})
    assert tariff(ask).export is None


def test_taken_out_only_where_the_rest_holds(ask: Asked) -> None:
    """A tariff without any price of energy is none: the charge stays, and the reason is told."""
    before = ask.store.head(ask.job)
    answer = posted(ask, "remove-tariff-entry", {"many": "energy", "index": "0"}, {})
    assert answer.status_code == 422
    assert "Not saved yet" in plain(answer)
    assert ask.store.head(ask.job) == before


def test_two_tabs(ask: Asked) -> None:
    """What another tab saved since is not written over; what was typed is kept."""
    late = posted(ask, "set-tariff", {"group": "periods"}, PERIODS, base="1")
    assert late.status_code == 409
    assert shown(late.text, "periods")["tariff.0.rest"] == "day"
    assert posted(ask, "remove-tariff-entry", {"many": "energy", "index": "0"}, {}, base="1").status_code == 409


@pytest.mark.parametrize(
    ("action", "values"),
    [
        ("set-tariff", {"group": "none"}), ("set-tariff", {"group": "levy-0"}), ("set-tariff", {"group": "levy-x"}),
        ("set-tariff", {"group": "periods", "file": "3"}), ("set-tariff", {"group": "periods", "entry": "1"}),
        ("add-tariff-entry", {"many": "none"}), ("remove-tariff-entry", {"many": "levy", "index": "0"}),
        ("remove-tariff-entry", {"many": "periods", "index": "0"}),
    ],
)  # fmt: skip
def test_what_is_no_entry_is_refused(ask: Asked, action: str, values: dict[str, str]) -> None:
    """Names and places that there are not are told in one sentence, and nothing changes."""
    before = ask.store.head(ask.job)
    answer = posted(ask, action, {}, {}, **values)
    assert answer.status_code == 422
    assert "no such entry" in plain(answer)
    assert ask.store.head(ask.job) == before


def test_a_file_that_cannot_be_read_has_no_forms(tmp_path: Path) -> None:
    """The page tells what is wrong with it; no form is made of it, and none of a tariff that there is not."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(PLAIN + '[tariff]\nfiles = ["wrong.toml"]\n')
    (folder / "readings.csv").write_text(hours([2.5, 3.0] * 48))
    (folder / "wrong.toml").write_text("[[tariff]\n")
    ask = Asked(folder)
    for page in ("/tariff", "/tariff?look=0-0", "/tariff?look=none"):
        answer = ask(page)
        assert answer.status_code == 200
        assert "look=0-0" not in answer.text
        assert 'id="upload"' in answer.text
