"""The sweep over sizes: against a plain twin, against published and closed-form cases, and what must hold of any size."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.supply.sizing import columns
from wattwright.supply.sizing.columns import (
    SIZES,
    SUMS,
    Y_CHARGE_J,
    Y_DISCHARGE_J,
    Y_EXPORT_J,
    Y_GENERATOR_J,
    Y_IMPORT_J,
    Y_PEAK_W,
    Y_PV_J,
    Y_SERVED_J,
    Y_SPILLED_J,
    Y_UNSERVED_J,
    Z_CHARGE_W,
    Z_DISCHARGE_W,
    Z_INVERTER_W,
)  # fmt: skip
from wattwright.supply.sizing.sweep_kernels import sweep

KWH = 3.6e6
pytestmark = pytest.mark.kernel


def sizes(**rows):
    """Sizes as the sweep takes them; what is not said is nought, power and inverter without end."""
    count = max(len(np.atleast_1d(one)) for one in rows.values())
    z = np.zeros((SIZES, count))
    z[[Z_CHARGE_W, Z_DISCHARGE_W, Z_INVERTER_W]] = 1e9
    for name, value in rows.items():
        z[getattr(columns, f"Z_{name.upper()}")] = value
    return z


def swept(site_w, pv_share, grid, z, *, stored_j, beside_w=None, alone=1.0, kept=1.0, arrives=1.0, step_s=3600.0):
    """Sums, what is held at the end, and the power through the connection."""
    y, held = np.zeros((SUMS, z.shape[1])), np.broadcast_to(np.asarray(stored_j, float), z.shape[1]).copy()
    net = np.zeros((len(site_w), z.shape[1]))
    beside = np.zeros(len(site_w)) if beside_w is None else beside_w
    rows = [np.ascontiguousarray(np.asarray(one, float)) for one in (site_w, pv_share, beside, grid)]
    sweep(*rows, z, held, y, net, alone, kept, arrives, step_s)
    return y, held, net


def plain(site, sun, beside, grid, size, held, alone, kept, arrives, seconds, runs):
    """One step of one size, written out: what is imported, exported, unserved, then held, from the generator, and if it runs."""
    pv = size["pv"] * sun
    usable = min(pv, size["inverter"])
    runs = not grid and (held <= size["starts"] or (runs and held < size["stops"]))
    driven = size["generator"] if runs else 0.0
    carried = grid or (alone and site <= size["inverter"] + driven)
    driven = driven if carried else 0.0
    needed = (site + size["idle"] if carried else 0.0) - (beside if grid else 0.0)
    fuelled = min(driven, max(0.0, needed - usable))
    balance = usable + fuelled - needed
    give, take = max(0.0, -balance), max(0.0, balance)
    floor = size["reserve"] if grid else size["floor"]
    most_out = min(size["discharge"], size["inverter"] - usable if grid else size["inverter"])
    most_in = min(size["charge"], size["inverter"])
    if grid:
        give, below = max(0.0, give - size["shave"]), max(0.0, size["shave"] - max(0.0, -balance))
        take = max(take + below, min(size["refill"], max(0.0, floor - held) / kept / seconds))
    take += driven - fuelled
    out = max(0.0, min(give, most_out, max(0.0, held - floor) * arrives / seconds))
    put = max(0.0, min(take, most_in, (size["full"] - held) / kept / seconds))
    fuelled += 0.0 if grid else max(0.0, put - max(0.0, usable - needed))
    net = needed + put - usable - out - fuelled
    held += (put * kept - out / arrives) * seconds
    if grid:
        return max(0.0, net), max(0.0, -net), 0.0, held, 0.0, False
    return 0.0, 0.0, (max(0.0, net) if carried else site), held, fuelled, runs


power = st.floats(0.0, 9000.0)


@settings(max_examples=150)
@given(
    site=st.lists(power, min_size=1, max_size=12), pv=power, inverter=power, full=st.floats(0.0, 12.0),
    shares=st.tuples(*[st.floats(0.0, 1.0)] * 3), powers=st.tuples(power, power), shave=st.sampled_from([0.0, 0.0, 1500.0]),
    refill=st.sampled_from([0.0, 800.0]), beside=st.sampled_from([0.0, 0.0, 2500.0]),
    generator=st.sampled_from([0.0, 0.0, 1500.0, 6000.0]), kept=st.floats(0.7, 1.0), arrives=st.floats(0.7, 1.0),
    alone=st.booleans(),    data=st.data(),
)  # fmt: skip
def test_sweep_does_as_its_plain_twin_and_keeps_energy(
    site, pv, inverter, full, shares, powers, shave, refill, beside, generator, kept, arrives, alone,
    data
):  # fmt: skip
    """In every step import, export and what is held are those of the step written out, and energy is kept to 1e-9."""
    sun = data.draw(st.lists(st.floats(0.0, 1.0), min_size=len(site), max_size=len(site)))
    grid = data.draw(st.lists(st.booleans(), min_size=len(site), max_size=len(site)))
    low, high = sorted(shares[:2])
    size = {
        "pv": pv, "inverter": inverter, "full": full * KWH, "floor": low * full * KWH, "reserve": high * full * KWH,
        "charge": powers[0], "discharge": powers[1], "shave": shave, "refill": refill, "idle": 20.0,
        "generator": generator, "starts": 0.3 * full * KWH, "stops": 0.8 * full * KWH,
    }  # fmt: skip
    z = sizes(
        pv_w=[pv], inverter_w=inverter, full_j=size["full"], floor_j=size["floor"], reserve_j=size["reserve"],
        charge_w=powers[0], discharge_w=powers[1], shave_w=shave, refill_w=refill, idle_w=20.0,
        generator_w=generator, starts_j=size["starts"], stops_j=size["stops"],
    )  # fmt: skip
    held = shares[2] * full * KWH
    # From the start each time: whether the generator runs is kept within one call alone.
    steps = (site, sun, [beside] * len(site), np.array(grid, float))
    y, after, net = swept(steps[0], steps[1], steps[3], z, stored_j=held, beside_w=np.array(steps[2]), alone=float(alone),
                          kept=kept, arrives=arrives)  # fmt: skip
    runs, sums = False, np.zeros(SUMS)
    for t, (use, shines, there) in enumerate(zip(site, sun, grid, strict=True)):
        bought, sold, unserved, held, fuelled, runs = plain(
            use, shines, beside, there, size, held, alone, kept, arrives, 3600.0, runs
        )  # fmt: skip
        assert net[t, 0] == pytest.approx(bought - sold, rel=1e-9, abs=1e-3)
        sums[[Y_IMPORT_J, Y_EXPORT_J, Y_UNSERVED_J, Y_GENERATOR_J]] += np.array([bought, sold, unserved, fuelled]) * 3600.0
        sums[Y_PEAK_W] = max(sums[Y_PEAK_W], bought)
    for row in (Y_IMPORT_J, Y_EXPORT_J, Y_UNSERVED_J, Y_GENERATOR_J, Y_PEAK_W):
        assert y[row, 0] == pytest.approx(sums[row], rel=1e-9, abs=1e-2)
    assert after[0] == pytest.approx(held, rel=1e-9, abs=1e-2)
    assert y[Y_SERVED_J, 0] + y[Y_UNSERVED_J, 0] == pytest.approx(sum(site) * 3600.0, rel=1e-9, abs=1e-2)


@settings(max_examples=100)
@given(
    site=power, pv=power, inverter=power, full=st.floats(0.0, 12.0), shares=st.tuples(*[st.floats(0.0, 1.0)] * 2),
    powers=st.tuples(power, power), there=st.booleans(), alone=st.booleans(), generator=power, beside=power,
)  # fmt: skip
def test_energy_is_kept_in_each_step_of_the_sweep(site, pv, inverter, full, shares, powers, there, alone, generator, beside):
    """What comes is what goes to 1e-9, whatever feeds the site."""
    low, high = sorted(shares)
    z = sizes(
        pv_w=[pv], inverter_w=inverter, full_j=full * KWH, floor_j=low * full * KWH, reserve_j=high * full * KWH,
        charge_w=powers[0], discharge_w=powers[1], idle_w=20.0, generator_w=generator, starts_j=high * full * KWH,
        stops_j=full * KWH,
    )  # fmt: skip
    y, _, _ = swept([site], [0.7], [float(there)], z, stored_j=high * full * KWH, beside_w=np.array([beside]), alone=float(alone))
    carries = there or (alone and site <= inverter + (generator if not there else 0.0))
    comes = y[Y_IMPORT_J, 0] + y[Y_PV_J, 0] + y[Y_GENERATOR_J, 0] + y[Y_DISCHARGE_J, 0]
    goes = y[Y_SERVED_J, 0] + 20.0 * 3600.0 * carries + y[Y_EXPORT_J, 0] + y[Y_CHARGE_J, 0] + y[Y_SPILLED_J, 0]
    # What an idle draw lacks in an outage is no use of the site's: it counts as not served.
    assert comes == pytest.approx(goes, rel=1e-9, abs=1e-2)


@settings(max_examples=60)
@given(
    site=st.lists(power, min_size=5, max_size=40), sun=st.lists(st.floats(0, 1), min_size=40, max_size=40),
    gone=st.lists(st.booleans(), min_size=40, max_size=40), full=st.lists(st.floats(2.0, 20.0), min_size=2, max_size=2),
)  # fmt: skip
def test_more_battery_never_leaves_more_unserved(site, sun, gone, full):
    """With the same energy at the start, in reserve and at the floor, the same power and losses, a larger one serves no less."""
    n, (small, large) = len(site), sorted(full)
    z = sizes(
        pv_w=[4000.0, 4000.0], inverter_w=9000.0, full_j=[small * KWH, large * KWH], floor_j=0.5 * KWH, reserve_j=1.5 * KWH,
        charge_w=2000.0, discharge_w=3000.0,
    )  # fmt: skip
    y, *_ = swept(site, sun[:n], [not one for one in gone[:n]], z, stored_j=1.5 * KWH, kept=0.95, arrives=0.95)
    assert y[Y_UNSERVED_J, 1] <= y[Y_UNSERVED_J, 0] + 1e-3


@pytest.mark.parametrize(("usable", "unserved", "short"), [(4, 12, 4), (6, 9, 4), (8, 7, 3), (10, 5, 2)])
def test_loss_of_load_of_ten_days(usable, unserved, short):
    """Ten days worked out by hand: PV 5, 1, 0, 2, 6, 7, 1, 0, 0, 5 kWh, 4 kWh wanted each day, full at the start, no losses."""
    pv = np.array([5, 1, 0, 2, 6, 7, 1, 0, 0, 5]) * 1000.0 / 24.0
    z = sizes(pv_w=[1.0], full_j=usable * KWH)
    y, _, _ = swept(np.full(10, 4000.0 / 24.0), pv, np.zeros(10), z, stored_j=usable * KWH, step_s=86_400.0)
    assert y[Y_UNSERVED_J, 0] / KWH == pytest.approx(unserved)
    days = 0
    held = usable * KWH
    for day in range(10):
        one, after, _ = swept([4000.0 / 24.0], pv[day : day + 1], [0.0], z, stored_j=held, step_s=86_400.0)
        days, held = days + int(one[Y_UNSERVED_J, 0] > 1.0), after[0]
    assert days == short


@pytest.mark.parametrize(
    ("full", "share", "saved"),
    [
        (5.0, 1.0, 1.25),
        (5.0, 0.95, 4.75 * 0.30 - 5.0 / 0.95 * 0.05),
        (8.0, 1.0, 2.0),
        (30.0, 0.95, 10.2 * 0.30 - 10.2 / 0.9025 * 0.05),
    ],
)
def test_own_use_of_pv_saves_what_no_other_dispatch_could_better(full, share, saved):
    """Load 0.8 kW all day, PV of 29 kWh, buying 0.30, selling 0.05: the saving in closed form. Source: worked out by hand."""
    pv = np.zeros(24)
    pv[6:18] = np.array([0.5, 1, 2, 3, 3.5, 4, 4, 3.5, 3, 2, 1, 0.5]) * 1000.0
    z = sizes(pv_w=[1.0, 1.0], full_j=[0.0, full * KWH])
    # A second day, which begins as it ends but for what more the store holds: worth what it would have earned.
    _, before, _ = swept(np.full(24, 800.0), pv, np.ones(24), z, stored_j=0.0, kept=share, arrives=share)
    y, held, _ = swept(np.full(24, 800.0), pv, np.ones(24), z, stored_j=before, kept=share, arrives=share)
    cost = (y[Y_IMPORT_J] * 0.30 - y[Y_EXPORT_J] * 0.05) / KWH
    left = (held[1] - before[1]) / KWH / share * 0.05
    assert cost[0] == pytest.approx(2.110)
    assert cost[0] - cost[1] + left == pytest.approx(saved, abs=1e-9)


@pytest.mark.parametrize(
    ("energy", "most_kw", "share", "peak"),
    [(3, 99, 1.0, 8.0), (6, 99, 1.0, 7.0), (10, 99, 1.0, 6.0), (6, 2, 1.0, 8.0), (6, 99, 0.9, 7.2), (5.4, 99, 0.9, 7.38)],
)
def test_shaving_reaches_the_lowest_peak_there_is(energy, most_kw, share, peak):
    """Water-filling of a load of 2 to 10 kW: at the lowest level the battery just suffices, and a little below it no more."""
    load = np.array([2, 2, 2, 2, 3, 5, 8, 10, 9, 7, 4, 2]) * 1000.0
    level = np.array([peak, peak - 0.05]) * 1000.0
    z = sizes(full_j=[energy * KWH] * 2, discharge_w=most_kw * 1000.0, charge_w=0.0, shave_w=level)
    y, _, _ = swept(load, np.zeros(12), np.ones(12), z, stored_j=energy * KWH, arrives=share)
    assert y[Y_PEAK_W, 0] == pytest.approx(level[0])
    assert y[Y_PEAK_W, 1] > level[1] + 1.0
