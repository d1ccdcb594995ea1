"""The outdoor temperature that goes with a record: a channel of its own, or a file of measured weather."""

from pathlib import Path

from wattwright.core.quantity import Quantity
from wattwright.core.series import of_values
from wattwright.demand.habits.habits import Outdoors
from wattwright.record.record import Record
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element


def outdoors(record: Record, weather: Path | None, zone: str) -> Outdoors | None:
    """Return the temperature beside ``record``: of the ``weather`` file if one is named that holds it, else of its channel.

    A typical year stays on its own year, so that it meets no day of the record. Raises FileError and WeatherError.
    """
    beside = None if weather is None else in_file(weather, zone)
    if beside is not None:
        return beside
    channels = record.of(Quantity.TEMPERATURE)
    return Outdoors(channels[0].column, channels[0].series) if channels else None


def in_file(weather: Path, zone: str) -> Outdoors | None:
    """Return the temperature of a weather file, None where it holds none; raises FileError and WeatherError."""
    found = read_weather(weather, None, zone)
    if Element.TEMPERATURE not in found.values:
        return None
    return Outdoors(weather.name, of_values(found.start_s, found.step_s, found.values[Element.TEMPERATURE]))
