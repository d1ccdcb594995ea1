"""The verb that proves, called as a person calls it."""

import json

import pytest

from tests.job.proved import PAID, write_job


@pytest.fixture
def heated(place):
    """The folder to work in, with a heated site beside: a year before, and half a year after in which a tenth was saved."""
    folder = place / "heated"
    folder.mkdir()
    return write_job(folder, after_days=182)


def test_freeze_then_prove(wattwright, heated):
    """Frozen with its plan and fingerprint, told again as it is, and held against a record; none wider than a terminal."""
    frozen = wattwright("proof", "heated", "--freeze")
    assert frozen.code == 0, frozen.err
    assert "Nothing is promised" in frozen.out
    print_ = json.loads((heated / "frozen.json").read_text())["fingerprint"][:16]
    assert print_ in frozen.out
    again = wattwright("proof", "heated")
    assert again.code == 0
    assert print_ in again.out
    proved = wattwright("proof", "heated", "--record", "heated/after.csv")
    assert proved.code == 0, proved.err
    told = " ".join(proved.out.split())
    assert "no claim yet" in told
    assert print_ in told
    assert "ask what has changed before you sign a claim" in told
    assert max(map(len, (frozen.out + again.out + proved.out).splitlines())) <= 80


def test_programs_get_plain_data(wattwright, heated):
    """Both documents name their schema; the proof holds what is asked of it, its band in order, and the weeks."""
    (heated / "job.toml").write_text((heated / "job.toml").read_text() + PAID)
    frozen = json.loads(wattwright("proof", "heated", "--freeze", "--json").out)
    assert frozen["schema"] == "wattwright.promise/1"
    assert {"path", "fingerprint", "plan", "models", "files", "promise", "findings"} <= set(frozen)
    assert [one["grain"] for one in frozen["models"]] == ["day", "hour"]
    made = json.loads(wattwright("proof", "heated", "--record", "heated/after.csv", "--json").out)
    assert made["schema"] == "wattwright.proof/1"
    wanted = {
        "model", "cv_rmse", "nmbe", "saving_kwh", "saving_low", "saving_high", "confidence", "saving_money", "findings",
        "peak_saved_kw", "running", "provable", "acted", "events", "adjusted", "normal_year", "promise",
    }  # fmt: skip
    assert wanted <= set(made)
    assert made["saving_low"] < made["saving_kwh"] < made["saving_high"]
    assert made["saving_money_low"] < made["saving_money"] < made["saving_money_high"]
    assert made["fingerprint"] == frozen["fingerprint"]
    assert made["is_claim"] is False
    assert len(made["running"]) == 26
    assert made["running"][-1]["saving_kwh"] == pytest.approx(made["saving_kwh"], abs=1e-3)


@pytest.mark.parametrize(
    ("given", "code", "words"),
    [
        (("heated/before.csv",), 2, "Give a job"),
        (("heated", "--freeze", "--record", "heated/after.csv"), 2, "Say one of them"),
        (("heated", "--anew"), 2, "--freeze"),
        (("heated", "--weather", "w.csv"), 2, "--record"),
        (("heated",), 1, "--freeze"),
        (("heated", "--record", "heated/after.csv"), 1, "Nothing was worked out"),
    ],
)
def test_what_is_wrong_is_told(wattwright, heated, given, code, words):
    """A bare file, options that do not go together, and a promise that is not frozen."""
    done = wattwright("proof", *given)
    assert done.code == code
    assert words in " ".join(done.err.split())
