"""A frozen promise held against a record of the time after: savings, adjustments, boundaries, news, and what is refused."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from tests.job.proved import CLOCK, DAYS, HEATER_FILE, PAID, assessed, copied, table, write_job
from tests.job.test_equipping import option, plan_of, planned_times
from tests.proof.invented import BEGIN_S, site
from wattwright.core.errors import JobError
from wattwright.core.frozen import pack, unpack
from wattwright.core.show import Show
from wattwright.job import kinds
from wattwright.job.assessment import Assessment
from wattwright.job.freezing import freeze
from wattwright.job.proof_json import proof_json
from wattwright.job.proof_table import figure_rows, headline, plan_rows, promise_line
from wattwright.job.proved import Proof
from wattwright.job.proved_money import compared
from wattwright.job.proving import _months_on, prove
from wattwright.job.unsealing import opened
from wattwright.proof import costs as proof_costs, kinds as proof_kinds
from wattwright.proof.costs import CostSaved
from wattwright.proof.savings import Band
from wattwright.proof.seal import Promise

SHOW = Show(zone="Europe/Athens")
SEED = 3
"""The scatter of seed 1 lies at the edge of its band, as that of one site in ten does."""


def made(folder, file="after.csv", **given):
    """What a record shows of a job, frozen if it is not yet."""
    if not (folder / "frozen.json").exists():
        freeze(assessed(folder))
    return prove(assessed(folder), folder / file, **given)


@pytest.fixture(scope="module")
def heated(tmp_path_factory):
    """A site without a working week whose promise is frozen, and a year in which a tenth was saved."""
    folder = write_job(tmp_path_factory.mktemp("proved"), office_w=0.0, seed=SEED)
    freeze(assessed(folder))
    return folder


@pytest.fixture(scope="module")
def whole(heated):
    """What the whole year shows."""
    return made(heated)


def truth_kwh(saved=0.1, days=DAYS, **given):
    """What was really saved in so many days after: the share of what the site would have used."""
    power, _ = site(2 * DAYS, **{"office_w": 0.0, "seed": SEED, **given})
    return saved * power.values[24 * DAYS : 24 * (DAYS + days)].sum() / 1000


def codes(proof):
    """The codes of a proof's findings."""
    return [one.code for one in proof.findings]


def test_a_planted_saving_is_shown(whole):
    """A tenth saved lies in the band, a claim is made, and the sentence says so."""
    band = whole.saving.bootstrap
    assert band.low_kwh < truth_kwh() < band.high_kwh
    assert whole.is_whole
    assert whole.is_claim
    assert headline(whole, SHOW).startswith("Saved ")
    assert (whole.first, whole.last) == (date(2024, 1, 1), date(2024, 12, 29))
    assert whole.events == ()
    # The job has no tariff, and nothing else is amiss.
    assert codes(whole) == ["job.no-tariff-frozen"]


def test_the_holidays_that_were_frozen_count(heated, whole, tmp_path):
    """A job file that names another country or part of it later changes no figure, and is told."""
    other = copied(heated, tmp_path)
    text = (other / "job.toml").read_text()
    (other / "job.toml").write_text(text.replace("[papers]", 'country = "CA"\nsubdivision = "QC"\n[papers]'))
    proof = made(other)
    assert proof.saving.saved_kwh == pytest.approx(whole.saving.saved_kwh, rel=1e-12)
    told = next(one for one in proof.findings if one.code == "proof.plan-changed")
    assert "country, subdivision" in told.says(SHOW)


def test_holidays_of_both_spans_count_where_loads_are_looked_at(tmp_path, monkeypatch):
    """What acted is held against the time before, so the holidays of both years are days of rest: 25 March of each in Greece."""
    write_job(tmp_path, after_days=30, office_w=0.0, seed=SEED)
    job = tmp_path / "job.toml"
    job.write_text(job.read_text().replace('zone = "Europe/Athens"', 'zone = "Europe/Athens"\ncountry = "GR"'))
    seen = []
    monkeypatch.setattr("wattwright.job.proving.acted", lambda power, loads, clock, off, before: seen.append(off) or ())
    made(tmp_path)
    assert {date(2023, 3, 25), date(2024, 3, 25)} <= seen[0]


@pytest.mark.parametrize("factor", [0.2, 4.0])
def test_another_unit_is_no_claim(heated, tmp_path, factor):
    """A record of a fifth or of four times what the model tells is stopped: it looks like another meter or unit."""
    other = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    (other / "after.csv").write_text(table(DAYS, DAYS, power.values * factor, outside.values))
    proof = made(other)
    assert "proof.other-meter" in codes(proof)
    assert not proof.is_claim
    assert headline(proof, SHOW).startswith("No saving can be told ")
    # Nothing that rests on such a record is told as if it were of this site.
    assert (proof.normal, proof.provable) == (None, None)
    assert "proof.more-used" not in codes(proof)


@pytest.mark.parametrize(("days", "is_told"), [(6, False), (70, True)])
def test_a_day_to_prove_by_lies_after_what_was_read(tmp_path, days, is_told):
    """Read from the sixth week on, no day before that is told from which the saving shows, and none from less than a week."""
    late = 35
    write_job(tmp_path, after_days=late + days, office_w=0.0)
    header, *rows = (tmp_path / "after.csv").read_text().splitlines()
    (tmp_path / "after.csv").write_text("\n".join([header, *rows[24 * late :]]) + "\n")
    proof = made(tmp_path)
    assert "job.no-tariff-frozen" in codes(proof)
    assert (proof.provable is not None) == is_told
    if proof.provable is not None:
        assert proof.provable.day > proof.first
    assert any(label == "provable from" for label, _ in figure_rows(proof, SHOW)) == is_told


def test_what_is_read_after_the_measures_is_no_baseline(tmp_path):
    """A record that reaches beyond the day of the measures gives the baseline up to that day."""
    after = date(2023, 12, 1)
    folder = write_job(tmp_path, f"[measurement]\nafter = {after.isoformat()}\n", office_w=0.0)
    seal, _ = freeze(assessed(folder))
    assert CLOCK.day_of(seal.end_s - 1) < after


def test_savings_of_a_normal_year(whole):
    """In the weather of the baseline's own year a tenth of what that took would be saved, told with its band."""
    power, _ = site(2 * DAYS, office_w=0.0, seed=SEED)
    truth = 0.1 * power.values[: 24 * DAYS].sum() / 1000
    assert whole.normal.year == "the year of the baseline"
    assert whole.normal.band.low_kwh < truth < whole.normal.band.high_kwh
    assert whole.normal.before_kwh - whole.normal.after_kwh == pytest.approx(whole.normal.saved_kwh)


def test_it_runs_week_by_week(whole):
    """The last of the running figures is the saving itself, and each is the sum of the weeks so far."""
    course = whole.running
    assert course.saved_kwh[-1] == pytest.approx(whole.saving.saved_kwh)
    assert course.saved_kwh == pytest.approx(np.cumsum(course.expected_kwh - course.used_kwh))
    assert (course.low_kwh <= course.saved_kwh).all()
    assert (course.saved_kwh <= course.high_kwh).all()
    assert len(course.ends_s) == DAYS // 7


def test_it_is_kept_and_comes_back(heated, whole):
    """A proof packs and unpacks to the same figures, is found again beside the job, and is gone with another frozen part."""
    back = unpack(pack(whole), Proof)
    assert back.saving == whole.saving
    assert back.running.saved_kwh == pytest.approx(whole.running.saved_kwh)
    job = assessed(heated, keep=True)
    assert job.proof() is None
    job.keep_proof(whole)
    assert job.proof().saving == whole.saving
    (heated / "tariff.toml").touch()
    assert assessed(heated, keep=True).proof_print() == job.proof_print()


def test_news_is_no_claim(tmp_path):
    """Ten weeks in, the band may lie above nought, but no claim is made before the time agreed on is over."""
    write_job(tmp_path, after_days=70, office_w=0.0)
    proof = made(tmp_path)
    assert proof.saving.shown
    assert not proof.is_claim
    assert "news, and no claim yet" in headline(proof, SHOW)
    assert "proof.early" in codes(proof)
    assert proof.normal is None
    assert not proof.provable.is_promised
    assert proof.provable.day < date(2024, 6, 1)


def test_no_saving_is_no_claim(tmp_path):
    """Nothing saved on a site that scatters is told as no saving shown, and more used as more."""
    write_job(tmp_path, saved=-0.05, noise_w=600.0)
    proof = made(tmp_path)
    assert not proof.is_claim
    assert headline(proof, SHOW).startswith("More was used")
    assert "−" not in headline(proof, SHOW)
    assert proof.provable is None
    even = replace(proof, saving=replace(proof.saving, bootstrap=Band(-50.0, 20.0)))
    assert headline(even, SHOW).startswith("No saving is shown")


def test_a_time_that_is_over_is_no_news(tmp_path):
    """Where too many of the days agreed on are missing, the sentence says so and not that more is to come."""
    write_job(tmp_path, "[measurement]\nmonths = 1\n", after_days=40, office_w=0.0)
    rows = (tmp_path / "after.csv").read_text().splitlines()
    (tmp_path / "after.csv").write_text("\n".join(rows[:100] + rows[400:]) + "\n")
    proof = made(tmp_path)
    assert "proof.holes" in codes(proof)
    assert "too little was read" in headline(proof, SHOW)
    assert "news" not in headline(proof, SHOW)
    held = opened(assessed(tmp_path))
    assert any(words.startswith("1 month from") for _, words in plan_rows(held.seal, SHOW))


def test_a_higher_peak_is_said_to_be_higher(whole):
    """A highest hour that rose is told as higher, with its band turned round, and one that fell as lower."""
    money = CostSaved("EUR", 0.9, 500.0, 20.0, 10.0, 30.0, -163.0, -400.0, 80.0)
    rows = dict(figure_rows(replace(whole, money=money), SHOW))
    # The band of what it rose by: lower by 80 W at best, higher by 400 W at worst.
    sure = "at 90\N{NARROW NO-BREAK SPACE}%"
    assert rows["highest hour"] == f"higher by {SHOW.power(163.0)}, {SHOW.power(-80.0)} to {SHOW.power(400.0)} {sure}"
    fell = dict(figure_rows(replace(whole, money=replace(money, maximum_saved_w=50.0)), SHOW))
    assert fell["highest hour"] == f"lower by {SHOW.power(50.0)}, {SHOW.power(-400.0)} to {SHOW.power(80.0)} {sure}"
    bare = replace(whole, money=replace(money, maximum_low_w=None, maximum_high_w=None))
    assert dict(figure_rows(bare, SHOW))["highest hour"] == f"higher by {SHOW.power(163.0)}, no band can be told"
    plain = proof_json(bare, SHOW)
    assert [plain[f"peak_saved{one}_kw"] for one in ("", "_low", "_high")] == [-0.163, None, None]
    plain = proof_json(replace(whole, money=money), SHOW)
    assert [plain[f"peak_saved{one}_kw"] for one in ("", "_low", "_high")] == [-0.163, -0.4, 0.08]


@pytest.mark.parametrize(("share", "is_told"), [(1.0, False), (1.05, False), (1.5, True)])
def test_a_band_of_money_that_is_wider_is_explained_where_it_stands(whole, share, is_told):
    """Money whose band is half as wide again as that of the energy, each as a share, has its reason in the next row."""
    energy = whole.saving
    expected, half = 0.3 * energy.expected_kwh, 0.3 * share * (energy.bootstrap.high_kwh - energy.bootstrap.low_kwh) / 2
    saved = 0.3 * energy.saved_kwh
    money = CostSaved("EUR", 0.9, expected - saved, saved, saved - half, saved + half, 0.0, 0.0, 0.0)
    rows = figure_rows(replace(whole, money=money), SHOW)
    labels = [label for label, _ in rows]
    assert ("band of the money" in labels) is is_told
    if is_told:
        at = labels.index("money")
        assert labels[at + 1] == "band of the money"
        assert "of hours and not of days" in rows[at + 1][1]


def test_adjustments_are_applied_where_they_are_agreed_on(heated, tmp_path):
    """A fortnight of 3 kWh a day more is told as an event if it is great; only once it stands in the job is it taken off."""
    folder = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    used = power.values * 0.9
    used[24 * (DAYS + 100) : 24 * (DAYS + 130)] += 1000.0
    (folder / "after.csv").write_text(table(DAYS, DAYS, used, outside.values))
    proof = made(folder)
    (event,) = proof.events
    assert event.days == pytest.approx(30, abs=3)
    assert "proof.event" in codes(proof)
    assert proof.adjusted == ()
    job = folder / "job.toml"
    text, last = job.read_text(), date(2024, 1, 1).toordinal() + 100
    span = f"from = {date.fromordinal(last)}\nuntil = {date.fromordinal(last + 30)}\n"
    agreed = '[[adjustments]]\n{}why = "a compressor on loan"\nagreed_by = "both"\n{}\n'
    job.write_text(text + agreed.format(span, 'a_day = "24 kWh"'))
    less = made(folder)
    assert less.saving.saved_kwh == pytest.approx(proof.saving.saved_kwh + 720.0)
    assert less.adjusted[0].energy_kwh == pytest.approx(720.0)
    assert (less.events, less.is_whole) == ((), True)
    assert "proof.adjusted" in codes(less)
    job.write_text(text + agreed.format(span, "leave_out = true"))
    out = made(folder)
    assert out.days == pytest.approx(DAYS - 30)
    assert (out.adjusted[0].days, out.adjusted[0].energy_kwh, out.is_whole) == (30, 0.0, True)
    assert any(label == "adjusted" and "left out" in words for label, words in figure_rows(out, SHOW))


def test_money_and_peak_by_the_tariff(tmp_path, monkeypatch):
    """With a flat price of 0.30 the money is about that of the energy; the highest hour is told with its band, or why not."""
    write_job(tmp_path, PAID, after_days=DAYS, office_w=0.0, noise_w=30.0, seed=SEED)
    proof = made(tmp_path)
    money = proof.money
    assert money.currency == "EUR"
    assert money.low_money < 0.30 * truth_kwh(noise_w=30.0) < money.high_money
    assert money.saved_money == pytest.approx(0.30 * proof.saving.saved_kwh, rel=0.05)
    assert money.maximum_low_w < money.maximum_high_w
    labels = [label for label, _ in figure_rows(proof, SHOW)]
    assert {"money", "highest hour", "in a normal year"} <= set(labels)
    told = proof_json(proof, SHOW)
    assert told["saving_money"] == pytest.approx(money.saved_money, abs=1e-4)
    assert proof.money_today is None
    # At another price today both are told; the frozen one holds, whatever became of its file.
    tariff = tmp_path / "tariff.toml"
    was = tariff.read_text()
    tariff.write_text(was.replace('"0.30"', '"0.60"'))
    dearer = made(tmp_path)
    assert dearer.money == money
    assert dearer.money_today.saved_money == pytest.approx(2 * money.saved_money, rel=1e-9)
    labels = [label for label, _ in figure_rows(dearer, SHOW)]
    assert {"money, frozen prices", "money, prices of now"} <= set(labels)
    # What is wrong with the band is the same at both prices, and told once.
    few = proof_kinds.HIGHEST_SHORT.at("money", count=2, needed=8)
    monkeypatch.setattr(proof_costs, "half_width_w", lambda *_: few)
    bare = made(tmp_path)
    assert (bare.money.maximum_low_w, bare.money_today.maximum_high_w) == (None, None)
    assert bare.findings.count(few) == 1
    monkeypatch.undo()
    # Prices that end before the measures tell no money of that time, and say so.
    tariff.write_text(was.replace('id = "two"\n', 'id = "two"\nto = 2024-01-01\n'))
    without = made(tmp_path)
    assert (without.money, without.money_today) == (money, None)
    assert "proof.no-prices" in codes(without)


@pytest.mark.parametrize(
    ("found", "is_whole", "word"),
    [
        ((90.0, 80.0, 100.0), True, "more than promised"),
        ((60.0, 40.0, 80.0), True, "both may be right"),
        ((20.0, 10.0, 30.0), True, "less than promised"),
        ((20.0, 10.0, 30.0), False, "too early"),
    ],
)
def test_what_was_promised_stands_beside_what_was_found(whole, found, is_whole, word):
    """Promised money of 100 days is held against that of 50: half of it, and whether the bands meet once the time is over."""
    promise = Promise(
        objective="cost", unit="EUR", days=100, saving=100.0, low=90.0, high=140.0, energy_kwh=400.0, peak_w=0.0
    )  # fmt: skip
    made_of, findings = compared(promise, money_of(*found), 50.0, is_whole=is_whole)
    assert (made_of.promised, made_of.promised_low, made_of.promised_high) == (50.0, 45.0, 70.0)
    assert (made_of.found, made_of.found_low, made_of.found_high) == found
    proof = replace(whole, compared=made_of)
    assert any(label == "for these days" and word in words for label, words in figure_rows(proof, SHOW))
    assert [one.code for one in findings] == (["proof.less-than-promised"] if word == "less than promised" else [])
    assert proof_json(proof, SHOW)["promised_and_found"]["unit"] == "EUR"


def test_a_band_that_begins_at_nought_is_one():
    """A promise that may come to nothing is not told as broken by a saving below its middle."""
    promise = Promise(objective="cost", unit="EUR", days=50, saving=50.0, low=0.0, high=90.0, energy_kwh=1.0, peak_w=0.0)
    made_of, findings = compared(promise, money_of(20.0, 10.0, 30.0), 50.0, is_whole=True)
    assert (made_of.promised_low, findings) == (0.0, ())


@pytest.mark.parametrize(("objective", "unit"), [("own-use", "kWh"), ("autonomy", "kWh"), ("peak", "kW"), ("several", "points")])
def test_what_the_meter_cannot_tell_is_left_open(objective, unit):
    """PV used on site, a site served and a peak of a quarter hour are no energy or money avoided: said, not compared."""
    promise = Promise(objective=objective, unit=unit, days=50, saving=5.0, low=None, high=None, energy_kwh=1.0, peak_w=0.0)
    made_of, (told,) = compared(promise, money_of(20.0, 10.0, 30.0), 50.0, is_whole=True)
    assert made_of is None
    assert told.code == "proof.not-compared"
    assert told.says(SHOW)


def test_without_money_nothing_is_held_against_it():
    """A promise of money stands alone where there is none of that currency, and no promise stands beside nothing."""
    promise = Promise(objective="cost", unit="USD", days=50, saving=5.0, low=None, high=None, energy_kwh=1.0, peak_w=0.0)
    for money in (None, money_of(20.0, 10.0, 30.0)):
        assert compared(promise, money, 50.0, is_whole=True) == (None, ())
    assert compared(None, None, 50.0, is_whole=True) == (None, ())


def money_of(saved, low, high):
    """Money saved with its band."""
    return CostSaved("EUR", 0.9, 500.0, saved, low, high, 0.0, 0.0, 0.0)


def test_a_sub_meter_may_be_the_boundary(tmp_path):
    """Retrofit isolation: the load's own meter is held to account, by the layout of its own file."""
    write_job(tmp_path, HEATER_FILE, '[measurement]\nboundary = "heater"\n')
    power, _ = site(2 * DAYS, heating_w=0.0, office_w=500.0, noise_w=50.0, seed=SEED)
    used = power.values.copy()
    used[24 * DAYS :] *= 0.8
    (tmp_path / "heater.csv").write_text(table(0, DAYS, used, None))
    (tmp_path / "heater-after.csv").write_text(table(DAYS, DAYS, used, None))
    proof = made(tmp_path, "heater-after.csv")
    truth = 0.2 * power.values[24 * DAYS :].sum() / 1000
    assert (proof.option, proof.boundary) == ("B", "heater")
    assert proof.saving.bootstrap.low_kwh < truth < proof.saving.bootstrap.high_kwh
    assert (proof.acted, proof.money) == ((), None)


def test_a_planned_load_on_its_own_meter_is_told_its_power(tmp_path, monkeypatch):
    """A pump planned with 1 kW whose own meter reads 1.6 kW by the hour draws more than planned, and that is said."""
    pump = '[[loads]]\nid = "pump"\nname = "Pump"\nkind = "pool pump"\nrating = "1 kW"\nmeter = "heater"\n'
    write_job(tmp_path, pump, HEATER_FILE, '[measurement]\nboundary = "heater"\n', after_days=1)
    power, _ = site(2 * DAYS, heating_w=0.0, office_w=0.0, noise_w=5.0, seed=SEED)
    (tmp_path / "heater.csv").write_text(table(0, 60, power.values, None))
    (tmp_path / "heater-after.csv").write_text(table(DAYS, 28, 1.6 * power.values, None))
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(option("as today"), option("best", planned_times())))
    proof = made(tmp_path, "heater-after.csv")
    (told,) = [one.data for one in proof.findings if one.code == "job.other-level"]
    assert (told["load"], told["rating"], round(told["share"], 1)) == ("Pump", 1000.0, 1.6)


def test_what_moved_between_periods_is_told_with_the_rest(heated, tmp_path, monkeypatch):
    """What is said of price periods stands among the findings of the proof."""
    said = kinds.PERIODS_UNTOLD.at("tariff", periods="peak, low", least=3.0)
    monkeypatch.setattr("wattwright.job.proving.moved_periods", lambda held, hours, frozen, clock: (said,))
    assert said in made(heated).findings


def test_temperature_after_is_needed_where_the_model_follows_it(heated, tmp_path):
    """Readings without temperature are refused with what to do; a file of measured weather puts that right."""
    folder = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    (folder / "bare.csv").write_text(table(DAYS, DAYS, power.values * 0.9, None))
    with pytest.raises(JobError, match="--weather"):
        made(folder, "bare.csv")
    rows = ["time,temperature [degC]"]
    rows += [f"{np.datetime64(BEGIN_S + 3600 * hour, 's')}Z,{outside.values[hour]:.2f}" for hour in range(24 * DAYS, 48 * DAYS)]
    (folder / "weather.csv").write_text("\n".join(rows) + "\n")
    proof = made(folder, "bare.csv", weather=folder / "weather.csv")
    assert proof.saving.bootstrap.low_kwh < truth_kwh() < proof.saving.bootstrap.high_kwh


@pytest.mark.parametrize("is_warm", [True, False])
def test_weather_that_does_not_cover_the_days_is_said(heated, tmp_path, is_warm):
    """A file of the first 14 of 28 days is named with its share, whether the record's temperature stands in or none is there."""
    folder = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    (folder / "later.csv").write_text(table(DAYS, 28, power.values * 0.9, outside.values if is_warm else None))
    hours = range(24 * DAYS, 24 * (DAYS + 14))
    rows = [f"{np.datetime64(BEGIN_S + 3600 * hour, 's')}Z,{outside.values[hour]:.2f}" for hour in hours]
    (folder / "half.csv").write_text("\n".join(["time,temperature [degC]", *rows]) + "\n")
    if is_warm:
        told = next(one for one in made(folder, "later.csv", weather=folder / "half.csv").findings if "after-short" in one.code)
        assert told.data["file"] == "half.csv"
        # The site's days begin two hours before those of UTC: a day at either end may not be whole.
        assert told.data["share"] == pytest.approx(0.5, abs=1 / 27)
    else:
        with pytest.raises(JobError, match=r"but in half\.csv, which knows (4|5)") as caught:
            made(folder, "later.csv", weather=folder / "half.csv")
        assert caught.value.faults[0].next_step.endswith("that covers the days of the record.")


@pytest.mark.parametrize("is_warm", [True, False])
def test_weather_without_a_temperature_is_said(heated, tmp_path, is_warm):
    """A file of the sun alone is named, whether the record's temperature stands in or none is there, which is refused."""
    folder = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    (folder / "later.csv").write_text(table(DAYS, 28, power.values * 0.9, outside.values if is_warm else None))
    rows = [f"{np.datetime64(BEGIN_S + 3600 * hour, 's')}Z,{100 + hour % 24}" for hour in range(24 * DAYS, 24 * (DAYS + 28))]
    (folder / "sun.csv").write_text("\n".join(["time,GHI [W/m2]", *rows]) + "\n")
    if is_warm:
        proof = made(folder, "later.csv", weather=folder / "sun.csv")
        (told,) = [one for one in proof.findings if "temperature" in one.code]
        assert "sun.csv holds no outdoor temperature" in told.says(SHOW)
        # The record's own stands in before and after, so that there are not two sources.
        assert "proof.other-weather" not in codes(proof)
    else:
        with pytest.raises(JobError, match=r"of these days, and none at all in sun\.csv") as caught:
            made(folder, "later.csv", weather=folder / "sun.csv")
        assert caught.value.faults[0].code == "proof.no-weather"


def longer(hours, outside, step):
    """Readings of hours of the time after as a CSV text of so many hours each."""
    rows = ["time,P [kW],Outdoor temperature [degC]"]
    for at in range(24 * DAYS, len(hours), step):
        stamp = f"{np.datetime64(BEGIN_S + 3600 * at, 's')}Z"
        rows.append(f"{stamp},{hours[at : at + step].mean() / 1000:.5f},{outside[at : at + step].mean():.3f}")
    return "\n".join(rows) + "\n"


def test_readings_after_may_be_longer_than_an_hour(tmp_path):
    """Two-hour readings tell the same energy as hours; money is left open and said."""
    write_job(tmp_path, PAID, after_days=30, office_w=0.0, seed=SEED)
    power, outside = site(DAYS + 30, office_w=0.0, seed=SEED)
    (tmp_path / "two.csv").write_text(longer(power.values * 0.9, outside.values, 2))
    proof = made(tmp_path, "two.csv")
    assert proof.saving.saved_kwh == pytest.approx(made(tmp_path).saving.saved_kwh, rel=0.02)
    assert (proof.money, proof.money_today) == (None, None)
    assert "proof.no-hours" in codes(proof)


def whole_days(first, count, saved, beside_h=0, step=1, **given):
    """Readings of whole days of the site's clock as a CSV text, kWh, each moved by some hours, or of so many days in one."""
    power, _ = site(2 * DAYS, office_w=0.0, seed=SEED, **given)
    begins_s = CLOCK.midnights_s(date(2023, 1, 2), 2 * DAYS) + 3600 * beside_h
    hours = np.append((begins_s - BEGIN_S) // 3600, len(power))
    rows = ["time,E [kWh]"]
    for day in range(first, first + count, step):
        used = power.values[hours[day] : hours[min(day + step, 2 * DAYS)]].sum() / 1000 * (1 - saved)
        rows.append(f"{np.datetime64(int(CLOCK.local_s(begins_s[day : day + 1])[0]), 's')},{used:.4f}")
    return "\n".join(rows) + "\n"


@pytest.fixture(scope="module")
def weather_of_both():
    """Measured weather of the year before and of that after."""
    _, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    rows = [f"{np.datetime64(BEGIN_S + 3600 * hour, 's')}Z,{warm:.3f}" for hour, warm in enumerate(outside.values)]
    return "\n".join(["time,temperature [degC]", *rows]) + "\n"


def test_readings_after_may_be_whole_days(heated, whole, weather_of_both, tmp_path):
    """Days tell the same energy as hours, clock changes and all; what they do not tell is said, and whose temperature it is."""
    folder = copied(heated, tmp_path)
    (folder / "days.csv").write_text(whole_days(DAYS, DAYS - 1, 0.1))
    (folder / "weather.csv").write_text(weather_of_both)
    proof = made(folder, "days.csv", weather=folder / "weather.csv")
    assert proof.days == DAYS - 1
    assert proof.saving.saved_kwh == pytest.approx(whole.saving.saved_kwh, rel=0.01)
    assert (proof.money, [one.course for one in proof.acted]) == (None, [])
    told = next(one for one in proof.findings if one.code == "proof.whole-days")
    assert told.data["beside"] == 3600
    # The temperature before was logged with the readings.
    other = next(one for one in proof.findings if one.code == "proof.other-weather")
    assert (other.data["now"], other.data["was"]) == ("weather.csv", "the record itself")


@pytest.mark.parametrize(("given", "found"), [({"beside_h": 8}, "9 h beside midnight"), ({"step": 7}, "readings of 168 h each")])
def test_days_of_another_clock_and_weeks_are_refused(heated, tmp_path, given, found):
    """Days that begin eight hours after midnight (nine in winter's hours) and weeks tell no day of the site's clock."""
    folder = copied(heated, tmp_path)
    (folder / "long.csv").write_text(whole_days(DAYS, DAYS - 14, 0.1, **given))
    with pytest.raises(JobError, match=found) as caught:
        made(folder, "long.csv")
    assert caught.value.faults[0].code == "proof.long-readings"


def test_days_before_and_after(tmp_path, weather_of_both):
    """A baseline of whole days is a model of days too, and shows what was saved; a file of weather named later is said unused."""
    write_job(tmp_path, after_days=1, office_w=0.0, seed=SEED, warm=False)
    (tmp_path / "before.csv").write_text(whole_days(0, DAYS, 0.0))
    (tmp_path / "days.csv").write_text(whole_days(DAYS, DAYS - 1, 0.1))
    (tmp_path / "weather.csv").write_text(weather_of_both)
    seal, findings = freeze(assessed(tmp_path))
    assert (seal.main.grain, seal.main.count) == ("day", DAYS)
    assert "proof.whole-days" in [one.code for one in findings]
    proof = made(tmp_path, "days.csv", weather=tmp_path / "weather.csv")
    assert proof.saving.bootstrap.low_kwh < truth_kwh(days=DAYS - 1) < proof.saving.bootstrap.high_kwh
    assert "proof.weather-unused" in codes(proof)


@pytest.mark.parametrize(("after", "months", "beside_h", "days"), [("2024-01-01", 6, 0, 182), ("2024-11-01", 1, -3, 30)])
def test_no_whole_day_is_lost_at_its_edges(tmp_path, after, months, beside_h, days):
    """From January to June, whose days end after midnight, and in November, where they begin before it, all count."""
    write_job(tmp_path, f"[measurement]\nafter = {after}\nmonths = {months}\n", after_days=1, office_w=0.0, seed=SEED, warm=False)
    (tmp_path / "before.csv").write_text(whole_days(0, DAYS, 0.0))
    (tmp_path / "days.csv").write_text(whole_days(DAYS, DAYS - 1, 0.1, beside_h))
    proof = made(tmp_path, "days.csv")
    assert (proof.days, proof.wanted_days, proof.is_whole) == (pytest.approx(days, abs=0.05), days, True)
    assert str(proof.first) == after
    # Days that begin three hours before midnight have other hours.
    assert proof.saving.used_kwh == pytest.approx(0.9 * truth_of_days(proof.first, days), rel=1e-6 if not beside_h else 0.01)


def truth_of_days(first, days, **given):
    """What the site would have used from a local day on over so many, kWh."""
    power, _ = site(2 * DAYS, office_w=0.0, seed=SEED, **given)
    ends = (CLOCK.midnights_s(first, days) - BEGIN_S) // 3600
    return power.values[ends[0] : ends[-1]].sum() / 1000


@pytest.mark.parametrize("asked", ["", "[measurement]\nuntil = 2023-07-01\n"])
def test_no_whole_day_before_the_measures_is_lost_in_summer(tmp_path, asked):
    """Days from 2 January to 30 June are 180, and what is after begins on the next one, though the last ends an hour late."""
    write_job(tmp_path, asked, after_days=1, office_w=0.0, seed=SEED, warm=False)
    (tmp_path / "before.csv").write_text(whole_days(0, DAYS if asked else 180, 0.0, heating_w=0.0))
    seal, _ = freeze(assessed(tmp_path))
    assert seal.main.count == 180
    assert seal.main.energy_kwh == pytest.approx(truth_of_days(date(2023, 1, 2), 180, heating_w=0.0), rel=1e-6)
    assert (seal.plan.begins, seal.plan.until, seal.plan.after) == (date(2023, 1, 2), date(2023, 7, 1), date(2023, 7, 1))
    assert opened(assessed(tmp_path)).seal == seal


def test_a_time_of_whole_days_that_is_over_is_no_news(tmp_path):
    """Days that end three hours before midnight end with the time agreed on: what is missing of them are holes."""
    write_job(tmp_path, "[measurement]\nafter = 2024-07-01\nmonths = 5\n", after_days=1, office_w=0.0, seed=SEED, warm=False)
    (tmp_path / "before.csv").write_text(whole_days(0, DAYS, 0.0))
    rows = whole_days(DAYS + 170, DAYS - 171, 0.1, beside_h=-3).splitlines()
    # The last one is stamped 29 November at nine in the evening: it is the day of the 30th.
    kept = [row for row in rows if row < "2024-08-01" or "2024-09-01" <= row < "2024-11-30" or row.startswith("time")]
    (tmp_path / "days.csv").write_text("\n".join(kept) + "\n")
    assert "proof.holes" in codes(made(tmp_path, "days.csv"))


def test_prices_that_are_lost_leave_energy_and_frozen_prices(tmp_path):
    """Without the tariff's file energy and money at frozen prices are told, those of today are said to be missing, and why."""
    write_job(tmp_path, PAID, after_days=30, office_w=0.0, seed=SEED)
    freeze(assessed(tmp_path))
    (tmp_path / "tariff.toml").unlink()
    proof = made(tmp_path)
    assert proof.saving.saved_kwh > 0
    assert proof.money.saved_money > 0
    assert proof.money_today is None
    (told,) = [one for one in proof.findings if one.code == "proof.no-prices"]
    assert "tariff.toml: found no such file" in told.says(SHOW)


@pytest.mark.parametrize(("factor", "is_told"), [(1.0, False), (1.05, True)])
def test_a_record_that_overlaps_the_baseline(heated, tmp_path, factor, is_told):
    """Days before the measures are left out; where both records hold them and differ by a twentieth, that is said."""
    folder = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    (folder / "both.csv").write_text(table(DAYS - 30, 90, power.values * factor, outside.values))
    proof = made(folder, "both.csv")
    assert proof.days == 60
    assert "proof.left-before" in codes(proof)
    told = [one.data for one in proof.findings if one.code == "proof.overlap-differs"]
    assert [(one["days"], round(one["share"], 3)) for one in told] == ([(30, 1.05)] if is_told else [])


def test_another_zone_and_step_tell_the_same(heated, whole, tmp_path):
    """Quarters of an hour whose stamps stand two hours before UTC tell what hours in UTC tell."""
    folder = copied(heated, tmp_path)
    first, *rows = (folder / "after.csv").read_text().splitlines()
    made_of = [first]
    for row in rows:
        stamp, rest = row.split("Z,")
        at = np.datetime64(stamp) + np.timedelta64(2, "h")
        made_of += [f"{at + np.timedelta64(minute, 'm')}+02:00,{rest}" for minute in (0, 15, 30, 45)]
    (folder / "quarters.csv").write_text("\n".join(made_of) + "\n")
    assert made(folder, "quarters.csv").saving.saved_kwh == pytest.approx(whole.saving.saved_kwh, rel=1e-9)


def test_a_kept_proof_knows_files_wherever_they_lie(heated, tmp_path):
    """A record outside the job that is changed makes the kept proof stale; one that is lost does not."""
    folder, outside = copied(heated, tmp_path), tmp_path / "after.csv"
    outside.write_bytes((folder / "after.csv").read_bytes())
    job = assessed(folder, keep=True)
    job.keep_proof(made(folder, outside))
    assert assessed(folder, keep=True).proof().given[0].path == "../after.csv"
    text = outside.read_text()
    outside.write_text(text + "\n")
    assert assessed(folder, keep=True).proof() is None
    assert assessed(folder, keep=True).proof_print() == ""
    outside.unlink()
    assert assessed(folder, keep=True).proof().record == "after.csv"


def test_a_season_that_was_never_seen_is_left_out(tmp_path):
    """Of a baseline of four winter months a year after is claimed for the days of that season alone, and the limits are told."""
    write_job(tmp_path, "[measurement]\nuntil = 2023-05-01\nafter = 2024-01-01\n", office_w=0.0, seed=SEED)
    proof = made(tmp_path)
    told = next(one for one in proof.findings if one.code == "proof.unseen-times")
    assert "proof.part-of-year" in codes(proof)
    # January to May and December, as far as it was as warm as then.
    assert 100 < proof.days < 190
    assert told.data["days"] == pytest.approx(DAYS - proof.days, abs=1)
    assert proof.is_whole
    assert "like those of the baseline" in headline(proof, SHOW)


def test_a_season_that_was_never_seen_is_refused(tmp_path):
    """A winter's baseline against a summer alone: nothing is told, with what to do; three weeks alike make no claim."""
    plan = "[measurement]\nuntil = 2023-03-01\nafter = {}\nmonths = 3\n"
    write_job(tmp_path, plan.format("2024-06-01"), office_w=0.0, seed=SEED)
    with pytest.raises(JobError, match="that season comes round") as caught:
        made(tmp_path)
    assert caught.value.faults[0].code == "proof.unlike-before"
    other = write_job(tmp_path / "late", plan.format("2024-03-18"), office_w=0.0, seed=SEED)
    proof = made(other)
    assert "proof.few-like-days" in codes(proof)
    assert not proof.is_claim


def test_only_the_time_agreed_on_counts(heated, tmp_path):
    """A record that begins before the measures is cut to the days after; one that ends before them is refused."""
    folder = copied(heated, tmp_path)
    power, outside = site(2 * DAYS, office_w=0.0, seed=SEED)
    (folder / "long.csv").write_text(table(DAYS - 50, DAYS, power.values, outside.values))
    proof = made(folder, "long.csv")
    assert proof.first == date(2024, 1, 1)
    assert "proof.left-before" in codes(proof)
    with pytest.raises(JobError, match="Give the record of the time after"):
        made(folder, "before.csv")


def test_what_is_wrong_with_the_record_is_told(heated, tmp_path):
    """A gap of a week in the time after is among the findings of the proof."""
    folder = copied(heated, tmp_path)
    rows = (folder / "after.csv").read_text().splitlines()
    (folder / "after.csv").write_text("\n".join(rows[:2000] + rows[2168:]) + "\n")
    assert "record.gaps" in codes(made(folder))


def test_a_whole_stretch_left_out_is_refused(heated, tmp_path):
    """Where every day is agreed to be left out there is nothing to tell."""
    folder = copied(heated, tmp_path)
    job = folder / "job.toml"
    job.write_text(
        job.read_text()
        + '[[adjustments]]\nfrom = 2024-01-01\nuntil = 2025-02-01\nleave_out = true\nwhy = "all"\nagreed_by = "both"\n'
    )
    with pytest.raises(JobError, match="not all of them left out"):
        made(folder)


@pytest.mark.parametrize(("a_day", "code"), [(-0.5, "proof.shifted"), (0.001, "proof.never-provable"), (3.0, "")])
def test_what_was_promised_decides_when_it_can_be_proved(heated, monkeypatch, a_day, code):
    """A promise of no energy is held by money; one too small never shows in these months; another has its day."""
    from wattwright.job import proving

    promise = Promise(
        objective="cost", unit="EUR", days=365, saving=40.0, low=30.0, high=50.0, energy_kwh=365 * a_day, peak_w=-100.0
    )  # fmt: skip
    held = opened(assessed(heated))
    held = replace(held, seal=held.seal.model_copy(update={"promise": promise}))
    monkeypatch.setattr(proving, "opened", lambda _: held)
    proof = made(heated)
    found = [one for one in codes(proof) if one in ("proof.shifted", "proof.never-provable")]
    assert found == ([code] if code else [])
    assert promise_line(promise, SHOW) in [words for label, words in figure_rows(proof, SHOW) if label == "promised"]
    if not code:
        assert proof.provable.is_promised
        assert proof.provable.day is not None
        assert proof_json(proof, SHOW)["provable"]["day"] == str(proof.provable.day)
    assert any("higher by 100" in words for _, words in plan_rows(held.seal, SHOW))


def test_months_on():
    """The same day some months later, the last of a shorter month."""
    assert _months_on(date(2024, 1, 31), 1) == date(2024, 2, 29)
    assert _months_on(date(2023, 12, 15), 12) == date(2024, 12, 15)
    assert _months_on(date(2024, 11, 30), 3) == date(2025, 2, 28)
    assert _months_on(date(2024, 6, 30), 6) == date(2024, 12, 30)
    assert CLOCK.zone == "Europe/Athens"
