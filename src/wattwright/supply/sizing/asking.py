"""All that sizing is asked and given, beside the site under its rules."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import TariffError
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter
from wattwright.supply.sizing.confirm import Plant, Price, minutes, unpriced
from wattwright.supply.sizing.costing import Costing
from wattwright.supply.sizing.course import Course, with_outages
from wattwright.supply.sizing.rating import unlimited
from wattwright.supply.sizing.roofs import Layout
from wattwright.supply.sizing.sizes import Size, Sizes, Store, grid_of, rows_of
from wattwright.supply.sizing.spec import Purpose, QuoteSpec
from wattwright.supply.sizing.suns import RANKS, under_sun
from wattwright.tariff.compiled import CompiledTariff, compile_tariff
from wattwright.tariff.tariff import Tariff

Floats = NDArray[np.float64]
USUAL_STORE = Battery.model_validate({"capacity": "1 kWh", "charge_power": "1 kW", "discharge_power": "1 kW"})
USUAL_INVERTER = Inverter.model_validate({"rating": "1 kVA"})
ALONE_UNSERVED = 0.01
"""Share of its energy that a stand-alone site may lack, where nothing is asked: common practice, no source."""
_TWO_DAYS_H = 48.0
_STEPS, _NEAR = (1.0, 2.0, 2.5, 5.0, 10.0), 1e-9
_SPARE = 1.1
"""Over what the worst outage of the record takes, in reserve: common practice, no source."""
_ROOM = 1.5
"""How much larger than what an outage takes the largest battery looked at is, at least."""
_UNDONE = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Asking:
    """What is asked, and what is known of the site.

    ``outage_s``: longest outage to be carried, None where only those of the job are; ``gone`` (n,): where the job says that the
    grid is gone, by the engine's steps. ``layouts`` are the choices of roofs that PV could lie on, the first of them meant where
    none is named.
    ``battery`` and ``inverter`` say what kind they are, whatever their size. ``hidden_va`` is what the record's means may hide,
    ``hidden_on_one`` the most of it that lies on one conductor, None where nobody knows; ``names`` are those of loads by id;
    ``accepted`` whether a control system was accepted as holding the supply within its rating; ``own`` names what is there and
    is quoted anew, ``beside_kwh`` what PV that is there and stays gave in the record. ``has_store``: only sizes with
    a battery are wanted. ``tried`` (m,): where the grid is there, 1 or 0, by the steps of a course, in the outages that all that
    is compared is tried in; None where each chooses its own. ``missed``: by what share they take less at most than the worst
    outage of one that is compared, since that lay within a day of another's.
    """

    spec: QuoteSpec
    purpose: Purpose
    outage_s: float | None
    gone: NDArray[np.bool_]
    connection: Connection
    battery: Battery
    inverter: Inverter
    generator: Generator | None
    layouts: tuple[Layout, ...]
    hidden_va: float
    accepted: bool
    tariff: Tariff | None
    costing: Costing
    clock: SiteClock
    seed: int
    price: Price = unpriced
    own: tuple[str, ...] = ()
    beside_kwh: float = 0.0
    has_store: bool = False
    hidden_on_one: float | None = None
    names: Mapping[str, str] = field(default_factory=dict)
    tried: Floats | None = None
    missed: float = 0.0

    @property
    def layout(self) -> Layout:
        """Return the roofs that PV lies on."""
        return self.layouts[0]

    def on(self, layout: Layout) -> "Asking":
        """Return the same question with PV on these roofs alone."""
        return replace(self, layouts=(layout,))

    @property
    def without_generator(self) -> "Asking":
        """Return the same question where PV and battery are to do it without the generator."""
        return replace(self, generator=None, costing=replace(self.costing, generator_w=0.0))

    @property
    def hidden_rating_va(self) -> float:
        """Return what of a rating is kept for hidden peaks: each conductor has its part of a rating, and one has most of them."""
        conductors = len(self.connection.phases)
        return self.hidden_va * max(1.0, conductors * (1.0 if self.hidden_on_one is None else self.hidden_on_one))

    @property
    def carries(self) -> bool:
        """Return whether the inverter is to carry the site."""
        return self.purpose != "beside the grid"

    @property
    def unserved(self) -> float:
        """Return the share of the energy wanted without the grid that may fail to come."""
        usual = ALONE_UNSERVED if self.purpose == "stand-alone" else 0.0
        return usual if self.spec.unserved is None else self.spec.unserved

    @property
    def most_undone(self) -> float:
        """Return the most that an option without a grid may leave undone to be shown: a tenth, or twice what was asked.

        Common practice, no source: a client chooses among what can be lived with.
        """
        return max(_UNDONE, 2.0 * self.unserved)

    @property
    def aims_at_half(self) -> bool:
        """Return whether nothing says which size is better beside the grid: neither a wish nor money."""
        wished = self.spec.own_share is not None or self.spec.peak_w is not None
        return not (self.carries or wished or (self.costing.currency and self.tariff is not None))

    @property
    def unused(self) -> tuple[str, ...]:
        """Return the wishes that belong to another purpose."""
        of = (
            {"peak": self.spec.peak_w, "own_share": self.spec.own_share}
            if self.carries
            else {"outage": self.spec.outage_s, "unserved": self.spec.unserved}
        )
        suns = ("outage_sun",) if self.spec.outage_sun != "of the day" and self.purpose != "carries the site in outages" else ()
        return tuple(name for name, told in of.items() if told is not None) + suns

    @property
    def by(self) -> str:
        """Return what a front sets against cost."""
        if self.carries:
            return "unserved share"
        return "highest import" if self.spec.peak_w is not None else "share from the grid"

    def grid(self, course: Course, wanted_w: Floats) -> Course:
        """Return a course with the outages that sizes are judged by, those of all that is compared where they are known.

        Else the worst are those of ``wanted_w``, (n,), what is wanted without the grid.
        """
        if self.purpose == "stand-alone":
            return course.without(np.zeros(len(course)))
        if not self.carries:
            return course
        each = round(course.step_s * len(self.gone) / (course.step_s * len(course)))
        told = self.gone[: len(course) * each].reshape(-1, each).any(axis=1)
        if self.tried is not None:
            course = course.without(self.tried)
        elif self.outage_s is not None:
            roofs = ((course.pv_share, self.layout.most_w),)
            course = with_outages(course, self.outage_s, self.seed, (wanted_w,), roofs)
        return course.without(course.grid * ~told)

    def engine_grid(self, course: Course, steps: int, step_s: float) -> NDArray[np.bool_]:
        """Return the same for the engine, (steps,)."""
        return minutes(course, steps, step_s)

    def outage_share(self, grid: NDArray[np.bool_], step_s: float) -> Floats:
        """Return what a watt of PV gives, (n,), with the sun that outages of ``grid`` (n,) are to be chosen by."""
        rank = RANKS.get(self.spec.outage_sun)
        if rank is None or self.purpose != "carries the site in outages":
            return self.layout.share
        return under_sun(self.layout.share, grid, step_s, rank)

    def store(self, outage_kwh: float) -> Store:
        """Return the manner of batteries of any size, with what an outage takes in reserve."""
        told, alone = self.battery, self.carries
        share, ratio = self.inverter.losses
        # An own draw is that of the rating it was told with: a larger inverter of the kind draws more.
        told_share = share + self.inverter.idle_w / self.inverter.rating_va
        share = told_share if self.spec.own_draw is None else share + self.spec.own_draw
        return Store(
            told.charge_efficiency, told.discharge_efficiency, told.floor, told.back, self.hours, 0.0, share, ratio,
            _SPARE * outage_kwh if self.purpose == "carries the site in outages" else 0.0,
            0.0 if alone or self.spec.peak_w is None else self.spec.peak_w, alone, self.generator,
            self.kept.inverter_va, told_share,
        )  # fmt: skip

    def plant(self, store: Store) -> Plant:
        """Return what is there beside the size; its connection never trips, since its own overload is told elsewhere."""
        return Plant(self.purpose, unlimited(self.connection), self.inverter, self.generator, store, self.layout.share)

    @property
    def kept(self) -> Size:
        """Return what is there already and stays."""
        return self.costing.kept

    @property
    def hours(self) -> float:
        """Return how long a battery gives its energy at full power, h: as the one that stays does, else as was said."""
        return self.battery.capacity_wh / self.battery.discharge_w if self.kept.battery_wh > 0.0 else self.spec.hours

    @property
    def ratings_va(self) -> tuple[float, ...]:
        """Return the ratings of inverters on offer, with the one that stays and none below it."""
        least = self.kept.inverter_va
        return tuple(sorted({one for one in self.spec.ratings_va if one > least} | ({least} if least else set())))

    def needs_wh(self, course: Course, outage_kwh: float, peak_w: float) -> float:
        """Return the largest battery that is thought enough, Wh; ``peak_w`` is what it must give where it carries the site."""
        mean_kwh = float(course.site_w.mean()) / 1000.0 * _TWO_DAYS_H if outage_kwh == 0.0 else 0.0
        usable = self.battery.discharge_efficiency * (1.0 - self.battery.floor)
        needs_wh = 1000.0 * max(mean_kwh, _ROOM * outage_kwh / usable)
        if self.carries:
            needs_wh = max(needs_wh, _ROOM * self.hours * peak_w)
        return needs_wh

    def sizes(self, needs_wh: float, ratings_va: tuple[float, ...], wider: float = 1.0) -> Sizes:
        """Return the sizes that are tried, with batteries up to ``wider`` times what is thought enough, or as the person says."""
        told_wh, kept = self.spec.battery_most_wh, self.kept
        more_wh = max(0.0, (wider * needs_wh if told_wh is None else told_wh) - kept.battery_wh)
        battery_wh = kept.battery_wh + _evenly(more_wh, self.spec.steps, is_bound=told_wh is not None)
        pv_w = _evenly(self.layout.most_w, self.spec.steps, is_bound=True)
        made = grid_of(pv_w, battery_wh, np.array(ratings_va), kept)
        # Without a grid nothing forms one but a battery or a generator.
        held = (made.battery_wh > 0.0) | (made.pv_w == 0.0) | (self.purpose != "stand-alone") | (self.generator is not None)
        return rows_of(made, np.flatnonzero(held & (~self.has_store | (made.battery_wh > 0.0))))

    def compiled(self, course: Course) -> CompiledTariff | None:
        """Return the tariff on the steps of a course; None where there is none, or it needs what no sweep knows."""
        if self.tariff is None:
            return None
        starts = course.start_s + np.arange(len(course), dtype=np.int64) * course.step_s
        try:
            return compile_tariff(self.tariff, starts, course.step_s, self.clock)
        except TariffError:
            return None


def _evenly(most: float, steps: int, *, is_bound: bool) -> Floats:
    """Return sizes from none to the most, by a step that a person would say: 1, 2, 2.5 or 5 times a power of ten.

    Where the most is no bound the last is the first step that is no less.
    """
    if most <= 0.0:
        return np.zeros(1)
    power = 10.0 ** np.floor(np.log10(most / steps))
    step = next(one * power for one in _STEPS if one * power * steps >= most * (1.0 - _NEAR))
    if not is_bound:
        return np.asarray(np.arange(int(np.ceil(most / step - _NEAR)) + 1) * step)
    made = np.arange(int(most / step + _NEAR) + 1) * step
    return made if made[-1] >= most * (1.0 - _NEAR) else np.append(made, most)
