"""Sizes that are tried, and the battery they are made with."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from wattwright.simulate.supply import Battery, Generator
from wattwright.supply.sizing.columns import (
    SIZES,
    Z_CHARGE_W,
    Z_DISCHARGE_W,
    Z_FLOOR_J,
    Z_FULL_J,
    Z_GENERATOR_W,
    Z_IDLE_W,
    Z_INVERTER_W,
    Z_PV_W,
    Z_REFILL_W,
    Z_RESERVE_J,
    Z_SHAVE_W,
    Z_START_J,
    Z_STARTS_J,
    Z_STOPS_J,
)  # fmt: skip

Floats = NDArray[np.float64]
REFILL_H = 12.0
"""In how many hours the grid fills an empty reserve: common practice, no source."""
_J_WH = 3600.0
_J_KWH = 3.6e6


@dataclass(frozen=True, slots=True)
class Size:
    """One size: PV in W at standard conditions, energy of the battery in Wh, continuous rating of the inverter in VA."""

    pv_w: float
    battery_wh: float
    inverter_va: float

    @property
    def is_nothing(self) -> bool:
        """Return whether there is neither PV nor battery."""
        return self.pv_w == 0.0 and self.battery_wh == 0.0


NOTHING = Size(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """m sizes, each array (m,)."""

    pv_w: Floats
    battery_wh: Floats
    inverter_va: Floats

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.pv_w)

    def at(self, place: int) -> Size:
        """Return one of them."""
        return Size(float(self.pv_w[place]), float(self.battery_wh[place]), float(self.inverter_va[place]))


@dataclass(frozen=True, slots=True)
class Store:
    """What batteries of any size have in common: efficiencies one way, floor and reserve, energy over power in h, own draw.

    ``draw_share`` is an own draw of the inverter as a share of its rating, ``ratio`` what it takes in for each W it gives.

    ``reserve_kwh`` is kept for an outage while the grid is there, or all there is, and is filled from the grid; ``full`` says
    whether it starts full, else with its reserve alone. ``shave_w`` is the import above which it gives. ``generator`` is there
    whatever the size. ``stays_va`` is an inverter that is there and stays, with ``stays_share`` as its own draw.
    """

    kept: float
    arrives: float
    floor: float
    back: float
    hours: float
    idle_w: float
    draw_share: float = 0.0
    ratio: float = 1.0
    reserve_kwh: float = 0.0
    shave_w: float = 0.0
    full: bool = False
    generator: Generator | None = None
    stays_va: float = 0.0
    stays_share: float = 0.0

    @property
    def stays(self) -> float:
        """Return what stays of a W that goes in, inverter included."""
        return self.kept / self.ratio

    @property
    def comes(self) -> float:
        """Return what comes of a W that is taken out, inverter included."""
        return self.arrives / self.ratio

    @property
    def starts_full(self) -> bool:
        """Return whether it is full at the start: where all of it is kept, or the record may begin within a peak."""
        return self.full or self.shave_w > 0.0

    def own_w(self, inverter_va: float) -> float:
        """Return the own draw of an inverter of so many VA."""
        return float(self.own_each(np.array([inverter_va]))[0])

    def own_each(self, inverter_va: Floats) -> Floats:
        """Return the own draw of inverters of so many VA each, W, (m,): what stays keeps its own."""
        share = np.where(inverter_va == self.stays_va, self.stays_share, self.draw_share)
        return np.asarray((self.idle_w + share * inverter_va) * (inverter_va > 0.0))

    @property
    def refill_w(self) -> float:
        """Return with what the grid fills the reserve, W: slowly, so that it makes no new peak."""
        return self.reserve_kwh * 1000.0 / self.stays / self.comes / REFILL_H

    def rows(self, sizes: Sizes) -> Floats:
        """Return sizes for the sweep, (SIZES, m)."""
        z = np.zeros((SIZES, len(sizes)))
        full_j = sizes.battery_wh * _J_WH
        z[Z_PV_W], z[Z_FULL_J], z[Z_INVERTER_W] = sizes.pv_w, full_j, sizes.inverter_va
        z[Z_FLOOR_J] = self.floor * full_j
        z[Z_RESERVE_J] = np.clip(z[Z_FLOOR_J] + self.reserve_kwh * _J_KWH / self.comes, z[Z_FLOOR_J], full_j)
        z[Z_START_J] = full_j if self.starts_full else z[Z_RESERVE_J]
        z[Z_CHARGE_W] = z[Z_DISCHARGE_W] = sizes.battery_wh / self.hours
        z[Z_REFILL_W] = np.minimum(z[Z_CHARGE_W], self.refill_w)
        z[Z_SHAVE_W] = self.shave_w * (sizes.battery_wh > 0.0)
        z[Z_IDLE_W] = self.own_each(sizes.inverter_va)
        if self.generator is not None:
            z[Z_GENERATOR_W] = self.generator.rating_w
            z[Z_STARTS_J], z[Z_STOPS_J] = self.generator.starts_at * full_j, self.generator.stops_at * full_j
        return z

    def battery(self, size: Size) -> Battery | None:
        """Return the battery of a size as the engine takes it; None where there is none."""
        if size.battery_wh <= 0.0:
            return None
        power = dict.fromkeys(("charge_power", "discharge_power"), f"{size.battery_wh / self.hours!r} W")
        held = min(self.floor + self.reserve_kwh * 1000.0 / self.comes / size.battery_wh, 1.0 - 1e-9)
        share = {
            "charge_efficiency": self.kept, "discharge_efficiency": self.arrives, "floor": self.floor, "back": self.back,
            "reserve": held, "start": 1.0 if self.starts_full else held,
        }  # fmt: skip
        told = {name: f"{100.0 * one!r} %" for name, one in share.items()}
        return Battery.model_validate(
            {
                "capacity": f"{size.battery_wh!r} Wh", **power, **told, "shave_above": f"{self.shave_w!r} W",
                "refill": f"{min(self.refill_w, size.battery_wh / self.hours)!r} W",
            }
        )  # fmt: skip


def grid_of(pv_w: Floats, battery_wh: Floats, inverter_va: Floats, kept: Size = NOTHING) -> Sizes:
    """Return every combination beyond what is kept, and once that alone; an inverter is there only for PV or a battery."""
    pv, battery, inverter = (one.ravel() for one in np.meshgrid(pv_w, battery_wh, inverter_va, indexing="ij"))
    more = ((pv > 0.0) | (battery > 0.0)) & ((pv > kept.pv_w) | (battery > kept.battery_wh) | (inverter > kept.inverter_va))
    told = ((kept.pv_w, pv), (kept.battery_wh, battery), (kept.inverter_va, inverter))
    return Sizes(*(np.concatenate(([least], one[more])) for least, one in told))


def beyond(sizes: Sizes, kept: Size) -> Sizes:
    """Return what is bought of sizes beside what is kept: PV and battery grow, an inverter that is too small gives way whole."""
    pv_w, battery_wh = np.maximum(sizes.pv_w - kept.pv_w, 0.0), np.maximum(sizes.battery_wh - kept.battery_wh, 0.0)
    return Sizes(pv_w, battery_wh, np.where(sizes.inverter_va > kept.inverter_va, sizes.inverter_va, 0.0))


def rows_of(one: Sizes, places: NDArray[np.int64]) -> Sizes:
    """Return some of the sizes."""
    return Sizes(*(getattr(one, each.name)[places] for each in fields(one)))


def one_of(size: Size) -> Sizes:
    """Return a size as the only one of many."""
    return Sizes(*(np.array([one]) for one in (size.pv_w, size.battery_wh, size.inverter_va)))
