"""Small invented sites for the tests of shedding."""

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from wattwright.control.rules import Control
from wattwright.core.fields import Held
from wattwright.plan.shed.overload import Overload, Stage
from wattwright.plan.shed.site import Limit, ShedLoad, ShedSite
from wattwright.plan.shed.spec import ShedGear
from wattwright.plan.shed.way import Way, way
from wattwright.plan.shed.withstand import Stepwise
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply

DATA_SHEET = ((1.25, 60.0), (1.5, 10.0), (2.0, 0.5))
QUICK = Way(0.0, 0.0, 0.0, 1.0, True, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
"""A way without any delay or loss, a second from load to load."""


def load(id_, watts, *, var=0.0, start_va=0.0, lasts_s=0.0, phase=0, phases=1):
    share = np.eye(phases)[phase]
    return ShedLoad(id_, id_, watts * share, var * share, start_va * share, lasts_s)


def shedding(**told):
    return {"pick_up": "5 kW", "restore": "2 kW", "order": ["boiler"], "measured_every": "0 s", **told}


def island(inverter_va=5000.0, withstands=DATA_SHEET, rating_a=None):
    """A supply whose inverter carries the site in outages."""
    return Supply(
        connection=Connection(rating_a=None if rating_a is None else Held(rating_a)),
        battery=Battery(capacity_wh=Held(10_000.0), charge_w=Held(9000.0), discharge_w=Held(9000.0)),
        inverter=Inverter(rating_va=Held(inverter_va), role="carries the site in outages", withstands=withstands),
    )


def grid(rating_a=20.0, **more):
    return Supply(connection=Connection(rating_a=Held(rating_a), **more))


def with_generator(rating_w=4000.0):
    return Supply(connection=Connection(), generator=Generator(rating_w=Held(rating_w)))


def site(loads, supply, rest_w=0.0, shed=None, **told):
    control = Control.model_validate(told if shed is None else {"shedding": shed, **told})
    count = {"single-phase": 1, "split-phase": 2, "three-phase": 3}[supply.connection.system]
    return ShedSite(tuple(loads), np.full(count, rest_w / count), np.zeros(count), control, supply)


def event(ratio=1.5, *, seen_share=0.0, frees=((0, 1.0),), withstands=DATA_SHEET, start_ratio=None, lasts_s=0.0, link_s=0.0):
    """An overload of a limit rated 1000 VA; ``frees`` are place in the order and share of the rating that goes."""
    limit = Limit("inverter", 1000.0, "VA", 1000.0, Stepwise(withstands))
    stages = tuple(Stage(f"l{place}", place, np.array([1000.0 * part]), np.zeros(1), link_s) for place, part in frees)
    after = np.array([1000.0 * ratio])
    return Overload(
        limit,
        ("new",),
        (),
        np.zeros(1),
        np.zeros(1),
        after,
        np.zeros(1),
        seen_share,
        start_ratio or ratio,
        lasts_s,
        ratio,
        stages,
    )


def quick(**more):
    return replace(QUICK, **more)


def order_way(of, gear=None):
    return way(of.control.shedding, gear or ShedGear())


@st.composite
def ways(draw):
    """Ways with delays and losses of every kind."""
    interval_s = draw(st.sampled_from([0.0, 0.5, 2.0, 10.0, 60.0]))
    loss = st.sampled_from([0.0, 0.01, 0.2])
    return Way(
        interval_s=interval_s, report_s=draw(st.sampled_from([0.0, 1.0])), delay_s=draw(st.sampled_from([0.0, 2.0, 7.5])),
        next_s=draw(st.sampled_from([0.5, 3.0])), means=draw(st.booleans()),
        report_spread_s=draw(st.sampled_from([0.0, 0.02, 1.5])), report_loss_share=draw(loss),
        link_spread_s=draw(st.sampled_from([0.0, 0.5])), command_loss_share=draw(loss), repeat_s=max(interval_s, 1.0),
        contactor_s=0.05,
    )  # fmt: skip


@st.composite
def events(draw):
    """Overloads of one to three loads that must go, one after the other, places in the order left out between them."""
    ratio = draw(st.floats(1.01, 2.2))
    count = draw(st.integers(1, 3))
    places = sorted(draw(st.lists(st.integers(0, 5), min_size=count, max_size=count, unique=True)))
    parts = draw(st.lists(st.floats(0.1, 0.8), min_size=count, max_size=count))
    # Together they free enough, with a little room.
    scale = (ratio - 0.9) / sum(parts)
    frees = tuple(zip(places, [part * scale for part in parts], strict=True))
    return event(ratio, seen_share=draw(st.sampled_from([0.0, 0.3, 1.0])), frees=frees, link_s=draw(st.sampled_from([0.0, 1.0])))


@st.composite
def sites(draw):
    """Sites of two to five loads on one or three conductors with a shed order, and the gear between."""
    phases = draw(st.sampled_from([1, 3]))
    count = draw(st.integers(2, 5))
    loads = [
        load(
            f"l{k}", draw(st.floats(300, 3000)), var=draw(st.sampled_from([0.0, 400.0])),
            start_va=draw(st.sampled_from([0.0, 3000.0])), lasts_s=0.5, phase=draw(st.integers(0, phases - 1)), phases=phases,
        )
        for k in range(count)
    ]  # fmt: skip
    order = draw(st.permutations([one.id for one in loads]))[: draw(st.integers(1, count))]
    amps = draw(st.booleans())
    interval_s = draw(st.sampled_from([0, 1, 5, 30]))
    shed = {
        "quantity": "current" if amps else "site power", "pick_up": f"{draw(st.integers(8, 25))} {'A' if amps else 'hW'}",
        "restore": "1 A" if amps else "100 W", "order": order, "delay": f"{draw(st.sampled_from([0, 2, 5]))} s",
        "measured_every": f"{interval_s} s", "next_after": f"{draw(st.sampled_from([1, 3]))} s",
    }  # fmt: skip
    if not amps:
        shed["pick_up"] = f"{draw(st.integers(2000, 6000))} W"
    loss = draw(st.sampled_from([0.0, 0.02])) if interval_s else 0.0
    supply = grid(draw(st.floats(8, 25)), system="single-phase" if phases == 1 else "three-phase")
    return site(loads, supply, 300.0 * phases, shed), ShedGear(report_loss=Held(loss), command_loss=Held(loss))
