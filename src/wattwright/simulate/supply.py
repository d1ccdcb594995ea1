"""What feeds a site, as a person describes it: connection, battery, inverter, generator."""

from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from wattwright.core.fields import ApparentPowerVA, CurrentA, DurationS, EnergyWh, PowerW, Share, Spec, VoltageV
from wattwright.core.quantity import Phase
from wattwright.simulate.columns import (
    POINTS,
    STANDING,
    SUPPLY,
    V_ALONE,
    V_BACK,
    V_BATTERY_J,
    V_CHARGE_SHARE,
    V_CHARGE_W,
    V_CLOSED_AFTER_S,
    V_CONDUCTORS,
    V_CONNECTION_BY_HAND,
    V_DISCHARGE_SHARE,
    V_DISCHARGE_W,
    V_FLOOR,
    V_FORGETS_S,
    V_GENERATOR_BY_HAND,
    V_GENERATOR_CLOSED_S,
    V_GENERATOR_DELAY_S,
    V_GENERATOR_LEAST_S,
    V_GENERATOR_START,
    V_GENERATOR_STOP,
    V_GENERATOR_VA,
    V_GENERATOR_W,
    V_IDLE_W,
    V_INVERTER_BY_HAND,
    V_INVERTER_VA,
    V_LIMIT_A,
    V_OFF_GRID,
    V_REFILL_W,
    V_RESERVE,
    V_RESTART_S,
    V_SHAVE_W,
    V_STEP_VA,
    X_BATTERY_J,
    X_SOURCE,
)  # fmt: skip

Floats = NDArray[np.float64]
Points = tuple[tuple[float, float], ...]
_J_WH = 3600.0
FORGETS_S = 60.0
"""How long an overload that was borne takes to be forgotten: common practice, no source."""
Closed = Literal["by hand", "by itself"]
"""Who closes again what has tripped. By hand: somebody must be there, and first find out why it tripped."""
_STEP = 1.25
"""Start of motors over the generator's rating in VA: x S / (1 + x S) = 0.2 at a transient reactance x of 0.2."""
_POWER_FACTOR = 0.8
PHASES = {
    "single-phase": (Phase.L1,),
    "split-phase": (Phase.LEG_A, Phase.LEG_B),
    "three-phase": (Phase.L1, Phase.L2, Phase.L3),
}


def _rising(points: Points, what: str) -> None:
    ratios, times = [ratio for ratio, _ in points], [time for _, time in points]
    rises = ratios == sorted(set(ratios)) and times == sorted(times, reverse=True)
    if not rises or any(ratio <= 1.0 for ratio in ratios) or any(time <= 0.0 for time in times) or len(points) > POINTS:
        raise ValueError(
            f"{what} as pairs of ratio to the rating and seconds, ratios above 1 and rising, seconds above 0 and falling, "
            f"at most {POINTS} pairs|Put them in order, and leave out what is not withstood at all."
        )


class Connection(Spec):
    """The connection to the grid, or for a site without one what kind of supply it has.

    The usual withstand is that of a miniature circuit breaker, type C: 1.13 times its rating for an hour, 2.55 times for 1 s, 5
    times for 0.1 s, which it must bear (IEC 60898-1, from memory); 1.45 times for a minute is common practice, no source.
    """

    system: Literal["single-phase", "split-phase", "three-phase"] = Field("single-phase", description="kind of supply")
    voltage_v: VoltageV = Field(
        230.0, alias="voltage", gt=0, le=1000, description="between each conductor and neutral; usual: 230 V, or 120 V"
    )
    rating_a: CurrentA | None = Field(
        None, alias="rating", gt=0, le=10_000, description="protection of each conductor; unlimited if left out"
    )
    withstands: Points = Field(
        ((1.13, 3600.0), (1.45, 60.0), (2.55, 1.0), (5.0, 0.1)),
        description="pairs: up to so many times the rating for so many seconds",
    )
    closed_after_s: DurationS = Field(
        1800.0, alias="closed_after", ge=0, description="until it has been closed again after a trip; usual: half an hour"
    )
    closed: Closed = Field("by hand", description="who closes it again after a trip")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        _rising(self.withstands, "the withstand")
        return self

    @property
    def phases(self) -> tuple[Phase, ...]:
        """Return the conductors that are there."""
        return PHASES[self.system]

    @property
    def rating_va(self) -> float | None:
        """Return what its protection carries in all conductors, VA; None where it is not known."""
        return None if self.rating_a is None else self.rating_a * self.voltage_v * len(self.phases)


class Battery(Spec):
    """A battery behind an inverter. Survey: plate and settings; usable energy, not the name's."""

    capacity_wh: EnergyWh = Field(alias="capacity", gt=0, le=1e7, description="energy it holds when full")
    charge_w: PowerW = Field(alias="charge_power", gt=0, le=1e6, description="most it takes; usual: half of its energy an hour")
    discharge_w: PowerW = Field(
        alias="discharge_power", gt=0, le=1e6, description="most it gives; usual: half of its energy an hour"
    )
    charge_efficiency: Share = Field(
        0.95,
        gt=0,
        le=1,
        description="kept of what goes in, the inverter included unless by_power tells its own; usual: 93 to 97 %",
    )
    discharge_efficiency: Share = Field(
        0.95, gt=0, le=1, description="arriving of what is taken out, the same; usual: 93 to 97 %, common practice"
    )
    reserve: Share = Field(0.2, ge=0, lt=1, description="kept for outages while the grid is there")
    floor: Share = Field(0.1, ge=0, lt=1, description="the inverter stops here; usual: 5 to 20 %")
    back: Share = Field(0.2, gt=0, le=1, description="after it stopped the inverter begins again here")
    start: Share = Field(0.5, ge=0, le=1, description="how full it is at the start")
    shave_w: PowerW = Field(
        0.0, alias="shave_above", ge=0, le=1e6,
        description="import above which it gives, and up to which it is filled from the grid; 0: it gives all that is missing",
    )  # fmt: skip

    refill_w: PowerW = Field(
        0.0,
        alias="refill",
        ge=0,
        le=1e6,
        description="power with which the grid fills it up to its reserve; 0: it does not",
    )

    @model_validator(mode="after")
    def _apart(self) -> Self:
        if self.back <= self.floor:
            raise ValueError("a share to begin again above the floor|Raise back, so that the inverter does not stop at once.")
        return self


class Inverter(Spec):
    """An inverter. Survey: plate and data sheet: continuous rating, overloads it bears, own draw.

    The usual overloads are those of many data sheets: 1.25 times for a minute, 1.5 times for 10 s, 2 times for half a second
    (common practice, no source); read those of the device.
    """

    rating_va: ApparentPowerVA = Field(alias="rating", gt=0, le=1e6, description="continuous rating, all conductors together")
    role: Literal["beside the grid", "carries the site in outages", "stand-alone"] = Field(
        "beside the grid", description="what it does without the grid: nothing, carry the site, or there is no grid"
    )
    withstands: Points = Field(
        ((1.25, 60.0), (1.5, 10.0), (2.0, 0.5)), description="pairs: up to so many times the rating for so many seconds"
    )
    restart_s: DurationS = Field(60.0, alias="restart_after", ge=0, description="rest after a trip; usual: 1 to 5 min")
    closed: Closed = Field("by itself", description="who starts it again after a trip")
    idle_w: PowerW = Field(0.0, alias="idle", ge=0, le=5000, description="own draw while it is on; usual: 10 to 60 W")
    takes_over_s: DurationS | None = Field(
        None, alias="takes_over_after", ge=0, le=60,
        description="time without power when the grid goes, until it carries the site; usual: 10 to 30 ms, of some 1 to 5 s",
    )  # fmt: skip
    by_power: Points = Field(
        (), max_length=12,
        description="pairs: share of its rating and its efficiency there, on the battery's side; the battery's are then its own",
    )  # fmt: skip

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        _rising(self.withstands, "overloads")
        shares, held = [share for share, _ in self.by_power], [one for _, one in self.by_power]
        if shares != sorted(set(shares)) or any(not 0.0 < one <= 1.0 for one in (*shares, *held)) or len(shares) == 1:
            raise ValueError(
                "two pairs or more of a share and an efficiency, over 0 up to 1, shares rising|"
                "Read its efficiency at a tenth, half and all of its rating from the data sheet."
            )
        return self

    @property
    def losses(self) -> tuple[float, float]:
        """Return what conversion takes: a draw beside the site, as a share of the rating, and what goes in for each W given.

        Least squares through what goes in at each pair: input = ratio x (output + draw), as an efficiency that falls at little
        power has it. Without pairs (0, 1): the battery's own efficiencies then hold the inverter's.
        """
        if not self.by_power:
            return 0.0, 1.0
        share, held = np.array(self.by_power).T
        ratio, draw = np.polyfit(share, share / held, 1)
        if draw < 0.0 or ratio < 1.0:
            return 0.0, float((share / held) @ share / (share @ share))
        return float(draw / ratio), float(ratio)


class Generator(Spec):
    """A generator that starts by itself in an outage. Survey: plate, and when it is set to start and stop.

    The usual power factor of its rating is 0.8 and the usual overload a tenth for an hour (ISO 8528-1, from memory). A motor that
    starts makes its voltage dip; the usual bound is a dip of 20 % (ISO 8528-5, class G2, from memory), which at a transient
    reactance of 20 % (common practice) is a start of 1.25 times its rating in VA. Read those of the data sheet.
    """

    rating_w: PowerW = Field(alias="rating", gt=0, le=1e6, description="most it gives")
    rating_va: ApparentPowerVA | None = Field(
        None, alias="apparent_rating", gt=0, le=2e6, description="apparent power on its plate; rating over 0.8 if left out"
    )
    start_va: ApparentPowerVA | None = Field(
        None, alias="motor_start", gt=0, le=1e7,
        description="most that motors may take at once in starting; 1.25 times its apparent rating if left out",
    )  # fmt: skip
    withstands: Points = Field(((1.1, 3600.0),), description="pairs: up to so many times the apparent rating for so many seconds")
    closed_after_s: DurationS = Field(
        1800.0, alias="closed_after", ge=0, description="until its breaker is closed again after a trip; usual: half an hour"
    )
    closed: Closed = Field("by hand", description="who closes its breaker again after a trip")
    starts_at: Share = Field(0.3, ge=0, le=1, description="share of the battery at which it starts; without one at once")
    stops_at: Share = Field(0.8, gt=0, le=1, description="share of the battery at which it stops")
    least_run_s: DurationS = Field(1200.0, alias="least_run", ge=0, description="shortest run; usual: 15 to 30 min")
    delay_s: DurationS = Field(15.0, alias="delay", ge=0, description="from its start until it gives power; usual: 10 to 30 s")

    @model_validator(mode="after")
    def _apart(self) -> Self:
        if self.stops_at <= self.starts_at:
            raise ValueError("a share to stop above that to start|Raise stops_at, so that it does not stop at once.")
        if self.apparent_va < self.rating_w:
            raise ValueError("an apparent rating no less than the rating|Read both from its plate: kW and kVA.")
        _rising(self.withstands, "overloads")
        return self

    @property
    def apparent_va(self) -> float:
        """Return its apparent rating, VA: as written, or the usual."""
        return self.rating_w / _POWER_FACTOR if self.rating_va is None else self.rating_va

    @property
    def step_va(self) -> float:
        """Return the most that motors may take at once in starting, VA: as written, or the usual."""
        return _STEP * self.apparent_va if self.start_va is None else self.start_va


class Supply(Spec):
    """All that feeds a site. PV comes in as power in the drivers."""

    connection: Connection = Field(description="connection to the grid")
    battery: Battery | None = Field(None, description="battery, if any")
    inverter: Inverter | None = Field(None, description="inverter of PV and battery, if any")
    generator: Generator | None = Field(None, description="generator, if any")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.battery is not None and self.inverter is None:
            raise ValueError("an inverter with the battery|Enter the inverter's rating and role.")
        if self.stands_alone and self.battery is None and self.generator is None:
            raise ValueError("a battery or a generator for a site without a grid|Enter one of them.")
        return self

    @property
    def stands_alone(self) -> bool:
        """Return whether there is no grid at all."""
        return self.inverter is not None and self.inverter.role == "stand-alone"

    def compiled(self) -> "CompiledSupply":
        """Return it as flat arrays for the engine."""
        v, x = np.zeros(SUPPLY), np.zeros(STANDING)
        curves = np.zeros((3, POINTS, 2))
        curves[:, :, 0] = np.inf
        v[V_FORGETS_S], x[X_SOURCE] = FORGETS_S, -1.0
        _connect(self.connection, v, curves[0])
        if self.inverter is not None:
            _invert(self.inverter, v, curves[1])
        if self.battery is not None:
            _store(self.battery, v)
            if self.inverter is not None:
                v[[V_CHARGE_SHARE, V_DISCHARGE_SHARE]] /= self.inverter.losses[1]
            x[X_BATTERY_J] = self.battery.start * v[V_BATTERY_J]
        if self.generator is not None:
            _generate(self.generator, v, curves[2])
        return CompiledSupply(v, curves, x)


class CompiledSupply:
    """A supply for the engine: ``v`` (SUPPLY,), ``curves`` (3, POINTS, 2), and ``x`` (STANDING,) as it stands at the start."""

    __slots__ = ("curves", "v", "x")

    def __init__(self, v: Floats, curves: Floats, x: Floats) -> None:
        """Hold the arrays."""
        self.v, self.curves, self.x = v, curves, x


def _curve(points: Points, curve: Floats) -> None:
    for k, point in enumerate(points):
        curve[k] = point


def _connect(one: Connection, v: Floats, curve: Floats) -> None:
    v[V_LIMIT_A], v[V_CONDUCTORS] = one.rating_a or 0.0, len(one.phases)
    v[V_CLOSED_AFTER_S], v[V_CONNECTION_BY_HAND] = one.closed_after_s, one.closed == "by hand"
    _curve(one.withstands, curve)


def _invert(one: Inverter, v: Floats, curve: Floats) -> None:
    v[V_INVERTER_VA], v[V_RESTART_S], v[V_IDLE_W] = one.rating_va, one.restart_s, one.idle_w + one.losses[0] * one.rating_va
    v[V_ALONE], v[V_OFF_GRID] = one.role != "beside the grid", one.role == "stand-alone"
    v[V_INVERTER_BY_HAND] = one.closed == "by hand"
    _curve(one.withstands, curve)


def _store(one: Battery, v: Floats) -> None:
    v[V_BATTERY_J], v[V_CHARGE_W], v[V_DISCHARGE_W] = one.capacity_wh * _J_WH, one.charge_w, one.discharge_w
    v[V_CHARGE_SHARE], v[V_DISCHARGE_SHARE] = one.charge_efficiency, one.discharge_efficiency
    v[V_RESERVE], v[V_FLOOR], v[V_BACK], v[V_SHAVE_W] = one.reserve, one.floor, one.back, one.shave_w
    v[V_REFILL_W] = one.refill_w


def _generate(one: Generator, v: Floats, curve: Floats) -> None:
    v[V_GENERATOR_VA], v[V_STEP_VA] = one.apparent_va, one.step_va
    v[V_GENERATOR_CLOSED_S], v[V_GENERATOR_BY_HAND] = max(one.closed_after_s, 1.0), one.closed == "by hand"
    _curve(one.withstands, curve)
    v[V_GENERATOR_W], v[V_GENERATOR_START], v[V_GENERATOR_STOP] = one.rating_w, one.starts_at, one.stops_at
    v[V_GENERATOR_LEAST_S], v[V_GENERATOR_DELAY_S] = one.least_run_s, one.delay_s
