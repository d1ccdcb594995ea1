"""Relays and controllers against what the trade means by their words: each contact second by second, worked out by hand."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.control.columns import C_CLOSED, SIGNALS, SITE_W
from wattwright.control.compiled import compile_control, fresh
from wattwright.control.kernels import decide
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock

_LOADS = ("a", "b")
_RELAY = "IEC 61812-1, function diagrams of time relays, from memory"
_TRADE = "meaning of the word in the trade, worked out by hand"


def _contacts(told: Mapping[str, object], power: Sequence[int], supplied: str = "", linked: str = "", load: int = 0) -> str:
    """Return the contact of a load second by second, 1 closed; each load runs while it is fed.

    ``power`` in W is what is measured in each second; in ``supplied`` and ``linked`` 0 stands for a second without.
    """
    rules = compile_control(Control.model_validate(told), _LOADS, Span(0, 86_400, SiteClock("UTC"))).rules
    standing, signals, seen = fresh(rules), np.zeros(SIGNALS + len(_LOADS)), ""
    for second, watts in enumerate(power):
        there, link = (text[second : second + 1] != "0" for text in (supplied, linked))
        signals[SITE_W] = watts
        runs = standing.contacts[:, C_CLOSED] > 0.0
        decide(rules, standing, float(second), 1.0, signals, runs, there, link)
        seen += "1" if standing.contacts[load, C_CLOSED] > 0.0 else "0"
    return seen


def _limit(**more: object) -> dict[str, object]:
    rule = {"id": "r", "load": "a", "kind": "limit", "quantity": "site power", "contact": "closes", "pick_up": "5 W"}
    return {"rule": [{**rule, "drop_out": "3 W", **more}]}


def _timer(begins: str) -> dict[str, object]:
    return {"rule": [{"id": "r", "load": "a", "kind": "repeat-cycle timer", "on_for": "3 s", "off_for": "2 s", "begins": begins}]}


def _by_hand(told: Mapping[str, object], begins: int, ends: int, load: str = "b") -> dict[str, object]:
    at = [f"1970-01-01T00:00:{second:02d}" for second in (begins, ends)]
    return {**told, "override": [{"load": load, "state": "off", "begins": at[0], "ends": at[1]}]}


_PULSE = [0, 0, 6, 6, 6, 6, 6, 0, 0, 0]
_SHED = {
    "shedding": {
        "pick_up": "9 W", "restore": "4 W", "order": ["b", "a"], "delay": "1 s", "next_after": "2 s", "back_after": "2 s",
    }
}  # fmt: skip
_TOO_MUCH = [9, 9, 9, 9, 9, 2, 2, 2, 2, 2, 2]
_NEVER_BOTH = {"interlock": [{"kind": "never both", "loads": ["b", "a"], "takes_over": True}]}
_CASES: tuple[tuple[str, str, str, Mapping[str, object], Sequence[int], dict[str, Any], str], ...] = (
    ("at-once", "a limit without delays, too much from 2 s to 6 s", _TRADE, _limit(), _PULSE, {}, "0011111000"),
    (
        "on-delay", "on-delay of 3 s, too much from 2 s to 6 s", _RELAY, _limit(on_delay="3 s"), _PULSE, {}, "0000011000",
    ),
    ("on-delay-short", "on-delay of 6 s, too much for 5 s", _RELAY, _limit(on_delay="6 s"), _PULSE, {}, "0000000000"),
    ("off-delay", "off-delay of 2 s, too much from 2 s to 6 s", _RELAY, _limit(off_delay="2 s"), _PULSE, {}, "0011111110"),
    (
        "on-delay-anew", "an on-delay of 2 s that is interrupted begins anew", _RELAY, _limit(on_delay="2 s"),
        [6, 0, 6, 6, 6, 0], {}, "000010",
    ),
    ("hysteresis", "stays between drop-out and pick-up", _TRADE, _limit(), [4, 5, 4, 4, 3, 4], {}, "011100"),
    ("below", "acts below: picks up at 3 W, drops out at 5 W", _TRADE,
     _limit(acts="below", pick_up="3 W", drop_out="5 W"), [6, 3, 4, 5, 4, 2], {}, "011001"),
    ("opens", "a contact that opens", _TRADE, _limit(contact="opens"), _PULSE, {}, "1100000111"),
    ("cycle-on", "asymmetric repeat cycle, on first, 3 s on and 2 s off", _RELAY, _timer("on"), [0] * 10, {}, "1110011100"),
    ("cycle-off", "asymmetric repeat cycle, off first", _RELAY, _timer("off"), [0] * 10, {}, "0011100111"),
    ("measured", "measured every 3 s and reported after 1 s", _TRADE,
     _limit(measured_every="3 s", reported_after="1 s"), [0, 6, 6, 6, 6, 6], {}, "000011"),
    ("minimum-off", "minimum off-time of 4 s", _TRADE,
     {**_timer("on"), "actuator": [{"load": "a", "min_off": "4 s"}]}, [0] * 10, {}, "1110000100"),
    ("minimum-on", "minimum on-time of 4 s, as long as the rule takes to open again", _TRADE,
     {**_limit(), "actuator": [{"load": "a", "min_on": "4 s"}]}, [0, 6, 0, 0, 0, 0, 0], {}, "0111100"),
    ("restart", "restart delay of 2 s after an outage from 2 s to 3 s", _TRADE,
     {"actuator": [{"load": "a", "restart_after": "2 s"}]}, [0] * 8, {"supplied": "11001111"}, "11000011"),
    ("attended", "may not restart by itself after an outage", _TRADE,
     {"actuator": [{"load": "a", "unattended": False}]}, [0] * 6, {"supplied": "110111"}, "110000"),
    ("fail-safe", "opens when the link has been lost for 2 s, closes when a command comes again", _TRADE,
     {"actuator": [{"load": "a", "fail_safe": "open", "lost_after": "2 s"}]}, [0] * 8, {"linked": "10000111"}, "11100111"),
    ("never", "a load that may never be interrupted", _TRADE,
     {**_timer("on"), "actuator": [{"load": "a", "purpose": "medical"}]}, [0] * 5, {}, "11111"),
    ("shed-first", "the first of the order is shed after the delay, and comes back last", _TRADE,
     _SHED, _TOO_MUCH, {"load": 1}, "10000000011"),
    ("shed-second", "the second goes when it is still too much, and comes back first", _TRADE,
     _SHED, _TOO_MUCH, {"load": 0}, "11100001111"),
    ("interlock", "never both: the other waits for a second in which neither is closed", _TRADE,
     _by_hand(_NEVER_BOTH, 2, 5), [0] * 8, {"load": 0}, "00011000"),
    ("takes-over", "never both: the one that takes over comes back once the other has opened", _TRADE,
     _by_hand(_NEVER_BOTH, 2, 5), [0] * 8, {"load": 1}, "11000011"),
)  # fmt: skip

for _id, _what, _source, _told, _power, _more, _published in _CASES:
    register(
        f"control.{_id}",
        f"contact second by second: {_what}",
        unit="",
        source=_source,
        confidence=Confidence.FROM_MEMORY if _source == _RELAY else Confidence.COMMON_PRACTICE,
        published=_published,
        ours=partial(_contacts, _told, _power, **_more),
    )
