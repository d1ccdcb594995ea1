"""The backup story as plain data for programs: times in hours, shares from 0 to 1."""

from dataclasses import asdict
from typing import Any

from wattwright.core.show import Show
from wattwright.supply.backup.results import BackupStory, Told

_HOUR_S = 3600.0


def backup_json(made: BackupStory, show: Show) -> dict[str, Any]:
    """Return a story as plain data; ``show`` gives the language of the findings' sentences."""
    return {
        "days": [{"season": season, "day": day.isoformat()} for season, day in made.days],
        "followed_h": made.followed_s / _HOUR_S, "carried": made.carried, "rules": [_told(one) for one in made.told],
        "settings": [{"rules": name, "of": [asdict(one) for one in settings]} for name, settings in made.settings],
        "findings": [one.as_json(show) for one in made.findings],
    }  # fmt: skip


def _told(one: Told) -> dict[str, Any]:
    return {
        "name": one.name, "tripped_share": _rounded(one.tripped_share), "trips_by": one.trips_by,
        "hours": [
            {
                "season": hour.season, "hour": hour.hour, "low_h": _rounded(hour.low_s / _HOUR_S),
                "middle_h": _rounded(hour.middle_s / _HOUR_S), "high_h": _rounded(hour.high_s / _HOUR_S), "ends_by": hour.ends_by,
            }
            for hour in one.hours
        ],
        "loads": [asdict(load) for load in one.loads],
        "served_kwh": {season: _rounded(energy) for season, energy in one.energy_kwh},
        "lost_h_a_year": None if one.lost is None else {name: _rounded(value) for name, value in asdict(one.lost).items()},
        "reserve": {
            "target_h": one.reserve.target_s / _HOUR_S, "held_share": _rounded(one.reserve.held_share),
            "needed_share": None if one.reserve.needed_share is None else _rounded(one.reserve.needed_share),
        },
    }  # fmt: skip


def _rounded(value: float) -> float:
    return round(value, 4)
