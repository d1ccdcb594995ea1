"""Random settings, told to both forms: as a person writes them, and as the plain form takes them."""

import datetime as dt

from hypothesis import strategies as st

from wattwright.control.rules import Control

LOADS = ("a", "b", "c")
BEGINS = dt.datetime(2025, 3, 4, 12)
WORDS = {"open": False, "closed": True, "as it was": None}


def seconds(*choices):
    return st.sampled_from(choices)


def _written(told) -> dict:
    """A rule as a person writes it."""
    base = {"id": told["id"], "load": LOADS[told["load"]], "beside": told["beside"], "months": [] if told["acts"] else [7]}
    base |= {"other_months": "open"} if told["rests_open"] else {}
    if told["kind"] == "cycle":
        return {
            **base,
            "kind": "repeat-cycle timer",
            "on_for": f"{told['on']} s",
            "off_for": f"{told['off']} s",
            "begins": told["begins"],
        }
    looks = {"measured_every": f"{told['interval']} s", "reported_after": f"{told['report']} s"}
    looks |= {"quantity": "site power"} if told["signal"] == "power" else {"quantity": "load value", "of": LOADS[told["signal"]]}
    unit = " W" if told["signal"] == "power" else ""
    if told["kind"] == "set point":
        return {
            **base, **looks, "kind": "set point", "calls": "above" if told["above"] else "below",
            "set_point": f"{told['drop']}{unit}", "differential": abs(told["pick"] - told["drop"]),
        }  # fmt: skip
    return {
        **base, **looks, "kind": "limit", "acts": "above" if told["above"] else "below", "pick_up": f"{told['pick']}{unit}",
        "drop_out": f"{told['drop']}{unit}", "on_delay": f"{told['on_delay']} s", "off_delay": f"{told['off_delay']} s",
        "contact": "closes" if told["closes"] else "opens",
    }  # fmt: skip


@st.composite
def rules(draw, number):
    told = {
        "id": f"r{number}",
        "load": draw(st.integers(0, 2)),
        "beside": draw(st.booleans()),
        "acts": draw(seconds(True, True, True, False)),
        "rests_open": draw(seconds(False, False, True)),
    }
    if draw(st.integers(0, 3)) == 0:
        return {
            **told,
            "kind": "cycle",
            "on": draw(seconds(3, 10)),
            "off": draw(seconds(4, 9)),
            "begins": draw(st.sampled_from(["on", "off"])),
        }
    above, gap, low = draw(st.booleans()), draw(st.integers(1, 2)), draw(st.integers(1, 5))
    told |= {
        "kind": draw(st.sampled_from(["limit", "set point"])), "above": above, "signal": draw(st.sampled_from(["power", 0, 1,
        2])),
        "pick": low + gap if above else low, "drop": low if above else low + gap, "closes": draw(st.booleans()),
        "on_delay": draw(seconds(0, 0, 3)), "off_delay": draw(seconds(0, 0, 5)), "interval": draw(seconds(0, 0, 4)),
        "report": draw(seconds(0, 0, 3)),
    }  # fmt: skip
    if told["kind"] == "set point":
        told |= {"closes": True, "on_delay": 0, "off_delay": 0}
    return told


@st.composite
def loads(draw):
    return {
        "never": draw(seconds(False, False, False, False, True)), "min_on": draw(seconds(0, 0, 8)), "min_off": draw(seconds(0,
        0, 6)),
        "restart": draw(seconds(0, 0, 5)), "power_up": draw(st.sampled_from(list(WORDS))), "fail_safe":
        draw(st.sampled_from(list(WORDS))),
        "lost_after": draw(seconds(0, 4)), "link": draw(seconds(0, 0, 3)), "unattended": draw(seconds(True, True, False)),
    }  # fmt: skip


@st.composite
def sites(draw):
    """Settings as (Control, the same for the plain form)."""
    told = {"rules": [draw(rules(number)) for number in range(draw(st.integers(0, 5)))], "loads": [draw(loads()) for _ in LOADS]}
    turn = draw(st.permutations(range(3)))
    pairs = [(turn[i], turn[j]) for i, j in ((0, 1), (0, 2), (1, 2))]
    told["locks"] = [(*pair, draw(st.booleans())) for pair in pairs if draw(st.integers(0, 3)) == 0]
    told["needs"] = [(*pair, draw(seconds(0, 5))) for pair in pairs if draw(st.integers(0, 4)) == 0]
    told["manual"] = [
        (draw(st.integers(0, 2)), begins := draw(st.integers(0, 60)), begins + draw(st.integers(1, 20)), draw(st.booleans()))
        for _ in range(draw(st.integers(0, 2)))
    ]
    told["shed"] = None
    if draw(st.booleans()):
        told["shed"] = {
            "pick": 6, "restore": draw(seconds(3, 4)), "delay": draw(seconds(0, 3)), "next": draw(seconds(1, 4)), "back":
            draw(seconds(0, 5)),
            "interval": draw(seconds(0, 4)), "report": draw(seconds(0, 3)), "order": draw(st.permutations(range(3))),
        }  # fmt: skip
    control = written(told)
    if told["shed"]:
        told["shed"]["order"] = [i for i in told["shed"]["order"] if not told["loads"][i]["never"]]
    for load in told["loads"]:
        load.update({key: WORDS[load[key]] for key in ("power_up", "fail_safe")})
    return control, told


def written(told) -> Control:
    """The settings as a person writes them."""
    actuators = [
        {
            "load": name, "interrupt": "never" if one["never"] else "mains", "unattended": one["unattended"],
            "power_up": one["power_up"], "fail_safe": one["fail_safe"], "restart_after": f"{one['restart']} s",
            **{key: f"{one[key]} s" for key in ("min_on", "min_off", "lost_after")}, "link_delay": f"{one['link']} s",
        }
        for name, one in zip(LOADS, told["loads"], strict=True)
    ]  # fmt: skip
    interlocks = [{"kind": "never both", "loads": [LOADS[i], LOADS[j]], "takes_over": over} for i, j, over in told["locks"]]
    interlocks += [{"kind": "needs", "loads": [LOADS[i], LOADS[j]], "run_on": f"{run_on} s"} for i, j, run_on in told["needs"]]
    overrides = [
        {"load": LOADS[i], "state": "on" if state else "off", **{key: BEGINS + dt.timedelta(seconds=at) for key, at in
         (("begins", begins), ("ends", ends))}}
        for i, begins, ends, state in told["manual"]
    ]  # fmt: skip
    given = {
        "rule": [_written(one) for one in told["rules"]],
        "actuator": actuators,
        "interlock": interlocks,
        "override": overrides,
    }
    shed = told["shed"]
    if shed:
        given["shedding"] = {
            "pick_up": f"{shed['pick']} W", "restore": f"{shed['restore']} W", "order": [LOADS[i] for i in shed["order"]],
            "delay": f"{shed['delay']} s", "next_after": f"{shed['next']} s", "back_after": f"{shed['back']} s",
            "measured_every": f"{shed['interval']} s", "reported_after": f"{shed['report']} s",
        }  # fmt: skip
    return Control.model_validate(given)


def stories():
    """What a site shows at each of many steps: long stretches of the same, short ones too, of 1 to 3 s a step."""
    stretch = st.tuples(
        st.integers(1, 12), st.integers(0, 8), st.tuples(*3 * [st.integers(0, 8)]), st.tuples(*3 * [st.booleans()]),
        seconds(True, True, True, True, False), seconds(True, True, True, False), seconds(1, 1, 2, 3),
    )  # fmt: skip
    return st.lists(stretch, min_size=4, max_size=14)
