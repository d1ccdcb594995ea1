"""Peak bands as plain data for programs: powers in kW, times as ISO 8601 with offset, days as dates of the site's clock."""

from typing import Any

from wattwright.core.clock import SiteClock
from wattwright.demand.within.bands import Band, Bands, Passing, PeakBands, Rests


def peaks_json(peaks: PeakBands, clock: SiteClock, *, each: bool) -> dict[str, Any]:
    """Return the entries that peak bands add to what is said of demand; with ``each`` the bands of every interval too.

    ``peak_bands`` is keyed by the window in minutes; ``days_hold`` is None where no share is promised: windows that were read
    are certain, and loads alone promise nothing.
    """
    told: dict[str, Any] = {
        "peak_bands": {
            str(one.window_s // 60): {
                **_band(one.whole),
                "nominal": peaks.nominal,
                "unit": "kW",
                "rests_on": one.rests.value,
                "days_hold": round(one.days_guarantee, 6) if one.rests is Rests.FINER else None,
                "months": [{"month": f"{year:04d}-{month:02d}", **_band(band)} for year, month, band in one.months],
            }
            for one in peaks.windows
        },
        "daily_peak_bands": [
            {"date": clock.day_of(int(one.days.start_s[at])).isoformat(), "window_min": one.window_s // 60, **_kw(one.days, at)}
            for one in peaks.windows
            for at in range(len(one.days))
        ],
        "peak_ceiling_kw": _round(peaks.ceiling_w / 1000),
        "largest_start": {"load": peaks.starter, "current_a": round(peaks.start_a, 3)} if peaks.starter else None,
        "narrowed_by": [
            {"load": one.name, "narrower_kw": _round(one.narrower_w / 1000), "mean_width_kw": _round(one.mean_width_w / 1000)}
            for one in peaks.narrowing
        ],
        "limit_passed": None if peaks.passing is None else _passing(peaks.passing),
    }
    if each:
        intervals = peaks.shortest.intervals
        told["interval_peak_bands"] = [
            {"start": clock.at(int(intervals.start_s[at])).isoformat(), **_kw(intervals, at)} for at in range(len(intervals))
        ]
    return told


def _band(band: Band) -> dict[str, float | None]:
    return {"low": _round(band.low_w / 1000), "median": _round(band.median_w / 1000), "high": _round(band.high_w / 1000)}


def _kw(bands: Bands, at: int) -> dict[str, float | None]:
    one = bands.at(at)
    return {
        "low_kw": _round(one.low_w / 1000),
        "median_kw": _round(one.median_w / 1000),
        "high_kw": _round(one.high_w / 1000),
    }


def _passing(one: Passing) -> dict[str, Any]:
    names = ("low", "median", "high")
    return {
        "limit_kw": _round(one.limit_w / 1000),
        "minutes": dict(zip(names, (round(value, 3) for value in one.minutes), strict=True)),
        "times": dict(zip(names, (round(value, 3) for value in one.times), strict=True)),
        "longest_min": dict(zip(names, (round(value, 3) for value in one.longest_min), strict=True)),
    }


def _round(value: float) -> float | None:
    return None if value != value or value in (float("inf"), float("-inf")) else round(value, 6)
