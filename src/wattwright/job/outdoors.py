"""The outdoor temperature that goes with a record: a channel of its own, or a file of measured weather."""

from pathlib import Path

from wattwright.core.quantity import Quantity
from wattwright.core.series import of_values
from wattwright.demand.habits.habits import Outdoors
from wattwright.record.record import Record
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element


def outdoors(record: Record, weather: Path | None, zone: str) -> Outdoors | None:
    """Return the temperature beside ``record``: of the ``weather`` file if one is named, else of the record's channel.

    A typical year stays on its own year, so that it meets no day of the record. Raises FileError and WeatherError.
    """
    if weather is not None:
        found = read_weather(weather, None, zone)
        if Element.TEMPERATURE in found.values:
            return Outdoors(weather.name, of_values(found.start_s, found.step_s, found.values[Element.TEMPERATURE]))
    channels = record.of(Quantity.TEMPERATURE)
    return Outdoors(channels[0].column, channels[0].series) if channels else None
