"""Energy is kept in every minute of a year, whatever feeds the site: 200 supplies drawn at random."""

import numpy as np

from tests.simulate.balance_kernels import worst_balance
from wattwright.core.fields import Held
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply

MINUTES = 525_600


def drawn(chance):
    """A supply at random: every role, with and without battery and generator, shaving, refilling, losses, own draw."""
    role = str(chance.choice(["beside the grid", "carries the site in outages", "stand-alone"]))
    battery = Battery(
        capacity_wh=Held(float(chance.uniform(500, 20_000))), charge_w=Held(float(chance.uniform(300, 6000))),
        discharge_w=Held(float(chance.uniform(300, 9000))), charge_efficiency=Held(float(chance.uniform(0.7, 1.0))),
        discharge_efficiency=Held(float(chance.uniform(0.7, 1.0))), reserve=Held(float(chance.uniform(0.0, 0.9))),
        floor=Held(0.1), back=Held(0.2), start=Held(float(chance.uniform(0.0, 1.0))),
        shave_w=Held(float(chance.choice([0.0, 0.0, 2000.0]))), refill_w=Held(float(chance.choice([0.0, 500.0]))),
    )  # fmt: skip
    generator = Generator(rating_w=Held(float(chance.uniform(1000, 8000)))) if chance.random() < 0.4 else None
    inverter = Inverter(
        rating_va=Held(float(chance.uniform(1000, 9000))), role=role, idle_w=Held(float(chance.choice([0.0, 40.0])))
    )
    return Supply(connection=Connection(), battery=battery, inverter=inverter, generator=generator)


def test_energy_is_kept_in_every_minute_of_a_year():
    """Import, PV and generator are use, export, spilled, losses and what the battery gained, to 1e-9 of what passed."""
    chance = np.random.default_rng(20)
    minute = np.arange(MINUTES) % 1440
    sun = np.maximum(0.0, np.sin((minute - 360) / 720 * np.pi))
    for _ in range(200):
        supply = drawn(chance).compiled()
        site_w = chance.uniform(0.0, 6000.0, MINUTES)
        pv_w = sun * float(chance.uniform(0.0, 9000.0)) * chance.random(MINUTES)
        beside_w = sun * float(chance.choice([0.0, 3000.0]))
        grid = chance.random(MINUTES // 60).repeat(60) > float(chance.choice([0.0, 0.02, 0.3]))
        worst, digits = worst_balance(supply.v, supply.x, site_w, pv_w, beside_w, grid, 60.0)
        assert worst <= 1e-9 + digits
