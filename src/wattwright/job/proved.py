"""What a record of the time after the measures showed of a job's frozen promise, as it is kept beside the job for its papers."""

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding, Severity
from wattwright.core.series import Floats
from wattwright.proof import kinds
from wattwright.proof.costs import CostSaved
from wattwright.proof.course import Acted
from wattwright.proof.events import Event
from wattwright.proof.normal import Normalised
from wattwright.proof.running import Running
from wattwright.proof.savings import Savings
from wattwright.proof.seal import Promise


@dataclass(frozen=True, slots=True)
class Proposal:
    """The text of a frozen part that nobody agreed on yet, and what to know of it first."""

    text: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Adjusted:
    """An event that was taken out as agreed: ``energy_kwh`` taken off what was used, nought where its days were left out."""

    first: dt.date
    until: dt.date
    days: int
    energy_kwh: float
    why: str
    agreed_by: str


@dataclass(frozen=True, slots=True)
class Compared:
    """What was promised for the days that were read beside what was found of it, each with its band, in ``unit``.

    ``is_whole`` says whether the time agreed on was read, without which neither is held to be more than the other.
    """

    unit: str
    promised: float
    promised_low: float
    promised_high: float
    found: float
    found_low: float
    found_high: float
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Provable:
    """From which day on a saving of ``saved_a_day_kwh`` should show, None where it does not in the months agreed on.

    ``is_promised`` says whether it is what the plan promised, or what was found so far.
    """

    day: dt.date | None
    saved_a_day_kwh: float
    is_promised: bool


@dataclass(frozen=True, slots=True, eq=False)
class Residuals:
    """What the baseline model left over, by ``grain``: measured less told, kWh, beside what it told and the mean temperature.

    ``mean_c`` is NaN where no temperature is known; all of shape (n,). ``alike`` are the correlations with one to so many
    stretches before, shape (lags,).
    """

    grain: str
    starts_s: NDArray[np.int64]
    left_kwh: Floats
    told_kwh: Floats
    mean_c: Floats
    alike: Floats


@dataclass(frozen=True, slots=True)
class Given:
    """A file that a proof was made from: its path from the job's folder, and its SHA-256 at that time, empty if it was gone."""

    path: str
    sha256: str


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """A frozen promise held against a record of the time after, days ``first`` to ``last``, both included.

    ``days`` of about ``wanted_days`` were read; ``is_whole`` says whether the time that was agreed on is over. ``money`` is at
    the prices that were frozen, ``money_today`` at those of the job as it stands, None where they are the same. ``given`` are the
    files of the time after, of prices and of typical weather, wherever they lie.
    """

    fingerprint: str
    option: str
    boundary: str
    record: str
    sha256: str
    model: str
    cv_rmse: float
    unseen_cv_rmse: float
    nmbe: float
    r2: float
    first: dt.date
    last: dt.date
    days: float
    wanted_days: float
    is_whole: bool
    saving: Savings
    money: CostSaved | None
    money_today: CostSaved | None
    compared: Compared | None
    normal: Normalised | None
    events: tuple[Event, ...]
    adjusted: tuple[Adjusted, ...]
    running: Running
    residuals: Residuals
    provable: Provable | None
    promise: Promise | None
    acted: tuple[Acted, ...]
    given: tuple[Given, ...]
    findings: tuple[Finding, ...]

    @property
    def is_part(self) -> bool:
        """Return whether days were left out that are like none of the baseline."""
        return any(one.code == kinds.UNSEEN.code for one in self.findings)

    @property
    def is_claim(self) -> bool:
        """Return whether a saving may be claimed.

        The time agreed on is over, the whole band lies above nought, no event is open, and no finding stops it.
        """
        stops = any(one.severity is Severity.STOP for one in self.findings)
        return self.is_whole and self.saving.shown and not self.events and not stops
