"""A promise frozen beside the job: what it holds, and that any change or loss is told and nothing is made anew."""

import hashlib
import json
import re
from datetime import date

import numpy as np
import pytest

from tests.job.proved import DAYS, HEATER_FILE, assessed, copied, table, write_job
from tests.job.test_equipping import option, plan_of, planned_times
from tests.proof.invented import site
from wattwright.control.rules import Control
from wattwright.core.errors import FileError, JobError
from wattwright.core.show import Show
from wattwright.job.assessment import Assessment
from wattwright.job.freezing import freeze, sealed
from wattwright.job.unsealing import opened, what_is_broken
from wattwright.proof.models.record import Grain
from wattwright.proof.under import Under, limits_of

PUMP = '[[loads]]\nid = "pump"\nname = "Pump"\nkind = "pool pump"\nrating = "1 kW"\n'


@pytest.fixture(scope="module")
def frozen(tmp_path_factory):
    """A job whose promise is frozen, to be copied by who damages it."""
    folder = write_job(tmp_path_factory.mktemp("frozen"))
    freeze(assessed(folder))
    return folder


def codes(findings):
    """The codes of findings."""
    return [one.code for one in findings]


def refused(error, folder, words):
    """The code of what opening says, which names a next step."""
    with pytest.raises(error, match=words) as caught:
        opened(assessed(folder))
    fault = caught.value.faults[0]
    assert fault.next_step
    return fault.code


def test_what_is_frozen(frozen):
    """Baseline by hash, the model and its fit, a plan whose silent parts are proposed and said to be; no plan, no promise."""
    seal, findings = sealed(assessed(frozen))
    assert [(one.role, one.path) for one in seal.files] == [("readings", "before.csv")]
    assert (seal.main.model, seal.main.grain, seal.main.count) == ("day type and degree-days, heating", Grain.DAY, DAYS)
    assert seal.plan.option == "C"
    assert (seal.plan.begins, seal.plan.until, seal.plan.after) == (date(2023, 1, 2), date(2024, 1, 1), date(2024, 1, 1))
    assert seal.plan.variables == ("calendar", "outdoor temperature")
    assert seal.plan.proposed == ("boundary", "after", "static_factors")
    assert seal.promise is None
    assert codes(findings) == ["proof.no-promise", "proof.least-shown", "proof.plan-proposed"]
    assert seal.fingerprint == opened(assessed(frozen)).seal.fingerprint


def test_opened_baseline_is_the_fitted_one(frozen):
    """The model stands as it was fitted: its residuals are those of measured less told, and nothing is found to say."""
    held = opened(assessed(frozen))
    (one,) = held.baselines
    assert one.fitness.cv_rmse == held.seal.main.cv_rmse
    assert one.residual_kwh == pytest.approx(one.record.energy_kwh - one.fitted.predict(one.record))
    assert held.of(Grain.HOUR) is None
    assert held.findings == ()


def test_a_promise_is_frozen_once(frozen, tmp_path):
    """A second freezing is refused without an explicit word; with it the same content gives the same fingerprint."""
    folder = copied(frozen, tmp_path)
    with pytest.raises(FileError, match="both sides agreed"):
        freeze(assessed(folder))
    before = opened(assessed(folder)).seal
    again, findings = freeze(assessed(folder), anew=True)
    assert again.fingerprint == before.fingerprint
    assert "proof.frozen-anew" not in codes(findings)
    assert [one.name for one in folder.glob("frozen*")] == ["frozen.json"]


@pytest.mark.parametrize("is_whole", [True, False])
def test_what_was_frozen_before_is_kept(frozen, tmp_path, is_whole):
    """Freezing anew keeps the old promise, or what is left of it, byte for byte under its date and fingerprint, and names it."""
    folder = copied(frozen, tmp_path)
    path, job = folder / "frozen.json", folder / "job.toml"
    if not is_whole:
        path.write_text(path.read_text() + "tampered")
    old = path.read_bytes()
    job.write_text(job.read_text() + "[measurement]\nmonths = 6\n")
    shown = opened(assessed(frozen)).seal.shown
    seal, findings = freeze(assessed(folder), anew=True)
    assert seal.shown != shown
    told = next(one for one in findings if one.code == "proof.frozen-anew")
    name = told.data["file"]
    assert name == f"frozen-2024-02-01-{shown}.json" if is_whole else name.startswith("frozen-changed-")
    assert (folder / name).read_bytes() == old
    assert name in told.says(Show())


def test_a_changed_frozen_part_is_told(frozen, tmp_path):
    """One digit of a coefficient, by hand."""
    folder = copied(frozen, tmp_path)
    path = folder / "frozen.json"
    text = path.read_text()
    told = json.loads(text)
    told["frozen"]["models"][0]["numbers"]["coefficients"][0] += 0.01
    path.write_text(json.dumps(told))
    assert refused(JobError, folder, "was changed") == "proof.seal-changed"


def with_fingerprint(folder, change):
    """The frozen part of a job changed, under a fingerprint that fits: SHA-256 of sorted JSON without spaces."""
    path = folder / "frozen.json"
    frozen = json.loads(path.read_text())["frozen"]
    change(frozen)
    content = json.dumps(frozen, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    told = json.loads(path.read_text()) | {"frozen": frozen, "fingerprint": hashlib.sha256(content.encode()).hexdigest()}
    path.write_text(json.dumps(told))


def of_model(**entries):
    """A change of entries of the first model, or of its numbers."""

    def change(frozen):
        model = frozen["models"][0]
        for name, value in entries.items():
            (model["numbers"] if name in model["numbers"] else model)[name] = value

    return change


def longer(frozen):
    """One coefficient more."""
    frozen["models"][0]["numbers"]["coefficients"].append(1.0)


def without(frozen):
    """One number less."""
    del frozen["models"][0]["numbers"]["hourly"]


@pytest.mark.parametrize(
    "change",
    [
        longer,
        without,
        of_model(form="zzz"),
        of_model(heating_c=None),
        of_model(heating_c="14"),
        of_model(coefficients=3.0),
        of_model(nmbe=0.01),
        of_model(alike=0.0),
        of_model(parameters=2),
        of_model(unseen_cv_rmse=0.05),
        of_model(model="day type"),
        of_model(model="no such model"),
    ],
)
def test_numbers_that_make_no_such_model_are_told(frozen, tmp_path, change):
    """Numbers changed by hand under a fingerprint that fits make another result, and no error of the program."""
    folder = copied(frozen, tmp_path)
    with_fingerprint(folder, change)
    assert refused(JobError, folder, "another result") == "proof.other-result"


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (of_model(nmbe=0.01), "another result"),
        (lambda one: one["plan"].update(option="B"), 'the option "B"'),
        (lambda one: one["plan"].update(variables=["calendar"]), "another result"),
    ],
)
def test_what_is_sealed_anew_is_told_by_papers_too(frozen, tmp_path, change, word):
    """A number, the option or the variables changed under a fingerprint that fits: the verb and the papers say the same."""
    folder = copied(frozen, tmp_path)
    with_fingerprint(folder, change)
    assert refused(JobError, folder, word) == "proof.other-result"
    job = assessed(folder)
    assert what_is_broken(job, job.frozen_text()) == ""  # no readings are at hand
    job.power()
    assert word in what_is_broken(job, job.frozen_text())


def test_a_frozen_part_that_went_meanwhile_is_lost(frozen, tmp_path):
    """What was read and is gone by the time it is held against its files is told as lost, not as unreadable."""
    folder = copied(frozen, tmp_path)
    job = assessed(folder)
    text = job.frozen_text()
    (folder / "frozen.json").unlink()
    assert "no such file" in what_is_broken(job, text)


def test_prices_that_are_no_tariff_are_told(frozen, tmp_path):
    """A frozen tariff that cannot be read is told as the proof is opened, and on the papers."""
    folder = copied(frozen, tmp_path)
    with_fingerprint(folder, lambda one: one.update(tariff={"path": "tariff.toml", "id": "two", "text": "rubbish ["}))
    assert refused(JobError, folder, "cannot be read as a tariff") == "proof.other-result"
    job = assessed(folder)
    assert "cannot be read as a tariff" in what_is_broken(job, job.frozen_text())


def test_a_lost_frozen_part_is_told(frozen, tmp_path):
    """No frozen part is none, and is not made up."""
    folder = copied(frozen, tmp_path)
    (folder / "frozen.json").unlink()
    assert refused(FileError, folder, "--freeze") == "proof.not-frozen"
    assert not (folder / "frozen.json").exists()


def test_a_changed_or_lost_baseline_file_is_told(frozen, tmp_path):
    """One reading changed in the file of the baseline, and then the file gone."""
    folder = copied(frozen, tmp_path)
    path = folder / "before.csv"
    path.write_text(path.read_text().replace("1.", "2.", 1))
    assert refused(JobError, folder, "changed since") == "proof.changed-file"
    path.unlink()
    assert refused(FileError, folder, "SHA-256 begins") == "proof.lost-file"


def test_other_readings_from_the_same_file_are_told(frozen, tmp_path):
    """A stamp that now marks the end of its hour makes other readings of the same bytes."""
    folder = copied(frozen, tmp_path)
    job = folder / "job.toml"
    job.write_text(job.read_text().replace('stamps = "start"', 'stamps = "end"'))
    assert refused(JobError, folder, "other readings") == "proof.other-result"


@pytest.mark.parametrize("count", [300, DAYS])
def test_another_result_of_the_code_is_told(frozen, tmp_path, monkeypatch, count):
    """A model form whose code changed gives another result from the frozen numbers: told, not taken."""
    from wattwright.job import unsealing

    real = unsealing.uses

    def other(*given):
        (record,) = real(*given)
        fewer = record.part(record.starts_s < record.starts_s[0] + count * 86_400)
        return (fewer.part(fewer.energy_kwh == fewer.energy_kwh.max()) if count == DAYS else fewer,)

    monkeypatch.setattr(unsealing, "uses", other)
    assert refused(JobError, frozen, "another result") == "proof.other-result"


def test_a_changed_measurement_plan_is_told(frozen, tmp_path):
    """The job file says another zone and other months: what was frozen is used, and the difference told."""
    folder = copied(frozen, tmp_path)
    job = folder / "job.toml"
    others = 'months = 6\nafter = 2024-02-01\nresponsible = "the owners"\naccuracy = "class B"\n'
    job.write_text(job.read_text() + "[measurement]\n" + others)
    held = opened(assessed(folder))
    (one,) = held.findings
    assert one.code == "proof.plan-changed"
    assert "after, months, responsible, accuracy" in one.says(Show())
    assert held.seal.plan.months == 12


def test_the_kept_plan_is_the_promise(frozen, monkeypatch):
    """Saving and band in the plan's unit, what its loads draw less, and the loads it switches with their rules."""
    from dataclasses import replace

    from wattwright.plan.robust import Band

    best = replace(option("best", planned_times()), saving=40.0, band=Band(30.0, 40.0, 50.0), energy_kwh=90.0, peak_w=1500.0)
    today = replace(option("as today"), energy_kwh=100.0, peak_w=2000.0)
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(today, best))
    job = assessed(frozen)
    load = frozen / "job.toml"
    assert "pump" not in load.read_text()
    seal, findings = sealed(job)
    assert (seal.promise.objective, seal.promise.unit) == ("cost", "EUR")
    assert (seal.promise.saving, seal.promise.low, seal.promise.high) == (40.0, 30.0, 50.0)
    assert (seal.promise.energy_kwh, seal.promise.peak_w, seal.promise.days) == (10.0, 500.0, 1.0)
    assert seal.loads == ()
    assert "proof.no-promise" not in codes(findings)


@pytest.mark.parametrize(
    ("energy_kwh", "code"), [(5.0, "proof.provable"), (0.001, "proof.never-provable"), (-1.0, "proof.shifted")]
)
def test_when_a_promise_can_be_shown_is_said_before_it_is_frozen(frozen, monkeypatch, energy_kwh, code):
    """5 kWh a day show after some weeks, a watt-hour never, and none is no energy; the least that shows is told beside it."""
    from dataclasses import replace

    today = replace(option("as today"), energy_kwh=100.0)
    best = replace(option("best", planned_times()), saving=40.0, energy_kwh=100.0 - energy_kwh)
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(today, best))
    _, findings = sealed(assessed(frozen))
    assert [code, "proof.least-shown"] == [one for one in codes(findings) if one != "proof.plan-proposed"]


def test_planned_loads_keep_their_rules(tmp_path, monkeypatch):
    """A surveyed load that the plan switches stands there with its rating and its rules as written."""
    write_job(tmp_path, PUMP)
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(option("as today"), option("best", planned_times())))
    seal, _ = sealed(assessed(tmp_path))
    (one,) = seal.loads
    assert (one.id, one.rating_w, one.rules[0]["times"][0]["on"]["clock"]) == ("pump", 1000.0, "01:00:00")
    assert seal.plan.static_factors[0].startswith("the loads of the survey (1)")
    assert seal.shedding is None


def test_the_shed_order_of_the_plan_is_frozen(frozen, monkeypatch):
    """What the plan sheds, and above what, is a part of what was promised."""
    order = {"pick_up": "9 kW", "restore": "8 kW", "order": ["pump"]}
    best = option("best", Control.model_validate({"shedding": order}))
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(option("as today"), best))
    seal, _ = sealed(assessed(frozen))
    assert (seal.shedding["pick_up"], seal.shedding["order"]) == ("9 kW", ["pump"])
    assert limits_of(seal) == (Under("The shed order", 9000.0, 0.0),)


def test_money_takes_hours(tmp_path):
    """With a tariff and hourly readings a model of hours is frozen too; of a sub-meter none, since no bill is its own."""
    write_job(tmp_path, '[tariff]\nfiles = ["tariff.toml"]\npaid = "two"\n', HEATER_FILE, '[measurement]\nboundary = "heater"\n')
    power, _ = site(60, heating_w=0.0)
    (tmp_path / "heater.csv").write_text(table(0, 60, power.values, None))
    seal, findings = sealed(assessed(tmp_path))
    assert (seal.plan.option, seal.plan.boundary, [one.grain for one in seal.models]) == ("B", "heater", [Grain.DAY])
    assert "proof.part-of-year" in codes(findings)
    assert seal.plan.proposed == ("after", "static_factors")


def test_the_stretch_that_was_agreed_on(tmp_path):
    """A baseline from and until days holds those days and no others; one without a day of the record is refused."""
    write_job(tmp_path, "[measurement]\nfrom = 2023-02-01\nuntil = 2023-12-01\n")
    seal, _ = sealed(assessed(tmp_path))
    assert seal.main.count == (date(2023, 12, 1) - date(2023, 2, 1)).days
    job = tmp_path / "job.toml"
    job.write_text(re.sub("2023-", "2013-", job.read_text()))
    with pytest.raises(JobError, match="no day of the record"):
        sealed(assessed(tmp_path))


def test_what_cannot_carry_a_claim_is_refused(tmp_path):
    """Three weeks of readings make no baseline: refused with what to do, and nothing is written."""
    write_job(tmp_path, "[measurement]\nuntil = 2023-01-23\n")
    with pytest.raises(JobError, match="21 stretches") as caught:
        freeze(assessed(tmp_path))
    assert caught.value.faults[0].code == "proof.too-short"
    assert not (tmp_path / "frozen.json").exists()


def test_a_temperature_with_holes_is_said_not_to_be_used(tmp_path):
    """Of 60 days the record tells the temperature of the first 30: the model knows none, and the share is said."""
    write_job(tmp_path, after_days=7)
    power, outside = site(60, office_w=2000.0)
    rows = table(0, 60, power.values, outside.values).splitlines()
    holes = [row if at <= 24 * 30 else row.rsplit(",", 1)[0] + "," for at, row in enumerate(rows)]
    (tmp_path / "before.csv").write_text("\n".join(holes) + "\n")
    seal, findings = sealed(assessed(tmp_path))
    told = next(one for one in findings if one.code == "proof.warmth-short")
    assert told.data["share"] == pytest.approx(0.5, abs=1 / 59)
    assert seal.plan.variables == ("calendar",)


def test_weather_without_a_temperature_is_refused(tmp_path):
    """A file of the sun alone tells a baseline nothing: refused, though the record knows a temperature, and nothing is frozen."""
    write_job(tmp_path, '[measurement]\nweather = "sun.csv"\n', after_days=1)
    rows = [f"{np.datetime64('2023-01-02T00') + hour}Z,{100 + hour % 24}" for hour in range(24 * DAYS)]
    (tmp_path / "sun.csv").write_text("\n".join(["time,GHI [W/m2]", *rows]) + "\n")
    with pytest.raises(JobError, match=r"no outdoor temperature in sun\.csv") as caught:
        freeze(assessed(tmp_path))
    assert caught.value.faults[0].code == "proof.no-temperature"
    assert not (tmp_path / "frozen.json").exists()


def test_weeks_are_no_baseline(tmp_path):
    """Readings of a week each tell no day: refused with what to export, and nothing is written."""
    write_job(tmp_path)
    rows = [f"{np.datetime64('2023-01-02') + 7 * week},{300 + week}" for week in range(52)]
    (tmp_path / "before.csv").write_text("\n".join(["time,E [kWh]", *rows]) + "\n")
    with pytest.raises(JobError, match="readings of 7 days in before") as caught:
        freeze(assessed(tmp_path))
    assert caught.value.faults[0].code == "proof.long-baseline"
    assert not (tmp_path / "frozen.json").exists()


def test_days_of_another_clock_are_told_by_months(tmp_path):
    """Readings of days that begin at nine belong to no day of the site's clock, and make a model of months."""
    write_job(tmp_path, warm=False)
    rows = [f"{np.datetime64('2023-01-02T09:00') + np.timedelta64(day, 'D')},{30 + day % 3}" for day in range(DAYS)]
    (tmp_path / "before.csv").write_text("\n".join(["time,E [kWh]", *rows]) + "\n")
    seal, _ = sealed(assessed(tmp_path))
    assert seal.main.grain is Grain.MONTH


def test_a_boundary_without_readings(tmp_path):
    """A meter that has no file cannot be held to account."""
    write_job(tmp_path, '[measurement]\nboundary = "heater"\n')
    with pytest.raises(JobError, match='no file of the meter "heater"'):
        sealed(assessed(tmp_path))
