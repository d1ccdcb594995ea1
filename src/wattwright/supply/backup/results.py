"""What the backup story comes to, as plain data."""

import datetime as dt
from dataclasses import dataclass

from wattwright.control.rules import Control
from wattwright.core.findings import Finding
from wattwright.simulate.scenario import Scenario


@dataclass(frozen=True, slots=True, eq=False)
class ProbeDay:
    """A typical day whose outages are tried: its season, date, the question to the engine, and the step of its midnight.

    The scenario begins before that day, so that stores stand as they do on a usual day, and goes on for as long as an outage is
    followed.
    """

    season: str
    day: dt.date
    scenario: Scenario
    midnight: int


@dataclass(frozen=True, slots=True, eq=False)
class UnderRules:
    """The days under one set of rules, and its name ("today", "plan")."""

    name: str
    control: Control
    days: tuple[ProbeDay, ...]


@dataclass(frozen=True, slots=True)
class Hour:
    """Outages that begin in one hour of the local clock of a season: how long the supply holds, s, over the days tried.

    ``ends_by`` is what ends it on the middle day; empty where it holds as long as was followed.
    """

    season: str
    hour: int
    low_s: float
    middle_s: float
    high_s: float
    ends_by: str


@dataclass(frozen=True, slots=True)
class LoadStory:
    """One load in the outages of a season: share in which it ran, mean energy until the supply ends, kWh, and its shedding.

    ``shed_share`` is the share of outages in which it was shed and ``shed_after_s`` the middle time until then, None for never.
    """

    season: str
    load: str
    ran_share: float
    energy_kwh: float
    shed_share: float
    shed_after_s: float | None


@dataclass(frozen=True, slots=True)
class Lost:
    """Hours without supply in a year: mean, and 5 and 95 % of the years drawn; and what they would be without own sources."""

    mean_h: float
    year_low_h: float
    year_high_h: float
    grid_h: float


@dataclass(frozen=True, slots=True)
class Reserve:
    """What it takes to be carried for ``target_s``.

    ``held_share`` is the share of outages that are carried so long from the reserve as it is set. ``needed_share`` of the battery
    would carry every outage tried; None where not even a full one does, or there is no battery.
    """

    target_s: float
    held_share: float
    needed_share: float | None


@dataclass(frozen=True, slots=True)
class Told:
    """The story under one set of rules.

    ``energy_kwh`` is the mean energy served until the supply ends, in (season, kWh); ``tripped_share`` the share of outages in
    which it ends by a trip, ``trips_by`` the most frequent cause of it (empty for none).
    """

    name: str
    hours: tuple[Hour, ...]
    loads: tuple[LoadStory, ...]
    energy_kwh: tuple[tuple[str, float], ...]
    tripped_share: float
    trips_by: str
    lost: Lost | None
    reserve: Reserve


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting the story rests on: of what, which, and its value in words."""

    of: str
    what: str
    value: str


@dataclass(frozen=True, slots=True)
class BackupStory:
    """All of it: days tried in (season, date), how far outages are followed, the story under each set of rules, settings."""

    days: tuple[tuple[str, dt.date], ...]
    followed_s: float
    carried: bool
    told: tuple[Told, ...]
    settings: tuple[tuple[str, tuple[Setting, ...]], ...]
    findings: tuple[Finding, ...]

    @property
    def best(self) -> Told:
        """Return the story under the rules told last: those of the plan where there is one."""
        return self.told[-1]
