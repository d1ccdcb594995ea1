"""The fit and its judgement of what can be told, on models whose answers are known."""

import numpy as np
import pytest
from scipy.stats import t

from wattwright.simulate.fit.identify import Parameter, fit
from wattwright.simulate.fit.statistics import Estimate


def some(name, usual=1.0, low=0.0, high=2.0, known=False) -> Parameter:
    return Parameter(name, "", usual, low, high, known)


def seen(*pairs) -> list[Estimate]:
    return [Estimate(value, error, 20.0) for value, error in pairs]


def test_a_straight_line_is_solved_with_its_interval() -> None:
    """Two statistics a + b and a - b of 5 and 1: a 3, b 2, each with an error of sqrt(2) / 2 of theirs (propagation of errors).

    Two equal errors with 20 degrees of freedom each make 40 (Welch and Satterthwaite, by hand).
    """
    a, b = fit(
        [some("a", high=10.0), some("b", high=10.0)], seen((5.0, 0.1), (1.0, 0.1)), lambda v: np.array([v[0] + v[1], v[0] - v[1]])
    )
    assert (a.value, b.value) == pytest.approx((3.0, 2.0), rel=1e-6)
    assert a.high - a.value == pytest.approx(t.ppf(0.95, 40) * 0.1 * np.sqrt(0.5), rel=1e-6)
    assert a.identifiable
    assert not a.held
    assert a.beside == ()


def test_a_curved_model_is_solved() -> None:
    """A b = 6 and a + b^2 = 11 from a = 1, b = 2 is a = 2, b = 3; a step too far is shortened."""
    a, b = fit(
        [some("a", 1.0, 0.5, 10.0), some("b", 2.0, 0.5, 10.0)],
        seen((6.0, 0.01), (11.0, 0.01)),
        lambda v: np.array([v[0] * v[1], v[0] + v[1] ** 2]),
    )
    assert (a.value, b.value) == pytest.approx((2.0, 3.0), rel=1e-4)


def test_what_stands_only_in_a_product_cannot_be_told_apart() -> None:
    """Of a and b only the product is seen: both are named beside each other, the first is fitted, the last held; c is told."""
    a, b, c = fit(
        [some("a"), some("b"), some("c")], seen((1.5, 0.001), (0.7, 0.01)), lambda v: np.array([v[0] * v[1], v[2]])
    )  # fmt: skip
    assert (a.identifiable, b.identifiable, c.identifiable) == (False, False, True)
    assert (a.beside, b.beside, c.beside) == (("b",), ("a",), ())
    assert (a.held, b.held) == (False, True)
    assert (a.value, b.value) == pytest.approx((1.5, 1.0), rel=1e-6)
    assert np.isnan([a.low, a.high, b.low]).all()
    assert c.low < 0.7 < c.high


def test_as_many_are_held_as_there_are_blind_directions() -> None:
    """Of four only a + b + c is seen: a is fitted, b and c are held from the end of the list on, and d shows nothing."""
    found = fit([some(name) for name in "abcd"], seen((2.4, 0.001)), lambda v: np.array([v[0] + v[1] + v[2]]))
    assert [one.held for one in found] == [False, True, True, True]
    assert found[0].value == pytest.approx(0.4, rel=1e-6)
    assert set(found[0].beside) == {"b", "c"}
    assert not any(one.identifiable for one in found)


def test_one_that_is_known_frees_the_other() -> None:
    """Where b was read on site as 1.2, a is told: 1.5 / 1.2 = 1.25."""
    a, b = fit([some("a"), some("b", 1.2, known=True)], seen((1.5, 0.001)), lambda v: np.array([v[0] * v[1]]))
    assert a.identifiable
    assert a.value == pytest.approx(1.25, rel=1e-6)
    assert (b.value, b.identifiable, b.known, b.held, b.beside) == (1.2, False, True, True, ())


def test_what_changes_nothing_is_not_shown() -> None:
    """A parameter that moves no statistic is held, with nothing beside it; so is one seen less sharply than its usual range.

    Errors of 1 on a usual range of 2: the 90 % interval would be 3.3 wide.
    """
    a, b = fit([some("a"), some("b")], seen((1.5, 0.001)), lambda v: np.array([v[0]]))
    assert (a.identifiable, b.identifiable, b.held, b.beside) == (True, False, True, ())
    (vague,) = fit([some("a")], seen((1.5, 1.0)), lambda v: v)
    assert (vague.identifiable, vague.held, vague.value) == (False, True, 1.0)


def test_nothing_to_fit_leaves_all_as_it_is() -> None:
    """Where everything was read on site nothing moves, whatever the record says."""
    (only,) = fit([some("a", 1.3, known=True)], seen((9.0, 0.1)), lambda v: v)
    assert (only.value, only.held, only.known) == (1.3, True, True)


def test_a_place_the_model_does_not_bear_is_not_gone_to() -> None:
    """A model that gives no number beyond 1.9 is not followed there, and nothing raises."""
    (a,) = fit([some("a", 1.0)], seen((5.0, 0.01)), lambda v: np.where(v > 1.9, np.nan, v))
    assert 1.0 <= a.value <= 1.9
    assert not a.identifiable


@pytest.mark.parametrize("seed", range(3))
def test_intervals_of_a_weighted_fit_hold_as_often_as_they_say(seed: int) -> None:
    """More statistics than parameters, of unlike errors: in 400 draws the 90 % interval holds in 86 to 94 %."""
    draws = np.random.default_rng(seed)
    design = np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 2.0], [0.0, 1.0]])
    errors, truth = np.array([0.1, 0.2, 0.05, 0.3]), np.array([1.2, 0.4])
    held = 0
    for _ in range(400):
        made = design @ truth + errors * draws.normal(size=4)
        found = fit(
            [some("a", high=9.0), some("b", high=9.0)], [Estimate(m, e, 1e6) for m, e in zip(made, errors, strict=True)],
            lambda v: design @ v,
        )  # fmt: skip
        held += found[1].low <= truth[1] <= found[1].high
    assert 0.86 <= held / 400 <= 0.94
