"""What a run means, as plain data."""

from dataclasses import dataclass

from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.simulate.comfort import Comfort


@dataclass(frozen=True, slots=True)
class Switching:
    """One thing that happened: when (UTC seconds), to which load (empty: the supply), what, and why."""

    time_s: float
    load: str
    what: str
    cause: str


@dataclass(frozen=True, slots=True)
class Peak:
    """The highest mean import over a window of the site's clock: how long the window is, the mean, and when it begins (UTC)."""

    window_s: int
    power_w: float
    start_s: int


@dataclass(frozen=True, slots=True)
class Conductor:
    """One conductor of the supply: its name, highest current, the rating (None: no limit), and for how long above it."""

    name: str
    highest_a: float
    rating_a: float | None
    above_s: float


@dataclass(frozen=True, slots=True)
class LoadOutcome:
    """What became of one load.

    ``stored_kwh`` is what its store holds beyond the start; ``starts_in_hour`` the most in any hour; ``contact_moves_a_year`` how
    often its contact moves in a year like this; ``shed`` how often it was shed, ``shed_in_hour`` the most in any hour, ``cuts``
    how often that cut a minimum on-time.
    """

    id: str
    phase: str
    energy_kwh: float
    stored_kwh: float
    comfort: Comfort | None
    starts: int
    starts_in_hour: int
    running_h: float
    contact_moves_a_year: float
    shed: int
    shed_in_hour: int
    cuts: int


@dataclass(frozen=True, slots=True)
class Balance:
    """Energy through the whole run, kWh: import + pv + generator + discharge = site + charge + export + spilled + own use.

    ``lost`` is what battery and inverter took, the inverter's own use included: import + pv + generator = site + export + spilled
    + lost + the rise of the battery. ``unserved`` is what the rest of the site would have used without supply, for ``dark_s``.
    """

    imported: float
    exported: float
    pv: float
    spilled: float
    generator: float
    charge: float
    discharge: float
    lost: float
    site: float
    unserved: float
    battery_rise: float
    dark_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """All of it. ``import_w`` is the power through the connection (export negative) as a series that a tariff can bill."""

    loads: tuple[LoadOutcome, ...]
    import_w: Series
    peaks: tuple[Peak, ...]
    conductors: tuple[Conductor, ...]
    balance: Balance
    inverter_above_s: float
    trips: int
    switchings: tuple[Switching, ...]
    findings: tuple[Finding, ...]
