"""Options side by side: their figures, what they are worth, how far they may be trusted, and their settings in words."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from tests.plan.cases import DEMAND, EXPORT, LEVY, TWO_PRICES, case, with_
from tests.plan.test_search import DAYTIME, FLAT, pump, tank
from wattwright.catalogue.load import generic_gear
from wattwright.core.fields import Held
from wattwright.core.labour import IN_TURN
from wattwright.core.progress import SILENT
from wattwright.core.seeds import Streams
from wattwright.core.show import Show
from wattwright.plan.bound.bound import bound
from wattwright.plan.case import OBJECTIVES
from wattwright.plan.families.plan import TODAY, Plan
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import WORKING, Line, Times
from wattwright.plan.gap import gap
from wattwright.plan.options import Asking, chosen, lukewarm, plan_for, untried
from wattwright.plan.robust import CHANGES, changed, drawn_years, on_held_out
from wattwright.plan.score import Breach, Scorer, breaches, held_out
from wattwright.plan.search import Effort, Found, Tried
from wattwright.plan.settings import settings
from wattwright.simulate.drivers import steady
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

GEAR = {one.id: one for one in generic_gear()}
DAYS = 49
A_SECOND = 2e-5
"""A contact that should close at the very start does so a second later: a share of the energy of some days."""


def seven_weeks():
    """A pump of 1 kW, four hours by day today, over seven weeks beside a rest that varies."""
    drivers = steady(1440 * DAYS, 2)
    minute = np.arange(1440 * DAYS)
    drivers.rest_w[:, 0] = 300.0 + 900.0 * np.random.default_rng(3).random(DAYS).repeat(1440) * (minute % 1440 > 600)
    drivers.uses[1, :, 0] = np.where(minute % 1440 // 20 == 57, 0.06, 0.0)
    return case([pump(), tank(loss_w_k=1.5)], days=DAYS, told=DAYTIME, drivers=drivers, text=TWO_PRICES + DEMAND)


@pytest.fixture(scope="module")
def planned():
    """The options of seven weeks."""
    return plan_for(seven_weeks(), generic_gear(), Asking(1, Effort(110), 5))


def test_options_stand_side_by_side(planned):
    """Today first; each saves what today costs less its own cost, no more than the bound leaves, and keeps its limits."""
    names = [one.name for one in planned.options]
    assert names[0] == "as today"
    assert names[-1] == "the best found"
    today = planned.options[0].tried.figures.value
    for one in planned.options[1:]:
        assert one.saving == pytest.approx(today - one.tried.figures.value)
        assert 0.0 < one.gap_share <= 1.0 + 1e-9
        assert not one.tried.breaches
        assert len(one.worth) == len(one.tried.plan)
    assert [one.saving for one in planned.options] == sorted(one.saving for one in planned.options)


def test_worth_is_what_is_lost_without_a_rule(planned):
    """Simulated anew without the rule, the plan costs so much more."""
    scorer, best = Scorer(planned.case), planned.best
    for place, worth in enumerate(best.worth):
        less = best.tried.plan.without(place)
        value = scorer.figures(scorer.run(less.control(planned.case.today))).value
        assert worth == pytest.approx(value - best.tried.figures.value)


def test_wear_counts_the_busiest_contact(planned):
    """Moves a day of the busiest contact; a contactor of 100,000 switchings lasts that many over half the moves of a year."""
    for one in planned.options[1:]:
        most = max(one.tried.figures.moves) / DAYS
        assert one.moves_a_day == pytest.approx(most)
        assert one.contact_years == pytest.approx(100_000 / (most * 365 / 2))


def test_settings_say_what_to_enter(planned):
    """Every rule has its controller, the lines to enter, a reason, a margin and a test."""
    told = settings(planned.case, planned.best)
    assert len(told) == len(planned.best.tried.plan)
    for one in told:
        assert one.entries
        assert one.controller in {gear.name for gear in generic_gear()}
        assert "EUR" in one.reason
        assert one.margin
        assert one.test.endswith(".")


def test_every_third_week_is_held_out():
    """Of seven weeks the second and the fifth; of two weeks none."""
    seen = held_out(seven_weeks()).reshape(DAYS, 1440)
    assert seen.all(axis=1).nonzero()[0].tolist() == [*range(7, 14), *range(28, 35)]
    assert seen.any(axis=1).sum() == 14
    assert not held_out(case([pump()], told=DAYTIME)).any()


def night(load="pump"):
    """A plan: the same four hours in the night."""
    return Plan((Times(load, GEAR["wall-timer"], (Line(0, 240),)),))


def test_savings_on_weeks_seen_and_not_seen():
    """4 kWh a day moved from 0.30 to 0.10 save 39.20 in seven weeks by both, by hand, so nothing is lost."""
    made = case([pump()], days=DAYS, told=DAYTIME)
    scorer = Scorer(made)
    today, then = (scorer.figures(scorer.run(one.control(made.today))) for one in (TODAY, night()))
    told = on_held_out(scorer, today, then)
    assert told.seen == pytest.approx(49 * 4 * 0.20, rel=A_SECOND)
    assert told.unseen == pytest.approx(49 * 4 * 0.20, rel=A_SECOND)
    assert told.lost == pytest.approx(0.0, abs=A_SECOND)
    assert on_held_out(Scorer(case([pump()], told=DAYTIME)), today, then) is None


def test_years_drawn_anew_hold_a_saving_that_never_changes():
    """Every week saves 5.60, so every year drawn from them does: the band is a point. Two weeks are too few."""
    made = case([pump()], days=DAYS, told=DAYTIME)
    scorer = Scorer(made)
    runs = [scorer.run(one.control(made.today)) for one in (TODAY, night())]
    band = drawn_years(scorer, *runs, Streams(1), draws=20)
    assert (band.low, band.mean, band.high) == pytest.approx((39.2, 39.2, 39.2), rel=A_SECOND)
    short = case([pump()], days=14, told=DAYTIME)
    assert (
        drawn_years(Scorer(short), *(Scorer(short).run(one.control(short.today)) for one in (TODAY, night())), Streams(1)) is None
    )


DEMAND_SAVED = 5.0 * (29 / 31 + 20 / 30)
"""A kW at 5 EUR, in March from the 3rd and in April to the 20th: a month begun costs its days' share."""


@pytest.mark.parametrize(
    ("objective", "text", "saves"), [("peak", None, 1.0), ("cost", TWO_PRICES + DEMAND + LEVY, 1.2 * (39.2 + DEMAND_SAVED))]
)
def test_a_peak_is_no_more_for_weeks_than_for_a_year(objective, text, saves):
    """Two kW at ten every day, without the pump's one: the peak and its charge are 1 kW less, whichever weeks tell it."""
    drivers = steady(1440 * DAYS, 1)
    drivers.rest_w[:, 0] = np.where(np.arange(1440 * DAYS) % 1440 // 60 == 10, 2000.0, 0.0)
    made = case([pump()], days=DAYS, told=DAYTIME, drivers=drivers, text=text, objective=objective)
    scorer = Scorer(made)
    today, then = (scorer.figures(scorer.run(one.control(made.today))) for one in (TODAY, night()))
    told = on_held_out(scorer, today, then)
    assert told.seen == pytest.approx(saves, rel=1e-3)
    assert told.unseen == pytest.approx(saves, rel=1e-3)
    assert today.value - then.value == pytest.approx(saves, rel=1e-3)


def test_darkness_counts_in_the_weeks_in_which_it_falls():
    """One outage of 4 h in the second week: outages are too few to hold any back, so a search sees it.

    A week drawn twice counts twice, one not drawn not at all: the quarter has seven weeks, so the band begins at nothing saved.
    """
    drivers = steady(1440 * DAYS, 1)
    drivers.rest_w[:, 0] = 500.0
    drivers.grid[1440 * 8 + 600 : 1440 * 8 + 840] = False
    battery = Battery(capacity_wh=Held(2000.0), charge_w=Held(2000.0), discharge_w=Held(2000.0), start=Held(1.0))
    supply = Supply(
        connection=Connection(), battery=battery, inverter=Inverter(rating_va=Held(3000.0), role="carries the site in outages")
    )  # fmt: skip
    made = case([pump()], days=DAYS, told=DAYTIME, drivers=drivers, supply=supply, objective="autonomy")
    scorer = Scorer(made)
    runs = [scorer.run(one.control(made.today)) for one in (TODAY, night())]
    today, then = (scorer.figures(one) for one in runs)
    saved = today.unserved_kwh - then.unserved_kwh
    # Kept for outages are 20 % of 2 kWh down to 10 %, 95 % of which arrive: 190 Wh, of which the pump takes 1000 W of 1500 W.
    assert saved == pytest.approx(0.190 * 1000.0 / 1500.0, rel=1e-3)
    assert on_held_out(scorer, today, then) is None
    assert today.fitted - then.fitted == pytest.approx(saved)
    # Whatever a plan is to reach, it may not leave more of the site in the dark.
    assert Breach("", "darkness", pytest.approx(saved - 0.05 - 0.01 * then.unserved_kwh)) in breaches(made, then, today)
    assert "darkness" not in {one.what for one in breaches(made, today, then)}
    band = drawn_years(scorer, *runs, Streams(1), draws=100)
    assert band.low == pytest.approx(0.0, abs=1e-9)
    assert band.high >= 2.0 * saved - 1e-6


def test_stores_count_in_years_drawn_anew():
    """One year that is nothing but the stretch itself, drawn: the saving by the plan's own figures lies within the band."""
    made = seven_weeks()
    scorer = Scorer(made)
    off = Plan((Times("tank", GEAR["wall-timer"], (Line(1320, 300),)),))
    runs = [scorer.run(one.control(made.today)) for one in (TODAY, off)]
    today, then = (scorer.figures(one).value for one in runs)
    band = drawn_years(scorer, *runs, Streams(1), draws=100)
    assert band.low <= today - then <= band.high


def test_weeks_are_drawn_within_a_season_of_the_tariff():
    """Cheap by night in March, by noon from April: a plan that follows both saves as much every week, so the band is narrow."""
    text = """rest = "day"
[[tariff.season]]
name = "winter"
ranges = [{ from = "10-01", to = "03-30" }]
[[tariff.season]]
name = "summer"
ranges = [{ from = "03-31", to = "09-30" }]
[[tariff.window]]
period = "cheap"
seasons = ["winter"]
from = "00:00"
to = "06:00"
[[tariff.window]]
period = "cheap"
seasons = ["summer"]
from = "14:00"
to = "18:00"
[[tariff.energy]]
label = "Energy"
prices = { day = "0.30", cheap = "0.10" }
"""
    made = case([pump()], days=DAYS, told=DAYTIME, text=text)
    lines = (Line(0, 240, months=(1, 2, 3)), Line(840, 1080, months=(4, 5, 6)))
    follows = Plan((Times("pump", GEAR["sun-timer"], lines),))
    scorer = Scorer(made)
    runs = [scorer.run(one.control(made.today)) for one in (TODAY, follows)]
    band = drawn_years(scorer, *runs, Streams(1), draws=30)
    # But for one day of 49: in the week from the 31st of March the season changes within.
    saved = sum(scorer.figures(one).value * sign for one, sign in zip(runs, (1, -1), strict=True))
    assert (band.low, band.high) == pytest.approx((saved, saved), rel=1.5 / 49)


def test_prices_use_and_weather_are_changed_one_at_a_time():
    """Prices 20 % higher save 20 % more, 20 % lower 20 % less; use and air do not touch a pump."""
    made = case([pump()], days=7, told=DAYTIME)
    (told,) = changed(made, (night(),), IN_TURN, SILENT)
    assert tuple(one.change for one in told) == CHANGES
    assert [one.saving for one in told] == pytest.approx([6.72, 4.48, 5.6, 5.6, 5.6, 5.6], rel=A_SECOND)
    assert all(one.kept for one in told)


def test_higher_prices_price_what_stores_hold_too():
    """Every price 20 % higher makes a plan of stores save just 20 % more; where no money counts, prices are not changed."""
    drivers = steady(1440 * 7, 1)
    drivers.uses[0, :, 0] = np.where(np.arange(1440 * 7) % 1440 // 20 == 57, 0.06, 0.0)
    made, off = (
        case([tank(loss_w_k=1.5)], days=7, drivers=drivers),
        Plan((Times("tank", GEAR["wall-timer"], (Line(1320, 300),)),)),
    )
    scorer = Scorer(made)
    saves = [scorer.figures(scorer.run(one.control(made.today))).value for one in (TODAY, off)]
    ((dear, cheap, *_),) = changed(made, (off,), IN_TURN, SILENT)
    assert dear.saving == pytest.approx(1.2 * (saves[0] - saves[1]))
    assert cheap.saving == pytest.approx(0.8 * (saves[0] - saves[1]))
    ((first, *others),) = changed(with_(made, weights=OBJECTIVES["peak"]), (off,), IN_TURN, SILENT)
    assert [first.change, *(one.change for one in others)] == list(CHANGES[2:])


def test_breaches_are_named():
    """Colder water, a tank never hot again, and fewer hours than are asked for."""
    made = seven_weeks()
    scorer = Scorer(made)
    today = scorer.figures(scorer.run(made.today))
    off = [{"id": "no", "load": "tank", "kind": "time programme", "times": [{"on": dt.time(0), "off": dt.time(0, 5)}]}]
    short = {**DAYTIME["rule"][0], "times": [{"on": dt.time(10), "off": dt.time(12)}]}
    control = made.today.model_validate({"rule": [*off, short]})
    found = breaches(made, today, scorer.figures(scorer.run(control)))
    assert {(one.load, one.what) for one in found} == {("tank", "comfort"), ("tank", "kept hot"), ("pump", "hours")}
    assert breaches(made, today, today) == ()
    assert Breach("pump", "hours", pytest.approx(2.0)) in found


def test_a_band_that_holds_no_saving_is_told(planned):
    """Findings follow the figures: of a plan cut short, far from the bound, lost on weeks not seen."""
    codes = {one.code for one in planned.findings}
    assert ("plan.far-from-bound" in codes) is (planned.best.gap_share < 0.8)
    assert ("plan.cut-short" in codes) is (not planned.found.finished)


def test_short_records_hold_nothing_out():
    """A few days: the finding says that the saving is of the very days it was fitted to."""
    planned = plan_for(case([pump()], told=DAYTIME), generic_gear(), Asking(2, Effort(70), 1))
    assert "plan.not-held-out" in {one.code for one in planned.findings}
    assert planned.best.band is None


def test_weights_join_objectives():
    """Money and peak together: the value is the sum of both, each times its weight."""
    from wattwright.plan.case import Weights

    made = with_(case([pump()], told=DAYTIME), weights=Weights(cost=2.0, peak=3.0))
    scorer = Scorer(made)
    told = scorer.figures(scorer.run(made.today))
    assert told.value == pytest.approx(2.0 * told.cost + 3.0 * told.peak_w / 1000.0)
    assert told.cost == pytest.approx(2.4)
    assert told.peak_w == pytest.approx(1000.0)


def test_weights_name_their_objective():
    """Each objective is told by its own weights, and several by any other."""
    from wattwright.plan.case import Weights

    assert {name: weights.objective for name, weights in OBJECTIVES.items()} == {name: name for name in OBJECTIVES}
    assert Weights(cost=2.0).objective == Weights(cost=1.0, peak=1.0).objective == "several"


@pytest.mark.parametrize(
    ("weights", "unit"),
    [({"cost": 1.0}, "EUR"), ({"peak": 1.0}, "kW"), ({"pv": 1.0}, "kWh"), ({"unserved": 1.0}, "kWh"), ({"peak": 2.0}, "points"),
     ({"cost": 1.0, "peak": 1.0}, "points")],
)  # fmt: skip
def test_a_value_has_the_unit_of_what_alone_weighs(weights, unit):
    """Money, kW or kWh where a single figure counts once; else it is points."""
    from wattwright.plan.case import Weights

    assert Weights(**weights).unit("EUR") == unit


def test_figures_carry_their_unit_and_the_days_they_are_of(planned):
    """Forty-nine days are no year, which is told; what is saved is told in money, not as a bare number."""
    told = {one.code: one.says(Show()) for one in planned.findings}
    assert "these 49 days, which are no year" in told["plan.not-a-year"]
    for code in {"plan.far-from-bound", "plan.not-sure"} & told.keys():
        assert "EUR" in told[code]
    nothing = plan_for(case([pump()], told=DAYTIME, text=FLAT, objective="peak"), generic_gear(), Asking(2, Effort(10), 1))
    (said,) = (one.says(Show()) for one in nothing.findings if one.code == "plan.nothing-pays")
    assert "kW could be saved" in said


@pytest.mark.parametrize(("days", "is_year"), [(351, True), (379, True), (350, False), (380, False)])
def test_a_year_is_one_within_a_fortnight(days, is_year):
    """365 days, a fortnight more or less."""
    made = case([pump()])
    span = replace(made.scenario.span, end_s=made.scenario.span.start_s + 86_400 * days)
    assert with_(made, scenario=SimpleNamespace(span=span, loads=made.scenario.loads)).is_a_year is is_year


def test_what_saves_by_the_seen_weeks_only_is_not_offered():
    """A plan that saves by the weeks looked at and costs more by all of them is none of the options."""
    made = seven_weeks()
    scorer = Scorer(made)
    today = Tried(TODAY, scorer.figures(scorer.run(made.today)), ())
    better = replace(today.figures, fitted=today.figures.fitted - 1.0, value=today.figures.value + 0.1)
    worth = replace(better, value=today.figures.value - 0.1)
    found = Found(today, (Tried(night(), better, ()), Tried(night("tank"), worth, ()), today), 3, finished=True)
    assert [one.plan for _, one in chosen(found, 2)] == [night("tank")]


def test_days_that_the_record_lacks_are_not_switched_off():
    """Two days from a Monday tell nothing of the other five: a programme of Monday to Friday would leave the weekend dark."""
    made = case([pump()], told=DAYTIME)
    assert untried(made) == {"Wed", "Thu", "Fri", "Sat", "Sun"}
    assert not untried(seven_weeks())
    working = Plan((Times("pump", GEAR["wall-timer"], (Line(0, 240, WORKING),)),))
    scorer = Scorer(made)
    today, better, whole = (
        Tried(one, scorer.figures(scorer.run(one.control(made.today))), ()) for one in (TODAY, working, night())
    )
    found = Found(today, (better, whole, today), 3, finished=True)
    assert [one.plan for _, one in chosen(found, 2, untried(made))] == [night()]
    assert [one.plan for _, one in chosen(found, 2)] == [working]


def test_water_kept_under_sixty_degrees_is_told():
    """A tank set to 54 degC: the finding names it and the coolest of its set points."""
    made = case([tank(loss_w_k=1.5)], told={})
    plans = [Plan((SetTo("tank", GEAR["thermostat"], set_c, 5.0, "below", 40.0, 70.0),)) for set_c in (60.0, 56.0, 54.0)]
    assert lukewarm(made, plans) == {"tank": 54.0}
    assert lukewarm(made, plans[:1]) == {}


def test_the_parts_of_the_gap_make_the_whole(planned):
    """Peaks, energy and hours add up to what the best plan costs more than the bound; a finer grid can only save."""
    parts = planned.gap
    assert parts.whole == pytest.approx(planned.best.tried.figures.cost - planned.bound.value)
    assert parts.grid >= 0.0
    assert parts.comfort >= -1e-9


def test_a_gap_by_hand():
    """A pump at the dear price: the same energy, no charge on demand, so all of the gap is dearer hours: 2 x 4 x 0.20."""
    made = case([pump()], told=DAYTIME)
    scorer, best = Scorer(made), bound(made, 3600)
    run = scorer.run(made.today)
    parts = gap(scorer, scorer.figures(run), TODAY, run, best, IN_TURN, SILENT)
    assert (parts.demand, parts.energy, parts.hours, parts.grid) == pytest.approx((0.0, 0.0, 1.60, 0.0), abs=1e-4)
    other = with_(made, weights=OBJECTIVES["peak"])
    assert gap(Scorer(other), scorer.figures(run), TODAY, run, best, IN_TURN, SILENT) is None


def test_a_gap_with_sun_by_hand():
    """0.5 kW of sun from 10 to 15, a pump of 1 kW from 10 to 14; 0.30 by day, 0.10 by night, 0.08 for what is given back.

    Today imports 2 kWh a day by day and gives 0.5 back: 0.60 - 0.04. The bound takes 2.5 kWh from the sun and 1.5 by night: 0.15.
    Of the 0.82 of two days 1 kWh more import at the bound's 0.10 less 0.08 earned is PV given away; 4 kWh at 0.20 more are hours.
    """
    sunny = steady(2880, 1)
    sunny.pv_w[600:900] = sunny.pv_w[2040:2340] = 500.0
    made = case([pump()], told=DAYTIME, drivers=sunny, text=TWO_PRICES + EXPORT)
    scorer, best = Scorer(made), bound(made, 3600)
    assert best.value == pytest.approx(0.30)
    run = scorer.run(made.today)
    parts = gap(scorer, scorer.figures(run), TODAY, run, best, IN_TURN, SILENT)
    assert (parts.demand, parts.energy, parts.own, parts.hours) == pytest.approx((0.0, 0.0, 0.02, 0.80), abs=1e-6)
    assert parts.whole == pytest.approx(0.82)


def test_a_gap_where_nothing_is_bought_by_hand():
    """A pump that the sun feeds altogether, moved into the night today: 0.4 kWh at 0.10; the bound buys nothing.

    2 kW of sun from 10 to 14, a pump of 1 kW from 22:00 to 22:24: 0.04 a day for it, while 8 kWh earn 0.64; the bound gives back
    0.4 kWh less: 0.608 a day. What separates them is 2 x 0.008, whatever its parts.
    """
    sunny = steady(2880, 1)
    sunny.pv_w[600:840] = sunny.pv_w[2040:2280] = 2000.0
    told = {"rule": [{**DAYTIME["rule"][0], "times": [{"on": dt.time(22), "off": dt.time(22, 24)}]}]}
    made = case([pump()], told=told, drivers=sunny, text=TWO_PRICES + EXPORT)
    scorer, best = Scorer(made), bound(made, 3600)
    run = scorer.run(made.today)
    parts = gap(scorer, scorer.figures(run), TODAY, run, best, IN_TURN, SILENT)
    assert best.import_w.max() == pytest.approx(0.0, abs=1e-6)
    assert parts.whole == pytest.approx(0.016, abs=1e-6)


def test_a_tank_is_kept_hot_once_a_week():
    """Set to 60 degC, colder for longer than a week and than today: the plan may not do that. Off all the time it is."""
    made = case([tank(loss_w_k=1.5)], days=10)
    scorer = Scorer(made)
    today = scorer.figures(scorer.run(made.today))
    off = {"rule": [{"id": "no", "load": "tank", "kind": "time programme", "times": [{"on": dt.time(0), "off": dt.time(0, 1)}]}]}
    then = scorer.figures(scorer.run(made.today.model_validate(off)))
    assert today.longest_cool_s[0] < 7 * 86_400
    assert then.longest_cool_s[0] > 7 * 86_400
    assert "kept hot" in {one.what for one in breaches(made, today, then)}


@pytest.mark.parametrize(("later", "peak"), [(0, 1000.0), (5, 1000.0 * 10 / 15)])
def test_the_peak_is_that_of_a_quarter_of_an_hour_on_the_clock(later, peak):
    """Fifteen minutes of 1 kW on the quarter are a peak of 1 kW; five minutes later ten of them lie in the one before."""
    made = case([pump()], told=DAYTIME)
    grid = np.zeros(2880)
    grid[30 + later : 45 + later] = 1000.0
    assert Scorer(made).peak_w(grid) == pytest.approx(peak)
    moved = with_(made, scenario=shifted(made.scenario, 300))
    assert Scorer(moved).peak_w(np.roll(grid, -5)) == pytest.approx(peak)


def shifted(scenario, by_s):
    """The same scenario, begun later."""
    from dataclasses import replace

    span = replace(scenario.span, start_s=scenario.span.start_s + by_s, end_s=scenario.span.end_s + by_s)
    return replace(scenario, span=span)
