"""What a figure rests on: the rule for mixing, case by case."""

import itertools

import pytest
from hypothesis import given, strategies as st

from wattwright.core.basis import WORDS, Basis, collect, grounds, mix

M, E, S, C, A, P = (Basis(letter) for letter in "mescap")
ORDER = [M, P, C, E, S, A]  # from the firmest to the least firm, as the rule states it


@pytest.mark.parametrize(
    ("inputs", "result"),
    [
        ((M,), C), ((P,), C), ((C,), C), ((E,), E), ((S,), S), ((A,), A),
        ((M, P), C), ((M, C), C), ((M, E), E), ((M, S), S), ((M, A), A),
        ((P, C), C), ((P, E), E), ((C, S), S), ((E, S), S), ((E, A), A), ((S, A), A), ((M, P, C, E, S, A), A),
    ],
)  # fmt: skip
def test_mixing_rule(inputs, result):
    """Measured, published and calculated inputs give a calculated figure; else the least firm input marks it."""
    assert mix(grounds(one, "") for one in inputs).basis is result


@given(st.lists(st.sampled_from(ORDER), min_size=1, max_size=6))
def test_figure_is_never_firmer_than_its_inputs(inputs):
    """Whatever the order, the mark is no firmer than any input's, and every part is kept once, firmest first."""
    marks = {mix(grounds(one, "") for one in order).basis for order in itertools.islice(itertools.permutations(inputs), 24)}
    assert len(marks) == 1
    assert all(ORDER.index(next(iter(marks))) >= ORDER.index(one) for one in inputs)
    parts = mix(grounds(one, "") for one in inputs).parts
    assert list(parts) == sorted(set(inputs), key=ORDER.index)


@given(st.lists(st.sampled_from(ORDER), min_size=2, max_size=6), st.integers(1, 5))
def test_mixing_in_steps_is_as_firm_as_at_once(inputs, cut):
    """A figure made from a figure hides nothing: the parts are the same as when all inputs are mixed at once."""
    cut = min(cut, len(inputs) - 1)
    at_once = mix(grounds(one, "") for one in inputs)
    steps = mix([mix(grounds(one, "") for one in inputs[:cut]), mix(grounds(one, "") for one in inputs[cut:])])
    assert steps == at_once


def test_total_of_like_figures_keeps_their_mark():
    """A sum of measured readings is measured; with one estimate in it, it is estimated."""
    assert collect([grounds(M, "a"), grounds(M, "b")]).basis is M
    assert collect([grounds(M, "a"), grounds(E, "a")]).basis is E
    assert collect([grounds(A, "")]).basis is A


def test_sources_are_kept_once_in_their_order():
    """Each source stands once, in the order met; an empty one is none."""
    assert mix([grounds(M, "meter.csv"), grounds(P, "plate"), grounds(M, "meter.csv"), grounds(A, "")]).sources == (
        "meter.csv",
        "plate",
    )


@pytest.mark.parametrize("rule", [mix, collect])
def test_figure_rests_on_something(rule):
    """Nothing gives no figure."""
    with pytest.raises(ValueError, match="at least one input"):
        rule([])


def test_every_mark_has_a_word():
    """The foot of a paper can name all six marks."""
    assert set(WORDS) == set(Basis)
    assert len({one.value for one in Basis}) == 6
