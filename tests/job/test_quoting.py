"""A job as a question of sizes: what it is for, its sun, its order, what may hide, and what is refused with a next step."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from tests.job.pv import PV, PV_METER, meter_of_the_house, sunny
from tests.job.simulated import HEAD, HEATER, PUMP, SUPPLY, TIMES, question
from tests.job.test_planning import PRICES, TARIFF
from tests.sky.test_weather import DATA, GREENSBORO, MIAMI, epw
from wattwright.core.errors import JobError
from wattwright.core.show import Show
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.quoting import quote_case
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.sizes import NOTHING, Size
from wattwright.supply.sizing.table import worth_rows

MAY = 'interrupt = "mains"\ncontrollable = true'
SHOW = Show("en_GB", "SI", "UTC")
PARTS = (SUPPLY, HEATER.replace('interrupt = "mains"', MAY), PUMP.replace('interrupt = "mains"', MAY), TIMES)
ROOFS = "".join(
    f'[[quote.pv]]\npeak = "{peak} kW"\ntilt_deg = 25\nazimuth_deg = {heading}\n' for peak, heading in ((3, 180), (2, 90))
)


def case(folder, *parts, planned=True, readings=None, roof=None, **asked):
    """The question of a job of these parts, today's rules standing for the plan's."""
    read = {name: text for name, text in (("readings", readings), ("roof", roof)) if text is not None}
    ask = question(folder, *parts, **read)
    control = ask.site().simulated(ask.job.spec.control) if planned else None
    return quote_case(ask, control, Assessment(load_job(folder), keep=False).peaks(), **asked)


def test_purposes_and_outages(tmp_path):
    """Left out it is beside the grid; a longest outage asks for one that carries; the job's inverter says what it is for."""
    assert case(tmp_path, *PARTS).asking.purpose == "beside the grid"
    backup = case(tmp_path, *PARTS, outage_s=7200.0).asking
    assert (backup.purpose, backup.outage_s, backup.unserved) == ("carries the site in outages", 7200.0, 0.0)
    own = '[inverter]\nrating = "3 kVA"\nrole = "carries the site in outages"\n'
    assert case(tmp_path, *PARTS, own).asking.outage_s == 4 * 3600.0
    gone = "[[outages]]\nbegins = 2025-01-07T10:00:00\nends = 2025-01-07T13:00:00\n"
    told = case(tmp_path, *PARTS, own, gone).asking
    assert told.outage_s is None
    assert int(told.gone.sum()) == 180


def test_an_outage_on_other_days_than_the_record_is_told(tmp_path):
    """One of two years later is not tried, and nobody would know it; one within the days is."""
    own = '[inverter]\nrating = "3 kVA"\nrole = "carries the site in outages"\n'
    within, beyond = (f"[[outages]]\nbegins = {year}-01-07T10:00:00\nends = {year}-01-07T13:00:00\n" for year in (2025, 2027))
    (told,) = [one for one in case(tmp_path, *PARTS, own, within, beyond).findings if one.code == "job.outages-outside"]
    assert (told.data["count"], told.data["of"]) == (1, 2)
    inside = case(tmp_path, *PARTS, own, within).findings
    assert "job.outages-outside" not in {one.code for one in inside}


def test_who_may_go_and_in_which_order(tmp_path):
    """Only where the inverter carries the site, the largest first; without a plan nobody goes."""
    assert case(tmp_path, *PARTS, outage_s=7200.0).plan.order == ("heater", "pump")
    assert case(tmp_path, *PARTS).plan.order == ()
    assert case(tmp_path, *PARTS, planned=False).plan is None


def test_roofs_are_looked_at_together_and_apart(tmp_path):
    """What PV gives is per watt of the modules of the roofs that are chosen; without any no sun is asked for."""
    made = case(tmp_path, *PARTS, ROOFS).asking
    assert [one.most_w for one in made.layouts] == [5000.0, 3000.0, 2000.0]
    together, south, east = (one.share for one in made.layouts)
    np.testing.assert_allclose(together, 0.6 * south + 0.4 * east, rtol=1e-9, atol=1e-12)
    assert 0.0 < together.max() < 1.2
    assert case(tmp_path, *PARTS).asking.layout.most_w == 0.0


def test_pv_that_is_measured_stays_and_what_comes_beside_it_is_quoted(tmp_path):
    """What its meter read is there in every size, on the engine's steps; only a site without a grid has no use for it."""
    array = PV + 'meter = "roof"\n'
    parts = (*PARTS, PV_METER, array, ROOFS)
    made = case(tmp_path, *parts, readings=meter_of_the_house(True), roof=sunny()).asking
    drivers = case(tmp_path, *parts, readings=meter_of_the_house(True), roof=sunny()).today.scenario.drivers
    assert made.layout.most_w == 5000.0
    assert made.beside_kwh == pytest.approx(drivers.beside_w.sum() / 60_000.0)
    assert made.beside_kwh > 1.0
    assert not drivers.pv_w.any()
    alone = '[quote]\npurpose = "stand-alone"\n'
    with pytest.raises(JobError, match="gives beside the grid only"):
        case(tmp_path, *PARTS, PV_METER, array, alone, readings=meter_of_the_house(True), roof=sunny())


ESTIMATE = '[repair]\ngaps = "estimate"\n'
HOUR = 36


def holed(text, *hours):
    """Readings with nothing written at these hours."""
    rows = text.splitlines()
    for hour in hours:
        rows[1 + hour] = rows[1 + hour].split(",")[0] + "," * rows[0].count(",")
    return "\n".join(rows) + "\n"


def test_an_hour_missing_of_pv_or_export_is_estimated_where_gaps_are(tmp_path):
    """A straight line between its neighbours, here level, so the same energy as with the hour read; a finding says so."""
    parts = (*PARTS, PV_METER, PV + 'meter = "roof"\n')
    whole = case(tmp_path, *parts, readings=meter_of_the_house(True), roof=sunny()).asking
    of = {"readings": holed(meter_of_the_house(True), HOUR), "roof": holed(sunny(), HOUR)}
    made = case(tmp_path, *parts, ESTIMATE, **of)
    assert made.asking.beside_kwh == pytest.approx(whole.beside_kwh)
    filled = [one.where for one in made.findings if one.code == "demand.filled-open"]
    assert any(one.startswith("roof, ") for one in filled)  # by its meter, not by its column alone
    assert "job.longest-stretch" not in {one.code for one in made.findings}


def test_where_readings_are_missing_the_longest_stretch_is_taken_or_days_are_chosen(tmp_path):
    """Three days of which the middle one lacks an hour: one day is taken and told; a gap in the days chosen is refused."""
    parts = (*PARTS, PV_METER, PV + 'meter = "roof"\n')
    for main, roof in (((HOUR,), ()), ((), (HOUR,))):
        of = {"readings": holed(meter_of_the_house(True), *main), "roof": holed(sunny(), *roof)}
        made = case(tmp_path, *parts, **of)
        assert len(made.asking.gone) == 1440
        found = next(one for one in made.findings if one.code == "job.longest-stretch")
        assert (found.data["taken"], found.data["of"]) == (1, 3)
        chosen = case(tmp_path, *parts, days=(date(2025, 1, 8), date(2025, 1, 8)), **of)
        assert "job.longest-stretch" not in {one.code for one in chosen.findings}
        with pytest.raises(JobError, match=r"gap in (what PV gave|the readings)"):
            case(tmp_path, *parts, days=(date(2025, 1, 7), date(2025, 1, 8)), **of)
    nowhere = {"readings": holed(meter_of_the_house(True), 10, 36, 60), "roof": sunny()}
    with pytest.raises(JobError, match="gap in the readings"):
        case(tmp_path, *parts, **nowhere)


def test_what_stays_is_kept_where_the_person_says_so(tmp_path):
    """Battery and inverter of the job are quoted anew and that is told, or stay and are no part of what is bought."""
    own = '[inverter]\nrating = "3 kVA"\n[battery]\ncapacity = "5 kWh"\ncharge_power = "2 kW"\ndischarge_power = "2 kW"\n'
    anew = case(tmp_path, *PARTS, own).asking
    assert anew.own == ("battery", "inverter")
    assert anew.kept == NOTHING
    stays = case(tmp_path, *PARTS, own, "[quote]\nkeeps = true\n").asking
    assert stays.own == ()
    assert stays.kept == Size(0.0, 5000.0, 3000.0)
    assert stays.ratings_va[0] == 3000.0


def test_the_sun_of_a_quote_is_drawn_with_the_seed_of_the_job(tmp_path, monkeypatch):
    """Own PV that stays gives in the quote what it gives in the simulation; a roof to be quoted has the same seed's days."""
    monkeypatch.setattr("tests.job.simulated.HEAD", "seed = 7\n" + HEAD)
    stays = case(tmp_path, *PARTS, PV, "[quote]\nkeeps = true\n")
    simulated = question(tmp_path, *PARTS, PV).simulate(date(2025, 1, 6), date(2025, 1, 8)).scenario.drivers.pv_w
    assert simulated.any()
    np.testing.assert_array_equal(stays.today.scenario.drivers.beside_w, simulated)
    roofs = case(tmp_path, *PARTS, ROOFS)
    assert any("seed 7" in one.says(SHOW) for one in roofs.findings)
    monkeypatch.setattr("tests.job.simulated.HEAD", HEAD)
    usual = case(tmp_path, *PARTS, ROOFS)
    assert not np.array_equal(roofs.asking.layout.share, usual.asking.layout.share)
    south = next(iter(roofs.yields))
    assert roofs.yields[south][2].given_kwh != usual.yields[south][2].given_kwh


def test_a_meter_alone_is_enough(tmp_path):
    """A site without any load that is modelled is sized on its record as it stands."""
    made = case(tmp_path, SUPPLY, ROOFS, planned=False)
    assert made.plan is None
    assert made.today.scenario.loads == ()
    found = made.answer()
    assert found.today.found.balance.site == pytest.approx(float(made.today.scenario.drivers.rest_w.sum()) / 60_000.0)


def test_means_hide_peaks(tmp_path):
    """Hourly readings hide what a minute may reach, so that ratings are held against more than is simulated."""
    assert case(tmp_path, *PARTS).asking.hidden_va > 0.0


def test_keeps_without_anything_that_stays_is_refused(tmp_path):
    """It would mean nothing: what is kept must be written down."""
    with pytest.raises(JobError, match="nothing that stays"):
        case(tmp_path, *PARTS, "[quote]\nkeeps = true\n")


def test_roofs_that_lie_alike_are_told_apart(tmp_path):
    """By their place in the job; one of another kind keeps its plain name."""
    roof = '[[quote.pv]]\npeak = "3 kW"\ntilt_deg = 25\nazimuth_deg = 180\n'
    made = case(tmp_path, *PARTS, roof, roof, roof.replace("25", "40")).asking.layouts[0]
    names = [name for name, _ in made.parts]
    assert len(set(names)) == 3
    assert names[0].startswith("roof 1: tilt 25")
    assert names[1].startswith("roof 2: tilt 25")
    assert names[2].startswith("tilt 40")


def test_a_price_of_fuel_without_a_generator_is_told(tmp_path):
    """Nothing is burnt then, which the person may not have meant."""
    prices = '[quote]\nsteps = 4\n[quote.prices]\npv_kw = "1"\ninverter_kw = "1"\nbattery_kwh = "1"\n'
    fossil = '[generator]\nrating = "5 kW"\n'
    told = {}
    for name, parts in (("without", ()), ("with", (fossil,))):
        made = case(tmp_path, *PARTS, prices + 'fuel_kwh = "0.5"\n', *parts, outage_s=3600.0).answer()
        told[name] = {one.code for one in made.findings}
    assert "supply.fuel-unused" in told["without"]
    assert "supply.fuel-unused" not in told["with"]


def test_the_bill_of_the_readings_stands_beside_that_of_the_simulation(tmp_path):
    """By hand, of three days: 1.5 kW for 16 h at 0.30 and 8 h at 0.10 a day, and 1 kW more from ten to noon: 27 EUR."""
    (tmp_path / "tariff.toml").write_text(PRICES)
    parts = '[quote]\nsteps = 4\n[quote.prices]\npv_kw = "1"\ninverter_kw = "1"\nbattery_kwh = "1"\n'
    made = case(tmp_path, *PARTS, TARIFF, parts, outage_s=3600.0).answer()
    assert made.recorded_bill == pytest.approx(27.0)
    show = Show("en_GB", "SI", "UTC")
    rows = dict(worth_rows(made, show))
    assert abs(made.as_is.bill / 27.0 - 1.0) < 0.05
    assert rows["bill by the readings"].startswith("27 EUR; simulated as it is 27, ")
    assert quote_json(made, show)["recorded_bill"] == 27.0
    for bill, word in ((26.73, "1.0\u202f% less"), (27.27, "1.0\u202f% more"), (27.0, "the same")):
        told = dict(worth_rows(replace(made, as_is=replace(made.as_is, bill=bill)), show))["bill by the readings"]
        assert told.endswith(word)
    assert "bill by the readings" not in dict(worth_rows(replace(made, recorded_bill=None), show))


def test_a_record_that_may_hold_what_a_kept_battery_does_is_asked_about(tmp_path):
    """Where the bill by the readings is far from that with the battery simulated; near to it nothing is asked."""
    own = '[battery]\ncapacity = "5 kWh"\ncharge_power = "2 kW"\ndischarge_power = "2 kW"\n[inverter]\nrating = "3 kVA"\n'
    made = case(tmp_path, *PARTS, own, "[quote]\nkeeps = true\nsteps = 2\n", planned=False)
    plain = made.answer()
    codes = []
    for read in (100.0, 50.0):
        asked = replace(made, recorded_bill=read)
        found = replace(plain, as_is=replace(plain.as_is, bill=99.0))
        codes.append({one.code for one in asked.completed(found).findings})
    assert ["supply.kept-in-record" in one for one in codes] == [False, True]


def test_a_welded_contact_is_told_by_the_name_of_its_load(tmp_path):
    """Not by its id, in the finding as in the table."""
    made = case(tmp_path, *PARTS, "[quote]\nsteps = 6\n", outage_s=7200.0).answer()
    show = Show("en_GB", "SI", "UTC")
    told = [one.says(show) for one in made.findings if one.code == "supply.control-fails"]
    welded = [one for one in told if "welded" in one]
    assert made.cases[2].load in ("heater", "pump")
    assert all("Water heater" in one or "Pump" in one for one in welded)
    assert not any("contact of heater" in one or "contact of pump" in one for one in told)


THREE = SUPPLY.replace("single-phase", "three-phase")


def three(busy):
    """Readings of three conductors: 1.5 of 2 kW on one of them in the busy hours, else 0.5 on each."""
    rows = ["time,P L1 [kW],P L2 [kW],P L3 [kW]"]
    for hour in range(72):
        told = "0.3,1.5,0.2" if hour % 24 in busy else "0.5,0.5,0.5"
        rows.append(f"2025-01-{6 + hour // 24:02d} {hour % 24:02d}:00,{told}")
    return "\n".join(rows) + "\n"


def test_a_hidden_peak_lies_on_one_conductor_as_far_as_its_readings_have_it(tmp_path):
    """By hand: three quarters of the highest readings lay on one of three, so 2.25 times as much of a rating is kept, not 3."""
    made = case(tmp_path, THREE, readings=three((18, 19)), planned=False, outage_s=7200.0).asking
    assert made.hidden_on_one == pytest.approx(0.75)
    assert made.hidden_rating_va == pytest.approx(2.25 * made.hidden_va)
    unknown = case(tmp_path, THREE, planned=False, outage_s=7200.0)
    assert unknown.asking.hidden_on_one is None
    assert unknown.asking.hidden_rating_va == pytest.approx(3.0 * unknown.asking.hidden_va)
    codes = {one.code for one in unknown.answer().findings}
    assert "supply.hidden-on-one-conductor" in codes
    single = case(tmp_path, *PARTS).asking
    assert single.hidden_rating_va == single.hidden_va > 0.0


def test_a_weather_file_of_any_form_gives_the_sun(tmp_path):
    """TMY3, TM2, EPW and delimited text: what a roof gives is what the array makes of that file, and is no longer made up."""
    (tmp_path / "tmy3.csv").write_bytes((DATA / GREENSBORO).read_bytes())
    (tmp_path / "miami.tm2").write_bytes((DATA / MIAMI).read_bytes())
    (tmp_path / "site.epw").write_text(epw(2024))
    head = "time,global irradiance [W/m2],direct normal irradiance [W/m2],diffuse horizontal irradiance [W/m2]"
    noon = [f"2025-01-{6 + h // 24:02d} {h % 24:02d}:00,{'420,700,80' if 10 <= h % 24 < 14 else '0,0,0'},8,2" for h in range(72)]
    (tmp_path / "own.csv").write_text("\n".join([f"{head},air temperature [degC],wind speed [m/s]", *noon]) + "\n")
    bare = case(tmp_path, *PARTS, ROOFS)
    plain = bare.asking.layout.share
    assert any("clear sky" in one.says(SHOW) for one in bare.findings)
    for name in ("tmy3.csv", "miami.tm2", "site.epw", "own.csv"):
        made = case(tmp_path, *PARTS, ROOFS, f'[weather]\nfile = "{name}"\n')
        share = made.asking.layout.share
        assert len(share) == len(plain)
        assert 0.0 < share.max() <= 1.2
        assert not np.array_equal(share, plain)
        told = [one.says(SHOW) for one in made.findings if one.code != "job.no-sky"]
        assert not any("made of monthly means" in one or "clear sky" in one for one in told)
        # What the reader of the file has to say goes with the quote: typical years are made of months of several.
        codes = {one.code for one in made.findings}
        # The invented EPW counts its light through from hour to hour, by night as well: more than any sky gives.
        assert ("job.no-sky" in codes) == (name == "site.epw")
        assert ("sky.typical-year" in codes) == (name in ("tmy3.csv", "miami.tm2"))
        most_w, days, given = made.yields[next(iter(made.yields))]
        assert most_w == 3000.0
        assert days == pytest.approx(3.0 if name == "own.csv" else 365.0)
        assert given.given_kwh > 0.0


def test_three_conductors_are_quoted_by_their_own_means(tmp_path):
    """A record of the whole on three conductors: each carries a third of the rating, and the finding says what is not known."""
    three = SUPPLY.replace("single-phase", "three-phase")
    costs = '[quote]\nsteps = 4\n[quote.prices]\npv_kw = "700"\ninverter_kw = "150"\nbattery_kwh = "250"\n'
    made = case(tmp_path, three, costs, ROOFS, planned=False, outage_s=7200.0).answer()
    one = case(tmp_path, SUPPLY, costs, ROOFS, planned=False, outage_s=7200.0).answer()
    assert made.today.reached
    assert made.supply.connection.system == "three-phase"
    assert made.today.rating.hidden_va >= one.today.rating.hidden_va
    assert made.quoted.lpsp == 0.0


def test_prices_have_the_currency_of_the_tariff_or_their_own(tmp_path):
    """A site without a tariff may name one; two that differ are refused, and a code that is none is too."""
    costs = '[quote.prices]\npv_kw = "700"\ninverter_kw = "150"\nbattery_kwh = "250"\n'
    assert case(tmp_path, *PARTS, costs).asking.costing.currency == ""
    assert case(tmp_path, *PARTS, f'{costs}currency = "CHF"\n').asking.costing.currency == "CHF"
    (tmp_path / "tariff.toml").write_text(PRICES)
    assert case(tmp_path, *PARTS, TARIFF, costs).asking.costing.currency == "EUR"
    with pytest.raises(JobError, match="currency of the tariff"):
        case(tmp_path, *PARTS, TARIFF, f'{costs}currency = "CHF"\n')
    with pytest.raises(JobError, match="ISO 4217"):
        case(tmp_path, *PARTS, f'{costs}currency = "franc"\n')


def test_what_cannot_be_quoted_is_refused(tmp_path):
    """A record no longer than the outage, PV that is there already, and a site without a grid that is to lose it."""
    with pytest.raises(JobError, match="a day longer"):
        case(tmp_path, *PARTS, outage_s=3 * 86_400.0)
    alone = '[quote]\npurpose = "stand-alone"\n'
    with pytest.raises(JobError, match="nothing that fills a battery"):
        case(tmp_path, *PARTS, alone)
    with pytest.raises(JobError, match="can lose its grid"):
        case(tmp_path, *PARTS, alone, outage_s=3600.0)
