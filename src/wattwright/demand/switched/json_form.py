"""The loads found in a record as plain data for programs: powers in kW, energies in kWh, times of day on the site's clock."""

from collections.abc import Sequence
from typing import Any

from wattwright.demand.switched.analyse import Switched, SwitchedLoad
from wattwright.demand.switched.times import Window


def switched_json(found: Switched, proposals: Sequence[str] = ()) -> dict[str, Any]:
    """Return the entries that what switches adds to the demand; ``proposals`` are lines of a survey, one text for each load."""
    texts = [*proposals, *[""] * (len(found.loads) - len(proposals))]
    return {
        "switched_loads": [_load(one, text, is_exact=found.is_exact) for one, text in zip(found.loads, texts, strict=True)],
        "switched_limit": {
            "step_s": found.step_s,
            "least_level_kw": _round(found.least_w / 1000),
            "shortest_run_min": found.shortest_s / 60,
            "single_switchings_seen": found.is_exact,
        },
    }


def _load(one: SwitchedLoad, proposal: str, *, is_exact: bool) -> dict[str, Any]:
    times, low, middle, high = one.times, *one.times.run_s
    return {
        "id": one.id,
        "level_kw": round(one.level_w / 1000, 4),
        "energy_kwh": round(one.energy_kwh, 3),
        "share_of_energy": _round(one.energy_share),
        "duty": round(one.duty, 4),
        "confidence": round(one.confidence, 3),
        "typical_on": [_window(window) for window in times.windows],
        "pattern": times.pattern.value,
        "starts": times.starts if is_exact else None,
        "days_on_share": round(times.days_share, 4),
        "run_min": {"lower_quartile": _min(low), "middle": _min(middle), "upper_quartile": _min(high)} if is_exact else None,
        "share_by_hour": [_round(float(times.by_slot[4 * k : 4 * k + 4].mean())) for k in range(24)],
        "share_by_month": {f"{k + 1:02d}": _round(float(share)) for k, share in enumerate(times.by_month) if share == share},
        "basis": "e",
        "proposal": proposal,
    }


def of_day(seconds: int) -> str:
    """Return a time of day, 24:00 the end of it."""
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}"


def _window(window: Window) -> dict[str, Any]:
    return {"from": of_day(window.begins_s), "to": of_day(window.ends_s), "share": round(window.share, 4)}


def _min(seconds: float) -> float | None:
    return _round(seconds / 60)


def _round(value: float) -> float | None:
    return round(value, 4) if abs(value) < float("inf") else None
