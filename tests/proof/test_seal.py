"""The frozen part as text: it comes back equal, its fingerprint is that of its content, and any change is told."""

import hashlib
import json
from datetime import date

import pytest

from wattwright.core.errors import JobError
from wattwright.proof.models.record import Grain
from wattwright.proof.seal import Promise, Seal, SealedFile, SealedModel, SealedPlan, read_seal

DAY = date(2024, 1, 1)
MODEL = SealedModel(
    grain=Grain.DAY, model="mean", form="mean", numbers={"coefficients": [24.0], "searched": 0}, count=364, parameters=1,
    cv_rmse=0.1, unseen_cv_rmse=0.11, nmbe=0.0, r2=0.0, alike=0.2, energy_kwh=8736.0, told_kwh=8736.0,
)  # fmt: skip
PLAN = SealedPlan(
    option="C", boundary="main", boundary_name="Main", begins=date(2023, 1, 1), until=DAY, after=DAY, months=12, confidence=0.9,
    grain=Grain.DAY, variables=("calendar",), static_factors=("four rooms let",), responsible="", accuracy="",
    weather="", proposed=(),
)  # fmt: skip
PROMISE = Promise(objective="cost", unit="EUR", days=1, saving=9, low=None, high=None, energy_kwh=1, peak_w=0)
FILE = SealedFile(role="readings", path="before.csv", size_bytes=1, sha256="0" * 64)
SEAL = Seal(
    job="A site", zone="Europe/Athens", country="", subdivision="", seed=1, issued=DAY, made_by="0", start_s=0, end_s=1, step_s=1,
    readings="", files=(FILE,), models=(MODEL,), promise=None, tariff=None, loads=(), shedding=None, plan=PLAN,
)  # fmt: skip


def test_it_comes_back_with_its_fingerprint():
    """Text and back is the same; the fingerprint is SHA-256 of sorted JSON without spaces, as another program would make it."""
    text = SEAL.text()
    assert read_seal(text, "frozen.json") == SEAL
    content = json.dumps(json.loads(text)["frozen"], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert SEAL.fingerprint == hashlib.sha256(content.encode()).hexdigest()
    assert SEAL.shown == SEAL.fingerprint[:16]


def test_its_models():
    """The first model is the one that energy is told by; of a grain without a model there is none."""
    assert SEAL.main is SEAL.model(Grain.DAY)
    assert SEAL.model(Grain.HOUR) is None


def changed(**entries):
    """The text with entries of the frozen content changed, its fingerprint left."""
    told = json.loads(SEAL.text())
    told["frozen"] |= entries
    return json.dumps(told)


def sealed_anew(**entries):
    """The same with a fingerprint that fits."""
    told = json.loads(changed(**entries))
    content = json.dumps(told["frozen"], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return json.dumps(told | {"fingerprint": hashlib.sha256(content.encode()).hexdigest()})


def with_model(**entries):
    """The same where entries of its model are others."""
    return sealed_anew(models=[MODEL.model_dump(mode="json") | entries])


def with_plan(**entries):
    """The same where entries of its plan are others."""
    return sealed_anew(plan=PLAN.model_dump(mode="json") | entries)


def test_what_is_sealed_anew_as_it_was_is_read():
    """The parts that the next check changes are whole by themselves."""
    assert read_seal(with_model(), "frozen.json") == read_seal(with_plan(), "frozen.json") == SEAL


@pytest.mark.parametrize(
    "text",
    [
        sealed_anew(files=[]),
        sealed_anew(files=[FILE.model_copy(update={"role": "weather"}).model_dump(mode="json")]),
        sealed_anew(step_s=0),
        sealed_anew(promise=PROMISE.model_dump(mode="json") | {"days": 0}),
        sealed_anew(promise=PROMISE.model_dump(mode="json") | {"saving": float("nan")}),
        with_plan(confidence=5),
        with_plan(confidence=0.1),
        with_plan(months=0),
        with_model(alike=1.5),
        with_model(r2=1.1),
        with_model(cv_rmse=-0.1),
        with_model(unseen_cv_rmse=float("inf")),
        with_model(nmbe=float("nan")),
        with_model(count=-1),
        with_plan(grain="month"),
        sealed_anew(models=2 * [MODEL.model_dump(mode="json")]),
        sealed_anew(zone="Europe/Nowhere"),
        sealed_anew(country="ZZ"),
        sealed_anew(country="GR", subdivision="zzz"),
    ],
)
def test_what_cannot_have_been_frozen_is_not_read(text):
    """No readings, a confidence of five, a correlation beyond one and the like, under a fingerprint that fits."""
    with pytest.raises(JobError, match="cannot be read") as caught:
        read_seal(text, "frozen.json")
    assert caught.value.faults[0].code == "proof.seal-unreadable"


@pytest.mark.parametrize(
    ("told", "word"),
    [
        (SEAL.text().replace('"fingerprint":', '"note": "all is well",\n "fingerprint":', 1), "note"),
        (SEAL.text().replace('"zone":', '"zone": "Asia/Tokyo",\n  "zone":', 1), "zone"),
        (SEAL.text().replace('"schema":', '"schema": "wattwright.frozen/4",\n "schema":', 1), "schema"),
    ],
)
def test_an_entry_more_or_twice_is_tampering(told, word):
    """A foreign entry beside the frozen ones, and one that stands there twice, are told by name."""
    with pytest.raises(JobError, match=f'"{word}".*was changed') as caught:
        read_seal(told, "frozen.json")
    assert caught.value.faults[0].code == "proof.seal-changed"


@pytest.mark.parametrize(
    "text",
    [
        changed(job="\ud800"),
        SEAL.text().replace(SEAL.fingerprint, "\\ud800"),
        SEAL.text().replace('"zone":', '"\\ud800": 1, "\\ud800":', 1),
    ],
)
def test_half_a_character_is_tampering(text):
    """A lone surrogate, which JSON allows and no text can hold (RFC 8259, section 8.2), is told in words that can be written."""
    with pytest.raises(JobError, match="was changed") as caught:
        read_seal(text, "frozen.json")
    assert caught.value.faults[0].code == "proof.seal-changed"
    assert caught.value.faults[0].sentence().encode()


@pytest.mark.parametrize(
    "text",
    [
        changed(extra=1),
        changed(models=[]),
        changed(seed=2),
        changed(models=[MODEL.model_copy(update={"numbers": {"coefficients": [25.0], "searched": 0}}).model_dump(mode="json")]),
        changed(promise=PROMISE.model_dump(mode="json")),
        changed(plan=PLAN.model_copy(update={"months": 6}).model_dump(mode="json")),
    ],
)
def test_any_change_is_told(text):
    """A changed seed, coefficient, promise or plan no longer gives the fingerprint."""
    with pytest.raises(JobError, match="was changed") as caught:
        read_seal(text, "frozen.json")
    assert caught.value.faults[0].code == "proof.seal-changed"


@pytest.mark.parametrize("schema", ["wattwright.frozen/3", "wattwright.frozen/5"])
def test_a_frozen_part_of_another_version(schema):
    """It names the version that froze it, which can prove it, and never says to put back a copy."""
    text = json.dumps(json.loads(changed(made_by="0.7")) | {"schema": schema})
    with pytest.raises(JobError, match=r"wattwright 0\.7 wrote") as caught:
        read_seal(text, "frozen.json")
    (fault,) = caught.value.faults
    assert fault.code == "proof.seal-other-version"
    assert "Prove it with wattwright 0.7, or agree" in fault.next_step
    assert schema in fault.found


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"schema": "other/1"}',
        '{"schema": "other/1", "frozen": {"made_by": "0"}}',
        '{"schema": "wattwright.frozen/3", "frozen": {}}',
        sealed_anew(models=[]),
        '{"schema": "wattwright.frozen/4"}',
    ],
)
def test_what_is_no_frozen_part(text):
    """Empty, cut and foreign text, and what a person sealed of other entries, cannot be read, and says what to do."""
    with pytest.raises(JobError, match="Put back the copy") as caught:
        read_seal(text, "frozen.json")
    assert caught.value.faults[0].code == "proof.seal-unreadable"
