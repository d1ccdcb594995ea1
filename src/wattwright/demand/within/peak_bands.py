"""Bands for the peaks behind a record's means, from a finer stretch of the same meter, a survey, or usual loads alone."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.progress import SILENT, Progress
from wattwright.core.seeds import Streams
from wattwright.core.series import Series
from wattwright.demand.within import kinds
from wattwright.demand.within.asked import Asked, Finer, Inside, grid, inside
from wattwright.demand.within.bands import Band, Bands, Narrowing, Passing, PeakBands, Rests, Stretch, WindowBands, hull
from wattwright.demand.within.conformal import LEVELS, NOMINAL
from wattwright.demand.within.courses import SLOT_S
from wattwright.demand.within.hidden import hidden_bands, read_bands
from wattwright.demand.within.listed import UNKNOWN_SPREAD, Listed, allowance_w
from wattwright.demand.within.passing import passed, passing
from wattwright.demand.within.same_supply import other_supply
from wattwright.demand.within.views import COURSES, At, supposed_views

PEAK_WINDOWS_S = (60, 900, 1800)
"""The windows peaks are told for: a minute, and the two that demand is billed by."""
LONGEST_STEP_S = 3600
"""Behind a longer step than this nothing is told."""
_SAMPLE, _SAMPLE_COURSES = 400, 300
"""Intervals and invented stretches by which it is told how much each load narrows the band."""
_UNLIKE = 0.02
_BY_CHANCE, _MANY = 2, 0.2
"""Of exchangeable days 2 in n + 1 lie beyond n others; more than so many times that is told, or more than one day in five."""


def peak_bands(
    power: Series,
    clock: SiteClock,
    *,
    finer: Finer | None = None,
    loads: Sequence[Listed] = (),
    limit_w: float | None = None,
    seed: int = 0,
    progress: Progress = SILENT,
    courses: int = COURSES,
) -> PeakBands:
    """Return bands for the maximum 1-, 15- and 30-minute demand of ``power`` (W, what was read) by interval, day and month.

    ``loads`` are those of a survey, none where there was no survey; ``limit_w`` is a limit whose passing is wanted. ``courses``
    is how many stretches are invented for each supposition about the loads. Raises RecordError where the finer readings are not
    finer, do not fit the step, or hold fewer than two days.
    """
    asked = Asked(power.read_only(), clock, finer, tuple(loads), Streams(seed), courses)
    if power.step_s > LONGEST_STEP_S:
        return _too_coarse(asked)
    asked.check()
    doubt = other_supply(asked)
    if doubt is not None:
        asked = replace(asked, finer=None)
    grids = {window: grid(power.step_s, window) for window in PEAK_WINDOWS_S if window < power.step_s}
    within = {step: inside(asked, step) for step in dict.fromkeys(grids.values())}
    made = []
    for done, window in enumerate(PEAK_WINDOWS_S):
        progress.at("peaks behind the means", done, len(PEAK_WINDOWS_S))
        hidden = grids.get(window)
        made.append(read_bands(asked.power, clock, window) if hidden is None else hidden_bands(asked, within[hidden], window))
    windows = _nested(made)
    first = within.get(grids.get(SLOT_S, 0))
    limited = _passing(asked, first, limit_w)
    starter = max(loads, key=lambda one: one.start_a, default=None)
    return PeakBands(
        nominal=NOMINAL,
        step_s=power.step_s,
        windows=windows,
        stretch=_stretch(asked, first),
        ceiling_w=asked.ceiling_w,
        starter=starter.name if starter is not None and starter.start_a > 0 else "",
        start_a=starter.start_a if starter is not None else 0.0,
        narrowing=_narrowing(asked, first) if first is not None and windows[0].rests is Rests.SURVEY else (),
        passing=limited,
        findings=(*([doubt] if doubt is not None else []), *_findings(asked, first, windows, limited)),
    )


def _too_coarse(asked: Asked) -> PeakBands:
    """Return that nothing is told: a day may hide anything."""
    none = Bands(np.zeros(0, np.int64), np.zeros(0), np.zeros(0), np.zeros(0))
    unknown = Band(*(float("nan"),) * 3)
    windows = tuple(WindowBands(one, Rests.NOTHING, unknown, (), none, none) for one in PEAK_WINDOWS_S)
    found = kinds.TOO_COARSE.at("peaks", step=asked.power.step_s, longest=LONGEST_STEP_S)
    return PeakBands(NOMINAL, asked.power.step_s, windows, None, asked.ceiling_w, "", 0.0, (), None, (found,))


def _nested(made: Sequence[WindowBands]) -> tuple[WindowBands, ...]:
    """Return the bands such that no shorter window's lies below that of a longer one, where both are of the same spans."""
    out = [made[-1]]
    for one in reversed(made[:-1]):
        longer = out[0]
        months = one.months
        if [key[:2] for key in months] == [key[:2] for key in longer.months]:
            months = tuple((y, m, _above(a, b)) for (y, m, a), (_, _, b) in zip(months, longer.months, strict=True))
        out.insert(
            0,
            replace(
                one,
                whole=_above(one.whole, longer.whole),
                months=months,
                days=_all_above(one.days, longer.days),
                intervals=_all_above(one.intervals, longer.intervals),
            ),
        )
    return tuple(out)


def _above(one: Band, longer: Band) -> Band:
    return Band(*(float(np.fmax(a, b)) for a, b in zip(_three(one), _three(longer), strict=True)))


def _three(band: Band) -> tuple[float, float, float]:
    return band.low_w, band.median_w, band.high_w


def _all_above(one: Bands, longer: Bands) -> Bands:
    if not np.array_equal(one.start_s, longer.start_s):
        return one
    low, median = np.maximum(one.low_w, longer.low_w), np.maximum(one.median_w, longer.median_w)
    return Bands(one.start_s, low, median, np.maximum(one.high_w, longer.high_w))


def _stretch(asked: Asked, first: Inside | None) -> Stretch | None:
    if asked.finer is None or first is None or first.calibrated is None:
        return None
    seen, fine = first.calibrated, asked.finer.power
    days = int(seen.own_spans.whole.sum())
    far = float(seen.far.mean()) if len(seen.far) else 0.0
    unlike = float(seen.unlike_days.mean())
    return Stretch(asked.finer.name, fine.start_s, fine.end_s, fine.step_s, days, len(seen.own), far, unlike)


def _passing(asked: Asked, first: Inside | None, limit_w: float | None) -> Passing | None:
    if limit_w is None or (first is not None and not len(first.at)):
        return None
    if first is None:
        return passed(asked.power.values, limit_w, asked.power.step_s)
    return passing(first.views(), first.at, limit_w, asked.streams.stream("limit"))


def _narrowing(asked: Asked, first: Inside) -> tuple[Narrowing, ...]:
    """Return by how much each load's rating narrows the mean band: the same draws with that rating unknown, and known."""
    every = np.unique(np.linspace(0, len(first.at) - 1, _SAMPLE).astype(np.int64))
    at = first.at
    sample = At(at.mean_w[every], at.before_w[every], at.after_w[every], at.of_day_s[every], at.spans)

    def width(loads: Sequence[Listed]) -> float:
        views = supposed_views(loads, asked.base_w, first.step_s, sample, asked.streams, min(asked.courses, _SAMPLE_COURSES))
        told = hull([np.quantile(view.excess_w(SLOT_S), LEVELS, axis=1) for view in views])
        return float((told[2] - told[0]).mean())

    known = width(asked.listed)
    out = []
    for load in dict.fromkeys(asked.loads):
        blurred = [replace(one, spread=UNKNOWN_SPREAD) if one == load else one for one in asked.listed]
        out.append(Narrowing(load.name, width(blurred) - known, known))
    return tuple(out)


def _findings(asked: Asked, first: Inside | None, windows: Sequence[WindowBands], limited: Passing | None) -> list[Finding]:
    if first is None or not len(first.at):
        return []
    highest = float(first.at.mean_w.max())
    found = [*_about_stretch(asked, first, windows[0])]
    if windows[0].rests is Rests.SURVEY:
        found.append(kinds.BY_SURVEY.at("peaks", count=sum(one.count for one in asked.loads)))
    if windows[0].rests is Rests.USUAL:
        found.append(kinds.BY_USUAL.at("peaks"))
    gives = float((first.at.mean_w < 0).mean())
    if gives > 0 and windows[0].rests is not Rests.FINER:
        found.append(kinds.GIVES_BACK.at("peaks", share=gives))
    if asked.loads and highest > asked.ceiling_w:
        allowance = allowance_w(asked.loads)
        found.append(kinds.OVER_CEILING.at("peaks", highest=highest, allowance=allowance, ceiling=asked.ceiling_w))
    if limited is not None and limited.minutes[2] > 0:
        low, high, longest = limited.minutes[0], limited.minutes[2], limited.longest_min[2]
        found.append(kinds.MAY_PASS.at("peaks", limit=limited.limit_w, low=low, high=high, longest=longest, mean=highest))
    return found


def _about_stretch(asked: Asked, first: Inside, shortest: WindowBands) -> list[Finding]:
    seen, stretch = first.calibrated, _stretch(asked, first)
    if seen is None or stretch is None:
        return []
    share = shortest.days_guarantee
    found = []
    # Of a record none of whose days is like the stretch, nothing is promised.
    if shortest.rests is Rests.FINER and stretch.unlike_days < 1.0:
        found.append(
            kinds.BY_STRETCH.at(
                stretch.name, name=stretch.name, days=stretch.days, step=stretch.step_s, nominal=NOMINAL, share=share
            )
        )
        if share < NOMINAL:
            found.append(kinds.FEW_DAYS.at(stretch.name, days=stretch.days, share=share, nominal=NOMINAL))
    if stretch.far_share > _UNLIKE:
        found.append(kinds.UNLIKE.at(stretch.name, share=stretch.far_share))
    if stretch.unlike_days > min(_BY_CHANCE * 2 / (stretch.days + 1), _MANY):
        found.append(kinds.UNLIKE_DAYS.at(stretch.name, share=stretch.unlike_days))
    place = np.searchsorted(seen.own.start_s, first.start_s)
    place = np.clip(place, 0, len(seen.own) - 1)
    both = seen.own.start_s[place] == first.start_s
    if both.any() and seen.known[both].mean() < 0.9:
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = float(np.nanmedian(seen.own.mean_w[place][both] / first.at.mean_w[both]))
        agree = float(seen.known[both].mean())
        found.append(kinds.DISAGREES.at(stretch.name, name=stretch.name, count=int(both.sum()), share=agree, ratio=ratio))
    return found
