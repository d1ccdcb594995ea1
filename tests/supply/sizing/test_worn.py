"""What a quote tells beside its first day: its battery when it is worn, options nobody would live with, bills by their names."""

from dataclasses import replace

import pytest

from tests.supply.sizing.sites import asking, way
from tests.supply.sizing.test_options import BACKUP, PRICES, SHOW, asked
from wattwright.supply.sizing.confirm import confirmed
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.options import left_out_line, options, worn_line
from wattwright.supply.sizing.quote import of_worn, quote
from wattwright.supply.sizing.seek import seeker
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.table import size_rows


@pytest.fixture(scope="module")
def alone():
    """A site without a grid that may lack 5 %."""
    return quote(asked("stand-alone", unserved="5 %"), way(), None)


@pytest.fixture(scope="module")
def backup():
    """A site to be carried for two hours."""
    return quote(asked(BACKUP, 2 * 3600.0), way(), None)


def test_a_worn_battery_holds_less_and_gives_what_it_did(alone, backup):
    """By the engine itself, with a battery of four fifths whose power stays: told in the quote, and as the engine is asked."""
    for made, ask in ((alone, asked("stand-alone", unserved="5 %")), (backup, asked(BACKUP, 2 * 3600.0))):
        site = seeker(ask, way())
        power_w, left_wh = made.size.battery_wh / ask.hours, 0.8 * made.size.battery_wh
        assert made.worn.size == replace(made.size, battery_wh=left_wh)
        store = replace(site.plant.store, hours=left_wh / power_w)
        by_hand = confirmed(replace(site.plant, store=store), way(), site.free_w, made.worn.size, site.grid)
        assert made.worn.lpsp == pytest.approx(by_hand.lpsp)
        assert made.worn.lpsp >= made.quoted.lpsp
        told = quote_json(made, SHOW)["worn"]
        assert (told["battery_left"], told["lpsp"]) == (0.8, round(made.worn.lpsp, 9))
    sooner = quote(asked("stand-alone", unserved="5 %", wear={"end_share": "60 %"}), way(), None)
    assert sooner.worn.size.battery_wh == pytest.approx(0.6 * sooner.size.battery_wh)


def test_a_size_at_its_limit_on_day_one_is_told(alone, backup):
    """What does it new and no more when worn is a finding with both figures; what still does it is none."""
    for lpsp, trips, told in ((0.0, 0, False), (0.05, 0, False), (0.08, 0, True)):
        worn = replace(alone.worn, lpsp=lpsp, trips=trips)
        assert bool(list(of_worn(replace(alone, worn=worn)))) == told
    (said,) = of_worn(replace(alone, worn=replace(alone.worn, lpsp=0.08)))
    words = said.says(SHOW).replace("\u202f", " ")
    assert words.startswith("With its battery worn to 80 % of what it holds, 8 % of what is wanted without the grid is not there")
    assert words.endswith("; 5 % was asked.")
    # Beside what was asked it has the digits that tell them apart, in finding and line alike.
    near = replace(alone, worn=replace(alone.worn, lpsp=0.05012, trips=0))
    (said,) = of_worn(near)
    assert "5.01\u202f% of what is wanted without the grid is not there; 5\u202f% was asked." in said.says(SHOW)
    assert "5.01\u202f% of what is wanted is not there" in worn_line(near, SHOW)
    # A battery of 1 / 0.8 holds when worn what it holds now: a quarter more.
    assert "larger by 25\u202f%" in said.do(SHOW)
    assert not list(of_worn(replace(alone, worn=None)))
    assert not list(of_worn(replace(alone, quoted=replace(alone.quoted, lpsp=0.06), worn=replace(alone.worn, lpsp=0.08))))


def test_what_a_worn_battery_leaves_is_said_in_words(alone, backup):
    """Share and hours of dark, in outages as without a grid; a trip is told as one; without a battery nothing."""

    def of(made, **found):
        return worn_line(replace(made, worn=replace(made.worn, **found)), SHOW).replace("\u202f", " ")

    begins = "With its battery worn to 80 % of what it holds when new, its power as when new,"
    assert of(alone, lpsp=0.0, trips=0) == f"{begins} all that is wanted is still there."
    assert of(backup, lpsp=0.0, trips=0) == f"{begins} all that is wanted in the outages tried is still there."
    dark = of(backup, lpsp=0.042, dark_s=11_000.0, trips=0)
    assert dark == f"{begins} 4.2 % of what is wanted in the outages tried is not there: the site is dark for 3 h 3 min."
    assert of(alone, lpsp=1e-4, dark_s=20.0, trips=0).endswith("the site is dark for less than 1 min.")
    assert of(alone, trips=3).endswith("it trips 3 times in what was tried.")
    grid = quote(asked(), way(), None)
    assert (grid.worn, worn_line(grid, SHOW), quote_json(grid, SHOW)["worn"]) == (None, "", None)


def test_what_nobody_would_live_with_fills_no_table(alone):
    """Without a grid options leave a tenth undone at most, or twice what was asked; how many are left out is said."""
    sized = alone.today
    shares = [one.least for one in sized.front if not one.found.size.is_nothing]
    assert len(shares) > 1
    assert max(shares) < 0.15  # the screen of quarter hours is near the engine
    assert sized.left_out > 0
    assert quote_json(alone, SHOW)["without_plan"]["left_out"] == sized.left_out
    told = f"{sized.left_out} cheaper sizes leaving more than 10\u202f% of what is wanted undone are not shown."
    assert left_out_line(alone, sized, SHOW) == told
    assert left_out_line(alone, replace(sized, left_out=1), SHOW).startswith("One cheaper size leaving more than")
    assert left_out_line(alone, replace(sized, left_out=0), SHOW) == ""
    assert asking("stand-alone").most_undone == 0.1
    assert asking("stand-alone", unserved="30 %").most_undone == pytest.approx(0.6)
    # Outages of a grid are another matter: PV alone leaves them all dark, and is an option.
    assert quote(asked(BACKUP, 2 * 3600.0), way(), None).today.left_out == 0


def test_where_nothing_can_be_lived_with_the_nearest_is_told():
    """A battery of 1 Wh does nothing for a site: its options are shown, however much they leave undone."""
    none = quote(asking("stand-alone", prices={**PRICES, "currency": "EUR"}, steps=2, battery_most="500 Wh"), way(), None)
    assert none.today.left_out == 0
    assert any(one.least > none.most_undone for one in none.today.front if not one.found.size.is_nothing)


def test_the_site_as_it_is_stands_once_without_a_grid():
    """Under a plan too it is as dark where nothing is bought."""
    made = quote(asked("stand-alone", unserved="5 %"), way(), way(("pump",), alone=True))
    assert all(one.bought > 0.0 for one in options(made, made.plan, SHOW))


def test_one_bill_has_one_name(backup):
    """What costs over the years rest on is `bill`; that of a stretch with the outages a size is tried on is named so."""
    told = quote_json(backup, SHOW)
    as_is = told["as_it_is"]
    # 20 years at 3 %: 14.8775 of a year's bill; the week is 1 of 52.14.
    assert as_is["owned"] == pytest.approx(14.8775 * as_is["bill"] * 8760.0 / (7 * 24), rel=1e-4)
    assert as_is["bill_with_tried_outages"] < as_is["bill"]
    assert told["bare"]["bill"] == as_is["bill"]
    assert not any("bill" in one for one in (*told["cases"], *told["suns"], told["without_plan"]))
    assert told["quoted_owned"] == round(backup.owned, 2)


def test_what_is_quoted_is_bought_again_when_it_is_worn(backup):
    """By hand: the whole inverter of 12 years twice in 20, not that of the plan and the difference once."""
    prices = {**PRICES, "battery_years": 20, "pv_kw": "90000"}
    made = quote(asked(BACKUP, 2 * 3600.0, prices), way(), way(("tank", "pump")))
    assert made.plan.size.inverter_va < made.size.inverter_va
    size, saved = made.size, made.bare.bill - made.usual.bill
    fading = (1.0 - (0.995 / 1.03) ** 20) / 0.035
    parts = 300.0 + 240.0 + 0.3 * size.battery_wh + 0.2 * size.inverter_va * (1.0 + 1.03**-12)
    bills = (14.8775 * made.bare.bill - fading * saved) * 8760.0 / (7 * 24)
    assert made.owned == pytest.approx(parts + bills, rel=1e-4)


def test_what_a_load_lacks_says_over_what_time(backup):
    """A figure never stands without its period: of this week, of a day, of a year."""
    lacks = (("tank", 12.0, "litre"),)
    today = replace(backup.today, found=replace(backup.today.found, lacks=lacks))
    lacking = replace(backup, quoted=replace(backup.quoted, lacks=lacks), today=today)
    for days, words in ((7.0, "in 7 days"), (365.0, "in a year"), (1.0, "in a day")):
        rows = size_rows(replace(lacking, stretch_days=days), {"tank": "Tank"}, SHOW)
        assert [one[0] for one in rows if "lacks" in one[0]] == [f"Tank lacks, {words}"]


def test_sizes_without_a_battery_have_none_to_wear():
    """PV alone carries nothing."""
    assert seeker(asked(BACKUP, 2 * 3600.0), way()).worn(Size(4000.0, 0.0, 4000.0)) is None
