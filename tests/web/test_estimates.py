"""Estimates of gaps accepted and refused by rule on the page of the meter files, and what that changes."""

from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked
from tests.web.test_answers import plain
from wattwright.job.assessment import Assessment

HOURS = 24 * 28
SHORT, LONG = (200,), tuple(range(300, 306))


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with four weeks of 2 kW by hours, of which one hour is missing, and elsewhere six."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "job.toml").write_text(PLAIN)
    rows = [f"2025-02-{1 + i // 24:02d} {i % 24:02d}:00,{'' if i in (*SHORT, *LONG) else 2}" for i in range(HOURS)]
    (job / "readings.csv").write_text("time,P [kW]\n" + "\n".join(rows) + "\n")
    return Asked(job)


def total_kwh(ask: Asked) -> float:
    """What the record comes to, in kWh."""
    held = ask.opened
    return Assessment(held.job, shelf=held.results).demand().summary.energy_kwh


def judge(ask: Asked, rule: str, take: str, **more: str):
    """Send the button of a rule."""
    return ask.post("/do/estimates", {"rule": rule, "take": take, **more})


def test_by_rule_with_what_it_changes(ask: Asked) -> None:
    """Of 2 kW an hour is 2 kWh and six are 12: each rule tells its own, and the total moves by as much; undo takes it back."""
    page = plain(ask("/meter-files")).replace("\u202f", " ")
    assert "by a straight line between its neighbours: 1. Accepted, they add 2.000 kWh" in page
    assert "by the average of like days: 1. Accepted, they add 12.00 kWh" in page
    read = 2.0 * (HOURS - 7)
    assert total_kwh(ask) == pytest.approx(read)
    for rule, take, told, energy in (
        ("like days", "yes", ("estimate", ("straight line", "register")), read + 12),
        ("straight line", "yes", ("estimate", ("register",)), read + 14),
        ("register", "yes", ("estimate", ()), read + 14),
        ("like days", "no", ("estimate", ("like days",)), read + 2),
    ):
        answer = judge(ask, rule, take)
        assert answer.headers["location"].endswith("/meter-files")
        said = ask.opened.spec.repair
        assert (said.gaps, said.refuse) == told
        assert total_kwh(ask) == pytest.approx(energy)
    page = plain(ask("/meter-files")).replace("\u202f", " ")
    assert "They count for 2.000 kWh; refused, they are gaps again" in page
    assert "Accepted, they add 12.00 kWh" in page
    ask.post("/do/undo", {"sheet": "meter-files"})
    assert total_kwh(ask) == pytest.approx(read + 14)


def test_a_kept_repair_is_not_made_again(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all rules are taken the estimates are those of the kept record: nothing is filled a second time."""
    ask.store.change(ask.store.head(ask.job), PLAIN + '[repair]\ngaps = "estimate"\n', "all")
    held = ask.opened
    filled = Assessment(held.job, shelf=held.results).power().filled
    assert len(filled) == 2

    def again(*_: object) -> None:
        raise AssertionError("the record was repaired again")

    monkeypatch.setattr("wattwright.demand.site.repair", again)
    assert Assessment(held.job, shelf=held.results).estimates() == filled


def test_the_last_rule_refused_leaves_gaps(ask: Asked) -> None:
    """Then nothing is filled, and the job file says so as it did before."""
    before = ask.opened.revision.text
    judge(ask, "register", "yes")
    judge(ask, "register", "no")
    assert ask.opened.spec.repair.gaps == "leave"
    assert ask.opened.spec.repair.refuse == ()
    assert "repair" not in before


@pytest.mark.parametrize(("rule", "base", "status"), [("none", "1", 422), ("", "1", 422), ("like days", "9", 409)])
def test_refused(ask: Asked, rule: str, base: str, status: int) -> None:
    """A rule that there is not, or another revision than the page showed: told, and nothing is changed."""
    before = ask.store.head(ask.job)
    assert judge(ask, rule, "yes", base=base).status_code == status
    assert ask.store.head(ask.job) == before


def test_nothing_to_judge(tmp_path: Path) -> None:
    """Without readings, without gaps or with a file that cannot be read there is no rule to accept or refuse."""
    for name, rows in (("none", None), ("whole", "2025-02-01 00:00,2\n2025-02-01 01:00,2\n2025-02-01 02:00,2\n"), ("bad", "x\n")):
        job = tmp_path / name
        job.mkdir()
        text = PLAIN if rows is not None else PLAIN.partition("[[meters]]")[0]
        (job / "job.toml").write_text(text)
        if rows is not None:
            (job / "readings.csv").write_text("time,P [kW]\n" + rows)
        page = Asked(job)("/meter-files")
        assert page.status_code == 200
        assert 'id="estimates-' not in page.text
