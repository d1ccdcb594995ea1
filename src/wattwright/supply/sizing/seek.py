"""The size under one set of rules: screened in one sweep, chosen, and confirmed by the engine, which has the last word."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.progress import SILENT, Progress
from wattwright.simulate.run import Run, simulate
from wattwright.simulate.supply import Generator
from wattwright.supply.sizing.answer import Point, Sized
from wattwright.supply.sizing.asking import Asking
from wattwright.supply.sizing.confirm import Confirmed, Plant, confirmed
from wattwright.supply.sizing.course import Course, course_of, energy_of_outage_kwh, longest_outage_s
from wattwright.supply.sizing.front import front, thinned
from wattwright.supply.sizing.rating import Rating, endless, least_rating, through_outages
from wattwright.supply.sizing.screen import Swept, swept
from wattwright.supply.sizing.sizes import NOTHING, Size, Sizes, one_of
from wattwright.supply.sizing.way import Way, run_of
from wattwright.supply.wear.daily import life_years

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
YEAR_H = 8760.0
_TRIES = 10
"""Sizes the engine is asked about before it is said that none was found."""
_FRONT = 5
"""Options side by side, few enough to choose from."""
_LATE = 1.01
_J_KWH = 3.6e6
_MET, _DIGITS = 1e-9, 9
WIDEST = 8.0
"""How many times the largest battery that is thought enough is looked at in the end."""
STARTS_LATE, TOO_WEAK = "starts later than the loads bear", "too weak at some hour of the record"
HIDDEN_TOO_MUCH = "too weak for peaks that the record may hide"
_HALF, _SLACK = 0.5, 0.05
"""Of what the most could bring, where nothing is asked and nothing is priced."""


@dataclass(frozen=True, slots=True, eq=False)
class Screened:
    """m sizes by the screen, (m,) each.

    ``cost`` over the years, with the bills where they are known; ``least`` is what a front sets against it; ``met`` where all is
    reached that was asked.
    """

    sizes: Sizes
    cost: Floats
    least: Floats
    met: Bools
    aim: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Seeker:
    """A site under its rules, and all that the engine needs to be asked about any size for it.

    ``free_w`` (n,) is what the site takes where nothing limits it, ``grid`` (n,) whether the grid is there, both by the engine's
    steps; ``usual_share`` (m,) is what a watt of PV gives by steps of the course, whatever sun outages have.
    ``peak_w`` is the highest power that is to be carried, ``least_va`` the least rating that
    may be quoted, ``aim`` the share of its own that is aimed at where nothing says which size is better; ``may_be_bare``: a
    generator may carry the site without a battery; ``needs_wh`` the battery that sizes are looked at up to at least, at first.
    ``bare_bill`` is the bill of the stretch with nothing bought, the grid as it usually is; nought where none can be told.
    """

    asking: Asking
    way: Way
    rating: Rating | None
    outage_kwh: float
    course: Course
    plant: Plant
    free_w: Floats
    grid: Bools
    peak_w: float
    usual_share: Floats
    least_va: float = 0.0
    aim: float | None = None
    may_be_bare: bool = True
    needs_wh: float = 0.0
    bare_bill: float = 0.0

    def ask(self, size: Size, way: Way | None = None) -> Confirmed:
        """Return what the engine says of a size, under other rules if they are given."""
        return confirmed(self.plant, way or self.way, self.free_w, size, self.grid, self.asking.price)

    def met(self, found: Confirmed) -> bool:
        """Return whether the engine finds all reached that was asked."""
        asking = self.asking
        if asking.carries and asking.generator is not None and found.size.is_nothing:
            return self.may_be_bare and self.generator_holds()
        if asking.carries:
            return found.trips == 0 and found.lpsp <= asking.unserved + _MET
        own, peak_w = self.aim if asking.spec.own_share is None else asking.spec.own_share, asking.spec.peak_w
        return (own is None or found.own_share >= own) and (peak_w is None or found.peak_w <= peak_w * (1.0 + _MET))

    def generator_holds(self) -> bool:
        """Return whether the generator alone carries the site at any hour, hidden peaks included, dark only until it started."""
        generator = self.asking.generator
        return generator is not None and not self._starts_too_late(generator.delay_s) and self._holds_beside(self._hidden_va)

    def fails_alone(self) -> str:
        """Return in words why the generator alone does not carry the site; empty where it does."""
        generator = self.asking.generator
        if generator is None or self.generator_holds():
            return ""
        if self._starts_too_late(generator.delay_s):
            return STARTS_LATE
        return HIDDEN_TOO_MUCH if self._hidden_va > 0.0 and self._holds_beside(0.0) else TOO_WEAK

    @property
    def _hidden_va(self) -> float:
        return 0.0 if self.rating is None else self.rating.hidden_va

    def _holds_beside(self, hidden_va: float) -> bool:
        """Return whether what hidden peaks leave of the generator carries the site at any hour."""
        generator = self.asking.generator
        if generator is None or generator.rating_w <= hidden_va:
            return False
        told = {"rating_w": generator.rating_w - hidden_va, "rating_va": generator.apparent_va - hidden_va}
        weaker = replace(self.plant, generator=generator.model_copy(update={**told, "start_va": generator.step_va}))
        return all(self._holds_through(grid, weaker, generator.delay_s) for grid in (self.grid, np.zeros_like(self.grid)))

    def _holds_through(self, grid: Bools, plant: Plant, delay_s: float) -> bool:
        """Return whether a generator alone trips nowhere and leaves no more unserved than asked, its starts apart."""
        found = confirmed(plant, self.way, self.free_w, NOTHING, grid)
        begins = np.flatnonzero(np.diff(grid.astype(np.int8), prepend=np.int8(1)) < 0)
        starting_kwh = float(self.free_w[begins].sum()) * delay_s / _J_KWH
        wanted_kwh = float(self.free_w[~grid].sum()) * self.way.scenario.step_s / _J_KWH
        return found.trips == 0 and found.unserved_kwh <= _LATE * starting_kwh + self.asking.unserved * wanted_kwh + _MET

    def _starts_too_late(self, delay_s: float) -> bool:
        bears_s = self.asking.spec.bears_s
        return bears_s is not None and self.asking.purpose != "stand-alone" and delay_s > bears_s

    @property
    def usual(self) -> "Seeker":
        """Return the same with the grid as it usually is: always there, or never."""
        if self.asking.purpose == "stand-alone":
            return self
        plant = replace(self.plant, pv_share=self.asking.layout.share)
        return replace(self, grid=np.ones_like(self.grid), plant=plant)

    @property
    def has_bill(self) -> bool:
        """Return whether there are prices, and bills beside them."""
        asking = self.asking
        return bool(asking.costing.currency) and asking.tariff is not None and asking.purpose != "stand-alone"

    def over_years(self, bill: Floats) -> Floats:
        """Return what bills of the stretch come to over the years in money of today; only what hardware saves of them fades."""
        costing, a_year = self.asking.costing, YEAR_H / self.course.hours
        return a_year * (self.bare_bill * costing.bill_factor() - (self.bare_bill - bill) * costing.saving_factor())

    def cost_of(self, sized: Sized) -> tuple[bool, float]:
        """Return by what one answer is better than another: that it does what was asked, and what it costs over the years."""
        return not sized.reached, self.point(sized.found).owned

    def held_off(self, size: Size) -> int:
        """Return how many loads the rules keep off where a size carries the site: each needs a relay."""
        return len(self.way.order) if size.battery_wh > 0.0 or self.asking.generator is not None else 0

    def bought(self, size: Size) -> float:
        """Return what a size costs to buy, relays of the loads that are kept off with it."""
        costing = self.asking.costing
        return float(costing.bought(one_of(size))[0]) + costing.held_off(self.held_off(size))

    def worn(self, size: Size) -> Confirmed | None:
        """Return what the engine says of a size whose battery is worn out: it holds less, and gives and takes what it did.

        None where it carries nothing or has no battery.
        """
        left = self.asking.spec.wear.end_share
        if not self.asking.carries or size.battery_wh <= 0.0:
            return None
        store = replace(self.plant.store, hours=left * self.plant.store.hours)
        return replace(self, plant=replace(self.plant, store=store)).ask(replace(size, battery_wh=left * size.battery_wh))

    def as_is(self, generator: Generator | None) -> Point:
        """Return the site as it is, with what is there and stays, ``generator`` among it, and no relay of its own.

        What is wanted in outages is then all that runs, and not only what a relay leaves.
        """
        asking = replace(self.asking, generator=generator, costing=replace(self.asking.costing, generator_w=0.0))
        plain = replace(self, asking=asking, plant=replace(self.plant, generator=generator))
        if self.way.order:
            way = replace(self.way, order=())
            plain = replace(plain, way=way, free_w=np.asarray(simulate(endless(way.under(0.0), self.grid)).site_w))
        return plain.point(plain.ask(asking.kept))

    def fuelled(self, generator_kwh: Floats) -> Floats:
        """Return what the fuel of the stretch costs over the years; of a site that has a grid outages are too rare to tell."""
        if self.asking.purpose != "stand-alone":
            return np.zeros_like(generator_kwh)
        return self.asking.costing.fuel(generator_kwh * YEAR_H / self.course.hours)

    def sized(self, progress: Progress = SILENT, made: Screened | None = None) -> Sized:
        """Return the answer; ``made`` is the first screen where it is known. Raises Cancelled by ``progress``."""
        made = made or self.screened(progress, 1.0)
        return replace(self, aim=made.aim)._answered(made, progress)

    def _answered(self, made: Screened, progress: Progress) -> Sized:
        """Return the answer from what was screened first."""
        wider, (found, reached) = 1.0, self._chosen(made, progress)
        # The optimum may lie beyond what was thought enough: as long as it does, twice as much is looked at.
        while self.asking.spec.battery_most_wh is None and wider < WIDEST and _is_edge(found.size, made.sizes):
            wider *= 2.0
            made = self.screened(progress, wider)
            found, reached = self._chosen(made, progress)
        points, left_out = self._front(made, progress)
        found, reached = self._or_cheaper(found, reached, points)
        points = self._with(found, points)
        usable = (1.0 - self.plant.store.floor) * self.plant.store.comes
        return Sized(
            found,
            self.rating,
            reached and self.bears(found.size),
            self.outage_kwh,
            self.bought(found.size),
            points,
            len(made.sizes),
            float(made.sizes.battery_wh.max()),
            usable,
            *((self.peak_w, self.peak_w * self.asking.hours) if self._gives_all else (0.0, 0.0)),
            left_out=left_out,
        )

    @property
    def grid_wh(self) -> float:
        """Return how large the largest battery looked at is at first, for this site alone, Wh."""
        return self.asking.needs_wh(self.course, self.outage_kwh, self.peak_w)

    def bought_each(self, sizes: Sizes) -> Floats:
        """Return what each size costs to buy, relays with it, (m,)."""
        costing = self.asking.costing
        relays = costing.held_off(len(self.way.order))
        return costing.bought(sizes) + relays * ((sizes.battery_wh > 0.0) | (self.asking.generator is not None))

    def screened(self, progress: Progress, wider: float) -> Screened:
        """Return all sizes by the screen, the largest battery ``wider`` times what is thought enough."""
        asking, ratings_va = self.asking, self.asking.ratings_va
        if self.rating is not None:
            ratings_va = (ratings_va[-1] if self.rating.rating_va is None else self.rating.rating_va,)
        sizes = asking.sizes(max(self.needs_wh, self.grid_wh), ratings_va, wider)
        tariff = asking.compiled(self.course) if self.has_bill else None
        usual = replace(self.course, pv_share=self.usual_share, grid=np.ones(len(self.course)))
        store, alone = self.plant.store, asking.carries
        billed = swept(usual, sizes, store, alone=alone, tariff=tariff, progress=progress) if self.has_bill else None
        made = swept(self.course, sizes, store, alone=alone, progress=progress) if alone or billed is None else billed
        lives = self._lives(sizes, made if billed is None else billed)
        cost = asking.costing.owned(sizes, lives) + self.fuelled(made.generator_kwh)
        least = made.lpsp(self.course.islanded_kwh)
        relays = asking.costing.held_off(len(self.way.order))
        cost = cost + relays * ((sizes.battery_wh > 0.0) | (asking.generator is not None))
        if billed is not None and tariff is not None:
            cost = cost + self.over_years(billed.bill)
        met, aim = least <= asking.unserved + _MET, None
        if asking.carries:
            # A battery must give the highest power too, and not only the energy: an overload of the inverter comes from it.
            met &= sizes.battery_wh / asking.hours >= self.peak_w * (asking.generator is None)
            # An inverter that is there and kept may be too small for an hour that no outage tried falls on.
            needed_va = 0.0 if self.rating is None else self.rating.rating_va or 0.0
            met &= (sizes.inverter_va >= needed_va) | (sizes.battery_wh + sizes.pv_w == 0.0)
        else:
            share, met = 1.0 - made.own_share, np.ones(len(sizes), np.bool_)
            least = made.peak_w if asking.by == "highest import" else share
            own, peak_w = asking.spec.own_share, asking.spec.peak_w
            if asking.aims_at_half or (own is None and peak_w is None and tariff is None):
                # The engine may find a little less than the screen.
                own = _HALF * float(made.own_share.max())
                aim = own * (1.0 - _SLACK)
            met &= (own is None) | (made.own_share >= (own or 0.0) - _MET)
            met &= (peak_w is None) | (made.peak_w <= (peak_w or np.inf) * (1.0 + _MET))
        return Screened(sizes, cost, least, met, aim)

    def _lives(self, sizes: Sizes, made: Swept) -> Floats | None:
        """Return how long the battery of each size lasts by what passes through it, years, (m,); None where that is stated."""
        if self.asking.costing.prices.battery_years is not None:
            return None
        taken_wh, days = 1000.0 * made.discharge_kwh / self.plant.store.comes, self.course.hours / 24.0
        holds_wh = np.where(sizes.battery_wh > 0.0, sizes.battery_wh, np.inf)
        return life_years(self.asking.spec.wear, taken_wh / days / holds_wh)

    def _chosen(self, made: Screened, progress: Progress) -> tuple[Confirmed, bool]:
        """Return the cheapest size that the engine finds to reach what was asked; else the one that comes nearest to it."""
        found: list[Confirmed] = []
        for tried, place in enumerate(turns(made)):
            progress.at("sizes the engine confirms", tried, _TRIES)
            found.append(self.ask(made.sizes.at(place)))
            if self.met(found[-1]):
                return found[-1], True
        if self.asking.carries:
            return min(found, key=lambda one: (one.trips > 0, one.lpsp)), False
        wished = self.asking.spec.peak_w is not None
        return min(found, key=lambda one: one.peak_w if wished else -one.own_share), False

    def _or_cheaper(self, found: Confirmed, reached: bool, points: tuple[Point, ...]) -> tuple[Confirmed, bool]:
        """Return the answer, or what on the front does the same for less: nothing shown may beat what is quoted."""
        met = [one for one in points if self.met(one.found) and self.is_strong(one.found.size)]
        if not met:
            return found, reached
        best = min(met, key=lambda one: one.owned)
        if reached and self.point(self.ask(self.at_least(found.size))).owned <= best.owned:
            return found, reached
        again = self.as_needed(best.found)
        return (again if self.met(again) else best.found), True

    def _front(self, made: Screened, progress: Progress) -> tuple[tuple[Point, ...], int]:
        """Return the front by the engine's figures, the cheapest first, so that nothing on it is dominated.

        And how many sizes of it by the screen are left out, since nobody would live with them.
        """
        figures = np.column_stack((made.cost, made.least))
        # What seems to do by energy alone, but cannot give the highest power, is no option.
        shown = made.met | (made.least > self.asking.unserved + _MET) | (not self.asking.carries)
        if self.asking.carries and self.asking.generator is not None:
            # A generator alone that seems to do by means, but cannot bear what they hide, is no option either.
            shown &= (made.sizes.battery_wh > 0.0) | (made.sizes.pv_w > 0.0) | (self.may_be_bare and self.generator_holds())
        if self._gives_all:
            # A battery that cannot give what runs trips time and again: it carries nothing, however much it holds.
            shown &= (made.sizes.battery_wh == 0.0) | (made.sizes.battery_wh / self.asking.hours >= self.peak_w)
        kept = np.flatnonzero(shown)
        every = kept[front(figures[kept])]
        lived = every[self.is_lived_with(made.least[every]) | ((made.sizes.battery_wh + made.sizes.pv_w)[every] == 0.0)]
        # Where nothing can be lived with, what comes nearest is still told.
        lived = lived if self.is_lived_with(made.least[lived]).any() else every
        places = thinned(figures, lived, _FRONT)
        points = []
        for number, place in enumerate(places):
            progress.at("sizes side by side", number, len(places))
            points.append(self.point(self.ask(self.at_least(made.sizes.at(int(place))))))
        told = np.array([(one.owned, one.least) for one in points])
        return tuple(points[int(one)] for one in front(told)), len(every) - len(lived)

    def is_lived_with(self, least: Floats) -> Bools:
        """Return whether a client would consider what leaves so much undone, (m,); all of it where there is a grid."""
        if self.asking.purpose != "stand-alone":
            return np.ones(len(least), np.bool_)
        return np.asarray(least <= self.asking.most_undone, np.bool_)

    def _with(self, found: Confirmed, points: tuple[Point, ...]) -> tuple[Point, ...]:
        """Return the front with the answer on it: what is quoted can be chosen."""
        mine = found.size
        for one in points:
            size = one.found.size
            if (size.pv_w, size.battery_wh) == (mine.pv_w, mine.battery_wh) and size.inverter_va >= mine.inverter_va:
                return points
        made = (*points, self.point(self.ask(self.at_least(found.size))))
        return tuple(sorted(made, key=lambda one: one.owned))

    @property
    def _gives_all(self) -> bool:
        """Return whether the battery must give the highest power that runs when the grid goes."""
        return self.asking.carries and self.asking.generator is None

    def is_strong(self, size: Size) -> bool:
        """Return whether its battery gives the highest power, too, that outages tried by chance may have missed."""
        asking = self.asking
        return not self._gives_all or size.battery_wh / asking.hours >= self.peak_w

    def bears(self, size: Size) -> bool:
        """Return whether the inverter of a size bears what the site draws at any hour, not only in the outages tried."""
        if self.rating is None or size.is_nothing:
            return True
        return self.rating.rating_va is not None and size.inverter_va >= self.rating.rating_va

    def at_least(self, size: Size) -> Size:
        """Return a size with no smaller inverter than may be quoted; modules alone need only one of their own."""
        if self.asking.carries and not size.is_nothing and size.battery_wh == 0.0 and self.asking.generator is None:
            enough = [one for one in self.asking.ratings_va if one >= size.pv_w] or [size.inverter_va]
            return replace(size, inverter_va=min(enough[0], size.inverter_va))
        return size if size.is_nothing else replace(size, inverter_va=max(size.inverter_va, self.least_va))

    def as_needed(self, found: Confirmed) -> Confirmed:
        """Return a size with the inverter that the rules need, and no more, in the engine's words."""
        needed_va = 0.0 if self.rating is None else self.rating.rating_va or 0.0
        if not needed_va or found.size.is_nothing or found.size.inverter_va == needed_va:
            return found
        return self.ask(replace(found.size, inverter_va=needed_va))

    def point(self, found: Confirmed) -> Point:
        """Return a size with its cost and what is left undone."""
        asking, one = self.asking, one_of(found.size)
        relays = asking.costing.held_off(self.held_off(found.size))
        plain = self._plain(found)
        lives = None if plain.life_years is None else np.array([plain.life_years])
        owned = float(asking.costing.owned(one, lives)[0] + self.fuelled(np.array([found.balance.generator]))[0]) + relays
        if self.has_bill and plain.bill is not None:
            owned += float(self.over_years(np.array(plain.bill)))
        of = {"unserved share": found.lpsp, "highest import": found.peak_w, "share from the grid": 1.0 - found.own_share}
        return Point(found, self.bought(found.size), owned, of[asking.by], plain.bill)

    def _plain(self, found: Confirmed) -> Confirmed:
        """Return what the engine says of a size with the grid as it usually is, its battery aged where that decides its cost."""
        asking, site = self.asking, self.usual
        if found.size.battery_wh > 0.0 and asking.costing.prices.battery_years is None:
            return replace(site, plant=replace(site.plant, wear=asking.spec.wear)).ask(found.size)
        return site.ask(found.size) if asking.carries and self.has_bill else found


def seeker(asking: Asking, way: Way, progress: Progress = SILENT) -> Seeker:
    """Return what seeks the size for a site under its rules, its inverter's rating known. Raises Cancelled by ``progress``."""
    rating, scenario, run, highest_w = None, way.scenario, run_of(way), 0.0
    start_s, step_s = scenario.span.start_s, scenario.step_s
    drivers = (asking.layout.share, scenario.drivers.beside_w)
    plain = course_of(start_s, step_s, np.asarray(run.site_w), *drivers)
    off_w = course_of(start_s, step_s, way.held_off_w(run), *drivers).site_w
    course, needs_kwh = asking.grid(plain, plain.site_w - off_w), 0.0
    grid = asking.engine_grid(course, len(run.site_w), step_s)
    if asking.carries:
        rating = _rating(asking, way, run, progress)
        if asking.purpose == "carries the site in outages":
            rating = through_outages(rating, way.under, asking.inverter, asking.ratings_va, grid)
        # For a moment the battery carries all that runs when the grid goes, what hides behind the means included.
        highest_w = float(run.peak_w.max()) + asking.hidden_va
        run = simulate(endless(way.under(rating.rating_va or asking.ratings_va[-1]), grid))
        if asking.purpose == "carries the site in outages":
            longest_s = asking.outage_s or longest_outage_s(course)
            needs_kwh = energy_of_outage_kwh(plain, longest_s, off_w)
            needs_kwh += asking.store(0.0).own_w(rating.rating_va or 0.0) * longest_s / 3.6e6
        course = replace(course_of(start_s, step_s, np.asarray(run.site_w), *drivers), grid=course.grid)
    free_w, share = np.asarray(run.site_w), asking.outage_share(grid, step_s)
    plant = replace(asking.plant(asking.store(needs_kwh)), pv_share=share)
    course = replace(course, pv_share=course_of(start_s, step_s, free_w, share, drivers[1]).pv_share)
    made = Seeker(asking, way, rating, needs_kwh, course, plant, free_w, grid, highest_w, plain.pv_share)
    return replace(made, bare_bill=made.usual.ask(asking.kept).bill or 0.0) if made.has_bill else made


def _rating(asking: Asking, way: Way, run: Run, progress: Progress) -> Rating:
    """Return the rating for a site under its rules; what may hide, and what is taken over, may lie on one conductor."""
    volts = way.scenario.drivers.volts
    conductors = int(np.isfinite(volts[0]).sum())
    hidden_va = asking.hidden_rating_va
    most_va = conductors * float(np.nanmax(run.phase_a * volts))
    taken_over = (most_va, way.response_s) if way.order and not way.alone else (0.0, 0.0)
    fitting = tuple(one for one in asking.ratings_va if way.fits(one)) or asking.ratings_va[-1:]
    rating = least_rating(way.under, asking.inverter, fitting, hidden_va, taken_over, progress)
    if way.order and not way.alone:
        rating = _no_larger(rating, least_rating(replace(way, order=()).under, asking.inverter, fitting, hidden_va))
    return rating


def _is_edge(size: Size, sizes: Sizes) -> bool:
    """Return whether a size has the largest battery of all that were tried."""
    return size.battery_wh >= float(sizes.battery_wh.max()) > 0.0


def _no_larger(held: Rating, free: Rating) -> Rating:
    """Return the smaller of two ratings: an inverter that bears everything needs nobody to be kept off."""
    if held.rating_va is None or (free.rating_va is not None and free.rating_va < held.rating_va):
        return free
    return held


def turns(made: Screened) -> Iterator[int]:
    """Yield places to ask the engine about: the cheapest that will do by the screen, then larger ones; else the nearest."""
    if not made.met.any():
        # Two that leave the same undone but for rounding are as near.
        yield from (int(one) for one in np.lexsort((made.cost, np.round(made.least, _DIGITS)))[:1])
        return
    order = [int(one) for one in np.argsort(made.cost, kind="stable") if made.met[one]]
    kept = order[0]
    yield kept
    count = 1
    for place in order[1:]:
        sizes = made.sizes
        stronger = sizes.battery_wh[place] >= sizes.battery_wh[kept] and sizes.inverter_va[place] >= sizes.inverter_va[kept]
        same = sizes.battery_wh[place] == sizes.battery_wh[kept] and sizes.inverter_va[place] == sizes.inverter_va[kept]
        if stronger and not same and sizes.pv_w[place] >= sizes.pv_w[kept] and count < _TRIES:
            kept, count = place, count + 1
            yield place
