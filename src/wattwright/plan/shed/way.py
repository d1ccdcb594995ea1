"""The way of an order: from the event to the first word of the controller, and from there to open contacts.

A meter measures every T and reports each time; an event falls anywhere between two reports, evenly. Where a report holds the mean
since the one before, the first report after an event at which so much of a rise lies below the pick-up value as the share f is
too low if the event came less than f T before it; then the next one tells. So the report that tells comes f T + U(0, T) after the
event, and with f = 0 for a meter that shows its latest value. Each lost report costs another T.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.rules import Shedding
from wattwright.core.errors import InputError, Place
from wattwright.plan.shed.overload import Overload, Stage
from wattwright.plan.shed.spec import ShedGear
from wattwright.plan.shed.times import LEAST_SHARE, Times, repeats

Floats = NDArray[np.float64]
SOONEST_NEXT_S = 0.1
"""Between two loads of a shed order a controller takes at least this long: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Way:
    """What an order passes through, s: settings of the shedding and properties of the hardware."""

    interval_s: float
    report_s: float
    delay_s: float
    next_s: float
    means: bool
    report_spread_s: float
    report_loss_share: float
    link_spread_s: float
    command_loss_share: float
    repeat_s: float
    contactor_s: float

    def averaged_s(self) -> float:
        """Return over how long a report is a mean, s: nought where it is the latest value."""
        return self.interval_s if self.means else 0.0

    def reporting(self, interval_s: float) -> "Way":
        """Return the way with another measuring interval; what is lost is sent again with the next report as before."""
        follows = self.repeat_s == self.interval_s
        return replace(self, interval_s=interval_s, repeat_s=interval_s if follows else self.repeat_s)


def way(shed: Shedding, gear: ShedGear) -> Way:
    """Return the way of an order; raises InputError where telegrams are lost and nothing says when they are sent again."""
    repeat_s = shed.interval_s if gear.repeats_s is None else gear.repeats_s
    if repeat_s <= 0.0 and (gear.report_loss > 0.0 or gear.command_loss > 0.0):
        raise InputError.one(
            "plan.repeats", Place(field="repeats_after"), found="lost telegrams, and nothing that is reported again",
            wanted="how long after it was lost a telegram is sent again", next_step="Enter it, or the measuring interval.",
        )  # fmt: skip
    return Way(
        interval_s=shed.interval_s, report_s=shed.report_s, delay_s=shed.delay_s, next_s=shed.next_s, means=gear.shows == "mean",
        report_spread_s=gear.report_spread_s, report_loss_share=gear.report_loss, link_spread_s=gear.link_spread_s,
        command_loss_share=gear.command_loss, repeat_s=repeat_s, contactor_s=gear.contactor_s,
    )  # fmt: skip


def first_word(one: Way, seen_share: float) -> Times:
    """Return when the first command leaves after an event of which ``seen_share`` of the rise lies below the pick-up value.

    The spread of the link, the same for every command of an event, is counted here. Never, where the rise is not seen at all.
    """
    if seen_share > 1.0:
        return Times(np.zeros(0), np.zeros(0))
    weights = repeats(one.report_loss_share)
    again_s = one.interval_s if one.interval_s > 0.0 else one.repeat_s
    at_least_s = seen_share * one.averaged_s() + one.report_s + one.delay_s
    shifts = np.asarray(at_least_s + again_s * np.arange(len(weights)), np.float64)
    return Times(shifts, weights, (one.interval_s, one.report_spread_s, one.link_spread_s))


def openings(one: Way, stages: tuple[Stage, ...]) -> tuple[Floats, Floats]:
    """Return when contacts open after the first word, s, (v, k) for k stages and every way commands may be lost, with its chance.

    What the chances (v,) lack of 1 is the share in which a command never arrives, or is lost more often than is looked at.
    """
    chances = repeats(one.command_loss_share)
    losses, weights = np.zeros((1, 0), np.int64), np.ones(1)
    for _ in stages:
        losses = np.concatenate(
            [np.repeat(losses, len(chances), axis=0), np.tile(np.arange(len(chances)), len(losses))[:, None]], axis=1
        )
        weights = np.repeat(weights, len(chances)) * np.tile(chances, len(weights))
        likely = weights >= LEAST_SHARE
        losses, weights = losses[likely], weights[likely]
    starts = np.asarray([stage.place * one.next_s + stage.link_s + one.contactor_s for stage in stages])
    return np.asarray(starts + losses * one.repeat_s, np.float64), weights


def response(one: Way, event: Overload) -> Times:
    """Return when the last load that must go is open; never where there is none or the rise is not seen."""
    first = first_word(one, event.seen_share)
    if not event.stages:
        return Times(np.zeros(0), np.zeros(0))
    at, weights = openings(one, event.stages)
    shifts = (first.shifts_s[:, None] + at.max(axis=1)[None, :]).ravel()
    return Times(shifts, np.outer(first.weights, weights).ravel(), first.widths_s)
