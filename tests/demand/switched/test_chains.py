"""The chains against every path written out one by one."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.demand.switched.alike_kernels import backward_alike, forward_alike
from wattwright.demand.switched.chain_kernels import HALF, backward, forward
from wattwright.demand.switched.shares_kernels import beside_rest, between_all

pytestmark = pytest.mark.kernel
SHORT = 6


def paths(last: int, count: int = 2):
    """Every way from interval 0 to the last in strides of one and two, with any of so many states wherever it sets foot."""
    strides = [[0]]
    whole = []
    while strides:
        told = strides.pop()
        if told[-1] == last:
            whole.append(told)
            continue
        strides += [[*told, told[-1] + step] for step in (1, 2) if told[-1] + step <= last]
    return [(way, states) for way in whole for states in product(range(count), repeat=len(way))]


def weight(way, states, clean, split, rise, fall) -> float:
    """How likely one path is, by the plain rule: the chance of each switching and staying times the density of each move."""
    total = 0.5
    for k in range(1, len(way)):
        was, now, stride = states[k - 1], states[k], way[k] - way[k - 1]
        up, down = rise[way[k]], fall[way[k]]
        turn = {(0, 0): 1 - up, (0, 1): up, (1, 0): down, (1, 1): 1 - down}[was, now]
        halves = HALF if stride == 2 else (1 - HALF if was != now else 1.0)
        total *= turn * halves * (clean if stride == 1 else split)[way[k], 2 * was + now]
    return total


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_load_is_on_as_often_as_over_all_paths(seed) -> None:
    """Chances of being on and of switching are those of all paths added up; half of an interval passed over counts."""
    draws = np.random.default_rng(seed)
    rise, fall = draws.uniform(0.01, 0.5, (2, SHORT))
    clean, split = draws.uniform(0.05, 2.0, (SHORT, 4)), draws.uniform(0.0, 1.0, (SHORT, 4))
    whole, on, up, down = 0.0, np.zeros(SHORT), np.zeros(SHORT), np.zeros(SHORT)
    for way, states in paths(SHORT - 1):
        mass = weight(way, states, clean, split, rise, fall)
        whole += mass
        for k, at in enumerate(way):
            on[at] += mass * states[k]
            if k and way[k] - way[k - 1] == 2:
                on[at - 1] += mass * 0.5 * (states[k - 1] + states[k])
            if k and states[k] != states[k - 1]:
                (up if states[k] else down)[way[k - 1] + 1] += mass
    state, scale = forward(clean, split, rise, fall)
    told = backward(state, scale, clean, split, rise, fall)
    assert np.prod(scale) == pytest.approx(whole)
    assert told == pytest.approx(np.column_stack([on, up, down]) / whole)


def weight_beside(way, states, seen) -> float:
    """The same beside two appliances, states 2 and 3, of which one begins or ends only from off."""
    clean, split, rise, fall, up, down, row, begin, end = seen
    total = 0.5 * (states[0] < 2)
    for k in range(1, len(way)):
        was, now, at, stride = states[k - 1], states[k], way[k], way[k] - way[k - 1]
        moves = (clean if stride == 1 else split)[at]
        if max(was, now) < 2:
            turn = ((1 - rise[at] - begin[at], rise[at]), (fall[at], 1 - fall[at]))[was][now] * moves[2 * was + now]
        elif was == now:
            turn = (1 - end) * moves[3]
        elif row[at] < 0 or 0 not in (was, now):
            turn = 0.0
        else:
            turn = begin[at] / 2 * up[row[at], stride - 1, now - 2] if now else end * down[row[at], stride - 1, was - 2]
        total *= turn * (HALF if stride == 2 else (1 - HALF if was != now else 1.0))
    return total


def seen_beside(draws, last):
    """Random densities and chances for a load beside two appliances, with steps like theirs in some intervals only."""
    rise, fall, begin = draws.uniform(0.01, 0.4, (3, last))
    clean, split = draws.uniform(0.05, 2.0, (last, 4)), draws.uniform(0.0, 1.0, (last, 4))
    row = np.where(draws.random(last) < 0.7, np.arange(last), -1)
    up, down = draws.uniform(0.0, 2.0, (2, last, 2, 2))
    return clean, split, rise, fall, up, down, row, begin, 0.3


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_load_beside_appliances_is_on_as_often_as_over_all_paths(seed) -> None:
    """Chances of the load, of its switchings, of the appliances and of their beginnings are those of all paths added up."""
    last = 5
    seen = seen_beside(np.random.default_rng(seed), last)
    whole, told = 0.0, np.zeros((last, 5))
    for way, states in paths(last - 1, 4):
        mass = weight_beside(way, states, seen)
        whole += mass
        for k, at in enumerate(way):
            was, now = states[max(0, k - 1)], states[k]
            told[at, 0] += mass * (now == 1)
            told[at, 3] += mass * (now > 1)
            if k and way[k] - way[k - 1] == 2:
                told[at - 1, 0] += mass * 0.5 * ((was == 1) + (now == 1))
                told[at - 1, 3] += mass * 0.5 * ((was > 1) + (now > 1))
            if was != now:
                first = way[k - 1] + 1
                told[first, 1] += mass * (now == 1)
                told[first, 2] += mass * (was == 1)
                told[first, 4] += mass * (now > 1)
    state, scale = forward_alike(*seen)
    assert np.prod(scale) == pytest.approx(whole)
    assert backward_alike(state, scale, *seen) == pytest.approx(told / whole)


def test_a_reading_that_neither_load_nor_appliance_explains_leaves_the_state_as_it_was() -> None:
    """The same with appliances beside the load: an impossible reading ends in no number, and the chain goes on."""
    clean = np.ones((5, 4))
    clean[3] = 0.0
    steps, none = np.zeros((0, 2, 2)), np.full(5, -1)
    state, scale = forward_alike(
        clean, np.zeros((5, 4)), np.full(5, 0.1), np.full(5, 0.1), steps, steps, none, np.full(5, 0.1), 0.1
    )
    assert scale[3] == 1e-300
    assert state[3] == pytest.approx(state[2])


def test_a_reading_nothing_explains_leaves_the_state_as_it_was() -> None:
    """Where every move is impossible the chain goes on as before instead of ending in no number."""
    clean = np.ones((5, 4))
    clean[:3, 1:] = 1e-9
    clean[3] = 0.0
    state, scale = forward(clean, np.zeros((5, 4)), np.full(5, 0.1), np.full(5, 0.1))
    assert scale[3] == 1e-300
    assert np.isfinite(state).all()
    assert state[3] == pytest.approx(state[2])


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_shares_are_as_likely_as_over_all_paths(seed) -> None:
    """Chances of three states and counts of moves are those of all 3^5 paths added up, the first as likely as it is seen."""
    draws = np.random.default_rng(seed)
    seen, moves = draws.uniform(0.0, 1.0, (5, 3)), draws.uniform(0.1, 1.0, (3, 3))
    moves /= moves.sum(axis=1, keepdims=True)
    whole, chance, made = 0.0, np.zeros((5, 3)), np.zeros((3, 3))
    for states in product(range(3), repeat=5):
        mass = seen[0, states[0]]
        for t in range(1, 5):
            mass *= moves[states[t - 1], states[t]] * seen[t, states[t]]
        whole += mass
        for t in range(5):
            chance[t, states[t]] += mass
            if t:
                made[states[t - 1], states[t]] += mass
    told = between_all(seen, moves)
    assert told[0] == pytest.approx(chance / whole)
    assert told[1] == pytest.approx(made / whole)


def test_a_share_that_cannot_be_is_never_taken() -> None:
    """A state with no likelihood has no chance, and nothing is divided by it."""
    seen = np.array([[1.0, 0.0, 1.0]] * 4)
    chance, _ = between_all(seen, np.full((3, 3), 1 / 3))
    assert chance == pytest.approx(np.array([[0.5, 0.0, 0.5]] * 4))


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_shares_beside_a_rest_are_as_likely_as_over_all_paths(seed) -> None:
    """Chances of three states, counts of moves by hour and of the rest's goings are those of all 3^5 paths added up."""
    draws = np.random.default_rng(seed)
    level, weight, hour = draws.integers(0, 4, (5, 3)), draws.uniform(0.1, 1.0, (5, 3)), draws.integers(0, 24, 5)
    goes, moves = draws.uniform(0.1, 1.0, (4, 4)), draws.uniform(0.1, 1.0, (24, 3, 3))
    whole, chance, made, gone = 0.0, np.zeros((5, 3)), np.zeros((24, 3, 3)), np.zeros((4, 4))
    for states in product(range(3), repeat=5):
        steps = [(hour[t], states[t - 1], states[t], level[t - 1, states[t - 1]], level[t, states[t]]) for t in range(1, 5)]
        mass = np.prod([weight[t, states[t]] for t in range(5)]) / weight[0].sum()
        mass *= np.prod([moves[at, i, j] * goes[a, b] for at, i, j, a, b in steps])
        whole += mass
        for t in range(5):
            chance[t, states[t]] += mass
        for at, i, j, a, b in steps:
            made[at, i, j] += mass
            gone[a, b] += mass
    told = beside_rest(level, weight, goes, moves, hour)
    assert told[0] == pytest.approx(chance / whole)
    assert told[1] == pytest.approx(made / whole)
    assert told[2] == pytest.approx(gone / whole)
    assert told[3] == pytest.approx(np.log(whole))


def test_a_way_of_the_rest_that_cannot_be_is_never_taken() -> None:
    """Where the rest cannot go to a level, no path leads there, and nothing is divided by its chance of nought."""
    level = np.array([[0, 1]] * 4)
    chance, _, gone, _ = beside_rest(
        level, np.ones((4, 2)), np.array([[1.0, 0.0]] * 2), np.full((24, 2, 2), 0.5), np.zeros(4, int)
    )
    assert chance[1:] == pytest.approx(np.array([[1.0, 0.0]] * 3))
    assert gone.sum() == pytest.approx(3.0)
