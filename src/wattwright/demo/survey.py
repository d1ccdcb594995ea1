"""What the surveyor of the invented property wrote down about its loads: the one place where their ratings stand."""

from dataclasses import asdict, dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class SurveyedLoad:
    """One line of the survey; ratings are per piece, active power at nominal voltage."""

    id: str
    name: str
    kind: str
    quantity: int
    rating_w: float
    power_factor: float
    duty: str
    controllable: bool
    interruption: str
    """How the load may be interrupted; empty where nothing may switch it."""
    phase: str = "L1"
    """The supply has a single phase."""

    @property
    def total_w(self) -> float:
        """Return the rating of all pieces together, W."""
        return self.quantity * self.rating_w


SURVEY: Final = (
    SurveyedLoad(
        "base", "Standing loads: router, alarm, well control, chargers", "base", 1, 450.0, 0.85,
        "always on, a little more in the evening and with guests", False, "",
    ),
    SurveyedLoad(
        "fridge_kitchen", "Refrigerator, kitchen", "cold_store", 1, 130.0, 0.80,
        "cycles day and night, more in warm rooms", False, "",
    ),
    SurveyedLoad(
        "fridge_bar", "Refrigerator, guests' bar", "cold_store", 1, 130.0, 0.80,
        "cycles day and night, more in warm rooms", False, "",
    ),
    SurveyedLoad(
        "freezer", "Chest freezer, store", "cold_store", 1, 150.0, 0.80,
        "cycles day and night", True, "up to 30 min, lid closed; at least 10 min off before it restarts; keep the alarm",
    ),
    SurveyedLoad(
        "cold_room", "Cold room for cut flowers and produce", "cold_store", 1, 900.0, 0.82,
        "holds 3 to 6 C; about twice as long in summer as in winter", True,
        "up to 20 min, not above 8 C; at least 5 min off before it restarts",
    ),
    SurveyedLoad(
        "water_heater_guests", "Storage water heater 300 l, guest rooms", "water_heater", 1, 3000.0, 1.0,
        "thermostat at 60 C, mostly after showers in the morning and evening; not controlled today", True,
        "any time while the water stays warm enough; 60 C throughout once a week against Legionella",
    ),
    SurveyedLoad(
        "water_heater_kitchen", "Storage water heater 160 l, kitchen and owners", "water_heater", 1, 2000.0, 1.0,
        "thermostat at 60 C, after dishes and the owners' showers; not controlled today", True,
        "any time while the water stays warm enough; 60 C throughout once a week against Legionella",
    ),
    SurveyedLoad(
        "pool_pump", "Pool circulation pump", "pump", 1, 1100.0, 0.78,
        "May to October, 10:00 to 18:00 by an old time switch", True,
        "may be moved within the day; 8 h a day in the bathing season; at most 6 starts an hour",
    ),
    SurveyedLoad(
        "irrigation_pump", "Irrigation pump at the well", "pump", 1, 1500.0, 0.80,
        "mid April to mid October: mornings Monday, Tuesday, Thursday, Saturday; evenings daily but Sunday", True,
        "may be moved between 20:00 and 08:00; a watering once begun should be finished the same night",
    ),
    SurveyedLoad(
        "propagation_bench", "Heat mats of the propagation benches", "space_heat", 1, 2000.0, 1.0,
        "late October to late April, 17:00 to 09:00, thermostat 17 to 19 C", True,
        "up to 30 min; bench not below 14 C",
    ),
    SurveyedLoad(
        "greenhouse_fans", "Circulation fans, greenhouse", "fan", 2, 120.0, 0.75,
        "10 min in every hour, and throughout above 27 C inside", True, "up to 15 min below 32 C inside",
    ),
    SurveyedLoad(
        "room_units", "Reversible room units: five guest rooms, one flat", "space_heat_cool", 6, 700.0, 0.88,
        "cooling June to September, heating November to March, when somebody is in", True,
        "one room at a time, up to 10 min; at least 3 min off before it restarts",
    ),
    SurveyedLoad(
        "breakfast_heater", "Convector, breakfast room", "space_heat", 1, 1500.0, 1.0,
        "November to March, 06:45 to 10:00 on days with guests, thermostat", True, "up to 20 min",
    ),
    SurveyedLoad(
        "kettle", "Kettle", "kitchen", 1, 2200.0, 1.0, "short runs at breakfast and in the afternoon", False, "",
    ),
    SurveyedLoad(
        "oven", "Oven", "kitchen", 1, 2500.0, 1.0, "bakes for breakfast, some evenings; thermostat cycles", False, "",
    ),
    SurveyedLoad(
        "toaster", "Toaster", "kitchen", 1, 1000.0, 1.0, "runs of 3 min at breakfast", False, "",
    ),
    SurveyedLoad(
        "washer", "Washing machine", "laundry", 1, 2100.0, 0.95,
        "a load for each room left and three a week for the house; heats 18 min of 75", True,
        "the start may be put off within the day; never cut a running programme",
    ),
    SurveyedLoad(
        "dryer", "Tumble dryer", "laundry", 1, 2400.0, 0.98,
        "after most washes, about an hour; on the line instead in dry summer weather", True,
        "the start may be put off within the day; may pause up to 15 min",
    ),
    SurveyedLoad(
        "lighting", "Lighting, house and garden", "lighting", 1, 900.0, 0.90,
        "from sunset to half past eleven, garden part all night, more with guests", False, "",
    ),
)  # fmt: skip


def surveyed(load_id: str) -> SurveyedLoad:
    """Return the survey line of a load; KeyError where the survey has none of that id."""
    return {load.id: load for load in SURVEY}[load_id]


def loads_survey() -> list[dict[str, str | int | float | bool]]:
    """Return the survey as fresh plain dicts, one per load, for a job file: ratings in W per piece."""
    return [asdict(load) for load in SURVEY]
