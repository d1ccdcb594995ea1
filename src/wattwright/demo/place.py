"""The invented property: where it is said to be, on which clock, and behind which main fuse. All of it is made up."""

from importlib.resources import files
from typing import Final

PROPERTY_NAME: Final = "Thymarolakka guesthouse and nursery (invented)"
ZONE: Final = "Europe/Athens"
LATITUDE_DEG: Final = 37.1
LONGITUDE_DEG: Final = 22.4
YEAR: Final = 2025
DEMO_SEED: Final = 14
"""The seed of the property as it is shown; any other seed gives another year of the same place."""
GUEST_ROOMS: Final = 5
NOMINAL_VOLTAGE_V: Final = 230.0
MAIN_FUSE_A: Final = 63.0
MAIN_METER_SERIAL: Final = "INVENTED-7304-0519"


def story() -> str:
    """Return the invented story of the property as Markdown text."""
    return files("wattwright.demo").joinpath("story.md").read_text(encoding="utf-8")
