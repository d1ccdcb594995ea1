"""The textbook's size of a stand-alone supply, by hand from a daily use: battery after IEEE 1013, array after IEEE 1562.

A second opinion beside what the engine finds, since it knows neither weather nor the course of a day. Both rules are held from
memory; lead-acid batteries are what they were written for.
"""

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from wattwright.core.fields import CurrentA, EnergyWh, Share, Spec, TemperatureC, VoltageV
from wattwright.supply.wear.cold import temperature_factor

Governs = Literal["days without sun", "a day's use", "end of life"]


class StandAlone(Spec):
    """What a stand-alone supply must serve, and how its battery may be used."""

    daily_wh: EnergyWh = Field(alias="daily", gt=0, le=1e7, description="energy used in a day, alternating current")
    inverter_efficiency: Share = Field(0.9, gt=0.5, le=1, description="over a day, not at its best; usual: 90 %")
    battery_v: VoltageV = Field(48.0, alias="battery", gt=0, le=1000, description="nominal voltage of the battery")
    autonomy_days: float = Field(3.0, gt=0, le=30, description="days without sun; usual: 3 to 5, more where it is critical")
    most_depth: Share = Field(0.8, gt=0, le=1, description="deepest discharge after these days; lead-acid: 50 to 80 %")
    most_daily_depth: Share = Field(
        0.2, gt=0, le=1, description="deepest discharge of an ordinary day; lead-acid: 20 %; 100 % where it does not matter"
    )
    end_share: Share = Field(0.8, gt=0, le=1, description="share of its capacity at which it is replaced; usual: 80 %")
    coldest_c: TemperatureC = Field(
        25.0, alias="coldest", description="coldest cells in use; warmer than 25 degC is not credited"
    )
    margin: float = Field(1.1, ge=1, le=2, description="design margin for what is not known; usual: 1.1 to 1.25")
    running_a: CurrentA | None = Field(
        None, alias="running", gt=0, description="most current while loads run; tells the hour rate"
    )
    sun_h: float | None = Field(None, gt=0, le=14, description="kWh/m2 a day on the array in the worst month")
    array_ratio: float = Field(
        1.1, ge=1, le=2, description="charge of the array over that used; usual: 1.1 to 1.2, 1.3 to 1.4 where it is critical"
    )


@dataclass(frozen=True, slots=True)
class StandAloneSize:
    """Each step of the size, in Ah at the battery's voltage.

    ``daily_ah`` is used in a day, ``needed_ah`` in all days without sun. ``by_rule`` is what each rule asks for, of which the
    largest governs; ``factor`` is that of cold, ``battery_ah`` the size with it and the margin. ``rate_s`` is the time in
    which the running current would empty it: the rating to look up. ``array_a`` is the array's current at 1 kW/m2. Both are None
    where they were not asked.
    """

    daily_ah: float
    needed_ah: float
    by_rule: dict[Governs, float]
    factor: float
    battery_ah: float
    battery_wh: float
    rate_s: float | None
    array_a: float | None

    @property
    def governs(self) -> Governs:
        """Return the rule that asks for the largest battery."""
        return max(self.by_rule, key=lambda rule: self.by_rule[rule])


def stand_alone(asked: StandAlone) -> StandAloneSize:
    """Return battery and array of a stand-alone supply by the textbook's steps.

    The largest of what depth, daily depth and end of life ask for, then cold and margin. Raises InputError where the cells are
    colder or warmer than the table of factors. Source: IEEE 1013 and 1562, factors of IEEE 485, all from memory.
    """
    daily_ah = asked.daily_wh / asked.inverter_efficiency / asked.battery_v
    needed_ah = daily_ah * asked.autonomy_days
    by_rule: dict[Governs, float] = {
        "days without sun": needed_ah / asked.most_depth,
        "a day's use": daily_ah / asked.most_daily_depth,
        "end of life": needed_ah / asked.end_share,
    }
    factor = max(1.0, temperature_factor(asked.coldest_c))
    battery_ah = max(by_rule.values()) * factor * asked.margin
    return StandAloneSize(
        daily_ah,
        needed_ah,
        by_rule,
        factor,
        battery_ah,
        battery_ah * asked.battery_v,
        None if asked.running_a is None else battery_ah / asked.running_a * 3600.0,
        None if asked.sun_h is None else daily_ah * asked.array_ratio / asked.sun_h,
    )
