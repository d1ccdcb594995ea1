"""Tables on a terminal: figures never break, and what does not fit stands as a list."""

import pytest

from wattwright.cli.tables import new_console, rows
from wattwright.core.show import Show
from wattwright.supply.sizing.table import share_told, without_noughts

HEAD = ("Option", "inverter", "battery", "PV", "unserved", "to buy\nEUR", "over the\nyears\nEUR", "beside\nas it is\nEUR")
ROW = ("Battery alone (the least that carries it)", "15 kVA", "25 kWh", "none", "0 %", "13,900", "175,101", "118,619 more")


def lines(capsys, monkeypatch, width, *told):
    monkeypatch.setenv("COLUMNS", str(width))
    rows(new_console(), told)
    return [one.rstrip() for one in capsys.readouterr().out.splitlines()]


def test_a_long_name_wraps_and_no_figure_does(capsys, monkeypatch):
    """At 80 columns eight of them stand side by side; only the name takes more than one line."""
    made = lines(capsys, monkeypatch, 80, HEAD, ROW)
    assert max(map(len, made)) <= 80
    (figures,) = [one for one in made if "15 kVA" in one]
    assert figures.endswith("15 kVA  25 kWh none      0 % 13,900  175,101 118,619 more")
    assert [one.split("  ")[0] for one in made[3:]][:2] == ["Battery alone (the", "least that carries"]


def test_trips_have_room_beside_it(capsys, monkeypatch):
    """With a ninth column the name gives way first, and the table stays one."""
    head, row = (*HEAD[:5], "trips", *HEAD[5:]), (*ROW[:5], "1,551", *ROW[5:-1], "18,619 more")
    made = lines(capsys, monkeypatch, 80, head, row)
    assert max(map(len, made)) <= 80
    assert sum("1,551" in one and "18,619 more" in one for one in made) == 1


def test_what_does_not_fit_stands_as_a_list_under_its_heads(capsys, monkeypatch):
    """In a narrow window each row has its name above, and each figure its head beside it on one line."""
    made = lines(capsys, monkeypatch, 50, HEAD, ROW)
    assert made[0] == "  Battery alone (the least that carries it)"
    assert "    beside as it is EUR  118,619 more" in made
    assert max(map(len, made)) <= 50


def test_a_reason_may_wrap(capsys, monkeypatch):
    """What is longer than a figure is prose: it breaks between words, and the table stays one."""
    made = lines(capsys, monkeypatch, 50, ("What", "for", "cost"), ("relay", "each contactor bears at least 8.70 A", "120 EUR"))
    assert made[0].startswith("What")
    assert max(map(len, made)) <= 50
    assert sum("120 EUR" in one for one in made) == 1


@pytest.mark.parametrize(("cells", "width"), [(("0", "0"), 2), (("0", "3"), 3)])
def test_a_column_of_noughts_is_left_out(cells, width):
    """Trips of nobody are no news; one that trips keeps the column for all."""
    made = without_noughts([("Option", "trips", "PV"), ("a", cells[0], "x"), ("b", cells[1], "y")], "trips")
    assert {len(one) for one in made} == {width}
    assert [one[-1] for one in made] == ["PV", "x", "y"]
    assert without_noughts([("Option", "PV")], "trips") == [("Option", "PV")]


def test_a_share_too_small_to_show_does_not_stack_the_options(capsys, monkeypatch):
    """In words it took so many letters that at 80 columns every option stood as a list."""
    cell = share_told(4e-4, Show("en_GB", "SI", "UTC"), brief=True)
    row = ("Battery and PV, 24 kWh", "15 kVA", "24 kWh", "8 kWp", cell, "17,610", "73,249", "17,742 more")
    made = lines(capsys, monkeypatch, 80, HEAD, row)
    assert any("15 kVA" in one and "17,742 more" in one for one in made)
