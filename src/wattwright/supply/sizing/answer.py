"""What is answered: the sizes with today's switching and with the plan, what happens where control fails, front and money."""

from collections.abc import Mapping
from dataclasses import dataclass

from wattwright.control.rules import Control
from wattwright.core.findings import Finding
from wattwright.generation.yields import Step
from wattwright.simulate.supply import Supply
from wattwright.supply.money.life import LifeCost
from wattwright.supply.money.risk import Risk
from wattwright.supply.money.worth import Worth
from wattwright.supply.sizing.confirm import Confirmed
from wattwright.supply.sizing.costing import Bought
from wattwright.supply.sizing.rating import Rating
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.spec import Purpose
from wattwright.supply.wear.ageing import Ageing

_YEAR_DAYS = 365.0


@dataclass(frozen=True, slots=True)
class Point:
    """One point of a front: what it costs over the years, and the engine's word on it; nothing on it beats it in both figures.

    ``bought`` and ``owned`` are money where there are prices, else what usual prices beside one another make of them. ``least``
    is what the front sets against it: share unserved, share bought from the grid, or highest import in W. ``bill`` is that of
    the stretch with the grid as it usually is, which ``owned`` rests on; that of ``found`` is with the outages it is tried on.
    """

    found: Confirmed
    bought: float
    owned: float
    least: float
    bill: float | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """What becomes of the quoted size in one case: plan working, link lost, or the contact of the ``load`` welded."""

    name: str
    found: Confirmed
    load: str = ""

    def called(self, names: Mapping[str, str]) -> str:
        """Return its name in words; ``names`` are those of loads by id."""
        return self.name.replace(self.load, names.get(self.load, self.load)) if self.load else self.name


@dataclass(frozen=True, slots=True, eq=False)
class Sized:
    """The answer under one set of rules: the size, how its rating was found, the engine's word, and the front around it.

    ``reached`` says whether all that was asked is reached; ``outage_kwh`` is the most that any outage asked for takes.
    ``screened`` is how many sizes were stepped through, ``battery_most_wh`` the largest battery of them;
    ``usable`` is the share of a battery that comes of it, from full to its floor; ``highest_w`` the power that it must
    give for a moment when the grid goes, and ``gives_wh`` the battery that gives so much, nought where it need not.
    ``least`` is the least hardware that does what was asked, None where nothing that was tried does; ``offered`` the same as it
    may be quoted, its rating relying on no control that nobody accepted; ``left_out`` is how many sizes of its
    front are not shown, since nobody would live with what they leave undone.
    """

    found: Confirmed
    rating: Rating | None
    reached: bool
    outage_kwh: float
    bought: float
    front: tuple[Point, ...]
    screened: int
    battery_most_wh: float
    usable: float
    highest_w: float = 0.0
    gives_wh: float = 0.0
    least: Confirmed | None = None
    offered: Point | None = None
    left_out: int = 0

    @property
    def size(self) -> Size:
        """Return the size."""
        return self.found.size


@dataclass(frozen=True, slots=True)
class HeldOff:
    """A load that stays off without the grid, by its id, and what it takes at most in its conductor, A."""

    load: str
    current_a: float


@dataclass(frozen=True, slots=True)
class Laid:
    """How much PV lies on a roof, by its name, W at standard conditions."""

    roof: str
    pv_w: float


@dataclass(frozen=True, slots=True)
class LostOnRoof:
    """What PV on a roof, by its name, loses over ``days`` of weather: from ``cold_kwh``, what modules at 25 degC would give.

    Each of ``steps`` takes its part, a gain less than nought, and ``given_kwh`` is left.
    """

    roof: str
    days: float
    cold_kwh: float
    steps: tuple[Step, ...]
    given_kwh: float


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What the hardware is worth if prices of energy change so much a year, as its name says."""

    name: str
    change: float
    npv: float


@dataclass(frozen=True, slots=True)
class Carried:
    """One way to carry the site, by its name: generator alone, battery alone, or both; ``point`` its best size.

    ``reached`` says whether it does what was asked, ``why_not`` in words why a generator alone does not: it is tried at any
    hour, and with what the record may hide, so its figures in the outages tried may show nothing of it.
    """

    name: str
    point: Point
    reached: bool
    why_not: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Quote:
    """The whole answer; amounts of money in ``currency``, which is empty where there are no prices.

    ``today`` and ``plan`` are the sizes under today's rules and the plan's, the latter None where there is none. ``size`` is
    quoted, ``bought`` is what that costs, ``supply`` what then feeds the site under ``control``, ``relies`` whether its rating
    relies on control, which only a recorded acceptance allows. ``parts`` are what is bought, ``held`` the loads that a relay each
    keeps off without the grid, ``laid`` the roofs that PV lies on. ``bare`` is the site without what is bought, under the rules
    that it is quoted with; ``usual`` is the quoted size with the grid as it usually is, None where no bill can be told. ``worth``
    is what the hardware alone is worth beside it, ``scenarios`` the same if prices go otherwise, ``ageing`` how its battery
    wears, None without one. ``life`` is what a site without a grid costs over the years in place of that, None where it has
    one; ``risk`` is of the one or the other. ``front_by`` names what fronts set against cost. ``stretch_days`` is how long the
    record is; bills are of it, and ``days`` are its first and last. ``suns`` are what outages do to the quoted size on dark,
    usual and bright days, empty where no PV helps.
    ``carriers`` are the ways to carry the site where there is a generator, each with its best size; empty without one.
    ``as_is`` is the site under today's rules with nothing bought, through the outages that what is quoted is tried in.
    ``plan_saves`` is what the plan saves on bills over the years without any hardware, in money of today, None where there is no
    plan or no bill; ``plan_alone`` is the site under the plan with nothing bought and no load shed, through the same outages;
    None without a plan, and without a grid: it is as dark there. ``losses`` are what its PV loses on the way, roof by roof;
    ``outage_sun`` is the sun that its size was chosen by, empty where none helps in an outage.
    ``owned`` is what the quoted size costs over the years, replacements of all its parts included. ``worn`` is the engine's word
    on it where its battery holds only ``worn_share`` of what it held when new, None where it carries nothing or has none.
    ``most_undone`` is the share undone beyond which an option is not shown. ``recorded_bill`` is that of the readings themselves
    over the same days, None where no tariff tells it. ``is_withheld``: what it rests on is in doubt, and nothing may be quoted.
    """

    purpose: Purpose
    currency: str
    outage_s: float | None
    asked: float
    front_by: str
    stretch_days: float
    days: tuple[str, str]
    today: Sized
    plan: Sized | None
    size: Size
    relies: bool
    quoted: Confirmed
    bought: float
    supply: Supply
    control: Control
    parts: tuple[Bought, ...]
    held: tuple[HeldOff, ...]
    laid: tuple[Laid, ...]
    bare: Confirmed
    usual: Confirmed | None
    cases: tuple[Case, ...]
    suns: tuple[Case, ...]
    ageing: Ageing | None
    worth: Worth | None
    life: LifeCost | None
    risk: Risk | None
    scenarios: tuple[Foreseen, ...]
    carriers: tuple[Carried, ...]
    as_is: Point
    plan_saves: float | None
    findings: tuple[Finding, ...]
    losses: tuple[LostOnRoof, ...] = ()
    outage_sun: str = ""
    plan_alone: Point | None = None
    owned: float = 0.0
    worn: Confirmed | None = None
    worn_share: float = 1.0
    most_undone: float = 1.0
    recorded_bill: float | None = None
    is_withheld: bool = False

    @property
    def by_generator(self) -> bool:
        """Return whether a generator alone carries the site."""
        return self.purpose != "beside the grid" and self.size.is_nothing and self.supply.generator is not None

    @property
    def told_now(self) -> float | None:
        """Return what ``risk`` is the band of: net present value, or what a site without a grid costs; None without money."""
        if self.life is not None:
            return self.life.present
        return None if self.worth is None else self.worth.npv

    @property
    def has_bills(self) -> bool:
        """Return whether options may be held against leaving the site as it is: only where that has bills in money."""
        return bool(self.currency) and self.purpose != "stand-alone" and self.as_is.found.bill is not None

    @property
    def saved_a_year(self) -> float:
        """Return what the hardware saves on bills in a year at prices of today; nought where no bill can be told."""
        if self.usual is None or self.usual.bill is None or self.bare.bill is None:
            return 0.0
        return (self.bare.bill - self.usual.bill) * _YEAR_DAYS / self.stretch_days
