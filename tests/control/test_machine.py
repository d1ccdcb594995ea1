"""What must hold whatever happens: random events on a site, held to the promises of protection and wiring."""

import numpy as np
import pytest
from hypothesis import settings, strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from tests.control.stories import LOADS, span
from wattwright.control.columns import (
    C_BACK_S,
    C_CLOSED,
    C_SHED,
    C_SINCE_S,
    CAUSES,
    Q_CONTACT,
    SIGNALS,
    SITE_W,
)
from wattwright.control.compiled import compile_control, fresh
from wattwright.control.kernels import decide
from wattwright.control.response import response
from wattwright.control.rules import Control

pytestmark = pytest.mark.kernel
LIMIT_W = 10_000.0
IDS = (*LOADS, "d")
RATED_W = np.array([4000.0, 3000.0, 2000.0, 0.0])


class Wiring(RuleBasedStateMachine):
    """Three loads of 9 kW in all on a limit of 10 kW, the rest of the site beside them; d is a fan without power of note.

    a and b are interlocked, c needs the fan. A person, an outage and a lost link may come at any time.
    """

    @initialize(
        interval=st.sampled_from([0, 3]), report=st.sampled_from([0, 2]), delay=st.sampled_from([0, 2]),
        link=st.sampled_from([0, 2]),
        min_off=st.sampled_from([0, 9]), stagger=st.sampled_from([0, 4]), takes_over=st.booleans(), order=st.permutations(LOADS),
    )  # fmt: skip
    def wire(self, interval, report, delay, link, min_off, stagger, takes_over, order) -> None:
        shedding = {
            "pick_up": "10 kW", "restore": "6 kW", "order": list(order), "delay": f"{delay} s", "next_after": "2 s",
            "back_after": "5 s",
            "measured_every": f"{interval} s", "reported_after": f"{report} s",
        }  # fmt: skip
        relay = {"link_delay": f"{link} s", "min_off": f"{min_off} s", "min_on": "20 s", "fail_safe": "open", "lost_after": "6 s"}
        calls = {"kind": "set point", "quantity": "load value", "calls": "above", "set_point": 0, "differential": 1}
        self.control = Control.model_validate(
            {
                "rule": [{"id": f"r{load}", "load": load, **calls} for load in LOADS],
                "actuator": [{"load": load, **relay} for load in LOADS],
                "interlock": [
                    {"kind": "never both", "loads": ["a", "b"], "takes_over": takes_over},
                    {"kind": "needs", "loads": ["c", "d"]},
                ],
                "shedding": shedding, "stagger": f"{stagger} s",
                "override": [{"load": "a", "state": "on", "begins": "2025-03-04T12:01:00", "ends": "2025-03-04T12:01:30"}],
            }
        )  # fmt: skip
        self.rules = compile_control(self.control, IDS, span()).rules
        self.standing = fresh(self.rules)
        self.order = [IDS.index(load) for load in order]
        self.min_off, self.stagger = min_off, stagger
        self.calls, self.rest_w, self.supplied, self.linked, self.flow = np.zeros(4), 0.0, True, True, True
        self.now, self.over_s, self.disturbed_s, self.shed = 0, 0, 0.0, 0
        self.opened = np.full(4, -1e9)

    @rule(load=st.integers(0, 2), on=st.sampled_from([1.0, 1.0, 0.0]), seconds=st.integers(1, 15))
    def call(self, load, on, seconds) -> None:
        """A thermostat begins or ceases to call."""
        self.calls[load] = on
        self.wait(seconds)

    @rule(watts=st.sampled_from([0.0, 2000.0, 5000.0, 9000.0]), seconds=st.integers(1, 15))
    def rest(self, watts, seconds) -> None:
        """The rest of the site changes; it never exceeds the limit by itself."""
        self.rest_w = watts
        self.wait(seconds)

    @rule(what=st.sampled_from(["supplied", "linked", "flow"]), away=st.integers(1, 12), seconds=st.integers(1, 15))
    def lose(self, what, away, seconds) -> None:
        """The supply, the link or the fan goes away for a while."""
        setattr(self, what, False)
        self.wait(away)
        setattr(self, what, True)
        self.wait(seconds)

    def wait(self, seconds) -> None:
        """Time passes, second by second, and every promise is looked at in each."""
        for _ in range(seconds):
            self.second()

    def power(self) -> float:
        return float(self.rest_w + RATED_W @ self.standing.contacts[:, C_CLOSED]) if self.supplied else 0.0

    def second(self) -> None:
        signals = np.zeros(SIGNALS + 4)
        signals[SITE_W], signals[SIGNALS:] = self.power(), self.calls
        before = self.standing.contacts[:, C_CLOSED] > 0
        runs = before & self.supplied
        runs[3] = runs[3] and self.flow
        decide(self.rules, self.standing, float(self.now), 1.0, signals, runs, self.supplied, self.linked)
        after = self.standing.contacts[:, C_CLOSED] > 0
        self.wired(before, after, runs)
        self.kept(before, after)
        self.protected(signals[SITE_W])
        self.now += 1

    def wired(self, before, after, runs) -> None:
        """Interlocks hold, whoever calls: never both, nor one in the second in which the other opens; no heat without flow."""
        assert not (after[0] and after[1])
        assert not (after[0] and before[1])
        assert not (after[1] and before[0])
        assert not after[2] or runs[3]

    def kept(self, before, after) -> None:
        """A minimum off-time is kept, nothing is fed without supply, and after an outage loads come back in their turn."""
        closes = after & ~before
        for load in range(3):
            assert not closes[load] or self.now - self.opened[load] >= self.min_off
            assert not after[load] or self.standing.contacts[load, C_BACK_S] > load * self.stagger
        assert self.supplied or not after.any()
        self.opened[before & ~after] = self.now

    def protected(self, seen_w) -> None:
        """Loads are shed from the front of the order, one at a time, and the supply is relieved within the response time."""
        shed = [bool(self.standing.contacts[load, C_SHED]) for load in self.order]
        assert shed == sorted(shed, reverse=True)
        assert abs(sum(shed) - self.shed) <= 1
        self.shed = sum(shed)
        manual = 60 <= self.now < 95
        # While the link is away nothing can be shed, and a person may hold a load; then the promise begins anew.
        if seen_w < LIMIT_W or not self.linked or not self.supplied or manual:
            self.over_s = 0
        else:
            self.over_s += 1
        assert self.over_s <= response(self.control, "abc").total_s + 1

    @precondition(lambda self: hasattr(self, "standing"))
    @invariant()
    def defined(self) -> None:
        """Every contact is open or closed for a stated cause, and every rule has said something."""
        contacts = self.standing.contacts
        assert set(contacts[:, C_CLOSED]) <= {0.0, 1.0}
        assert (contacts[:, C_SINCE_S] >= 0).all()
        assert all(int(code) in CAUSES or code >= 100 for code in contacts[:, 12])
        assert set(self.standing.rules[:, Q_CONTACT]) <= {0.0, 1.0}


TestWiring = Wiring.TestCase
TestWiring.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
