"""Every registered comparison with something outside holds, and the register itself keeps its rules."""

import pytest

from wattwright.checks import registry
from wattwright.checks.examples import example
from wattwright.checks.registry import Check, Confidence, Outcome, all_checks, register, run_checks
from wattwright.core.errors import OwnFault


@pytest.mark.parametrize("check", all_checks(), ids=lambda check: check.id)
def test_holds(check: Check) -> None:
    """Ours agrees with the published value within the tolerance that was stated before."""
    outcome = Outcome(check, check.published(), check.ours())
    assert outcome.passed, f"published {outcome.published_text}, ours {outcome.ours_text}"


def test_at_least_forty() -> None:
    """The register holds at least forty comparisons, most of them not from memory."""
    checks = all_checks()
    assert len(checks) >= 40
    assert sum(one.confidence is not Confidence.FROM_MEMORY for one in checks) >= 40


def test_each_says_its_source() -> None:
    """No comparison stands without source, and no tolerance without a reason."""
    for one in all_checks():
        assert one.source, one.id
        assert one.why or not one.tolerance, one.id


def test_only_by_beginning() -> None:
    """A part of the register is chosen by how its ids begin."""
    chosen = run_checks("clock.day-length")
    assert {one.check.id for one in chosen} == {
        "clock.day-length-2025-03-30",
        "clock.day-length-2025-06-01",
        "clock.day-length-2025-10-26",
    }


def _check(published: float | str, ours: float | str, tolerance: float) -> Outcome:
    check = Check("x", "x", "W", "x", Confidence.CLOSED_FORM, tolerance, "x", lambda: published, lambda: ours)
    return Outcome(check, check.published(), check.ours())


@pytest.mark.parametrize(
    ("published", "ours", "tolerance", "passed"),
    [(1.0, 1.05, 0.1, True), (1.0, 1.15, 0.1, False), (1.0, 0.85, 0.1, False), ("a", "a", 0.0, True), ("a", "b", 9.0, False)],
)
def test_a_wrong_value_fails(published: float | str, ours: float | str, tolerance: float, passed: bool) -> None:
    """A value outside its tolerance does not pass, on either side, and texts must be equal."""
    assert _check(published, ours, tolerance).passed is passed


def test_texts_of_an_outcome() -> None:
    """An outcome is shown with its unit; a deviation of rounding noise is shown as nought."""
    assert _check(100.0, 100.5, 1.0).deviation_text == "+0.5"
    assert _check(100.0, 100.0 + 1e-11, 1.0).deviation_text == "0"
    assert _check("a", "a", 0.0).deviation_text == "–"
    assert _check(100.0, 100.5, 1.0).ours_text == "100.5 W"


def test_register_refuses_doubles_and_bare_tolerances(monkeypatch: pytest.MonkeyPatch) -> None:
    """An id is registered once, and a tolerance says what it allows for."""
    monkeypatch.setattr(registry, "_CHECKS", {})
    given = {"unit": "W", "source": "x", "confidence": Confidence.CLOSED_FORM, "published": 1.0, "ours": lambda: 1.0}
    register("a", "x", **given)
    with pytest.raises(OwnFault, match="two checks"):
        register("a", "x", **given)
    with pytest.raises(OwnFault, match="no reason"):
        register("b", "x", tolerance=0.1, **given)


def test_example_that_is_not_there() -> None:
    """A missing example is a fault of ours, said by name."""
    with pytest.raises(OwnFault, match=r"nothing\.toml"):
        example("tariffs/nothing.toml")
