"""Moist air: saturation, humidity ratio and relative humidity.

Source: ASHRAE Handbook Fundamentals, chapter 1, equations 5 and 6 (Hyland and Wexler's saturation over ice and water), 20 and
22; checked against psychrolib.
"""

from math import exp, log

from wattwright.core.kernels import kernel

SEA_LEVEL_PA = 101_325.0
RATIO = 0.621945
"""Molar mass of water over that of dry air."""
_KELVIN = 273.15
_TRIPLE_C = 0.01


@kernel
def saturation_pa(celsius: float) -> float:
    """Return the pressure of saturated vapour, over ice below 0.01 degC, Pa."""
    t = celsius + _KELVIN
    if celsius <= _TRIPLE_C:
        power = -5.6745359e3 / t + 6.3925247 + t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 - 9.484024e-13 * t)))
        return exp(power + 4.1635019 * log(t))
    power = -5.8002206e3 / t + 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 - 1.4452093e-8 * t))
    return exp(power + 6.5459673 * log(t))


@kernel
def humidity_ratio(celsius: float, relative: float, pressure_pa: float) -> float:
    """Return water per dry air, kg/kg, of air of a relative humidity given as a share of 1."""
    vapour = relative * saturation_pa(celsius)
    return RATIO * vapour / (pressure_pa - vapour)


@kernel
def relative_humidity(celsius: float, ratio: float, pressure_pa: float) -> float:
    """Return the relative humidity, a share of 1, of air with so much water, kg/kg."""
    return pressure_pa * ratio / ((RATIO + ratio) * saturation_pa(celsius))


@kernel
def air_kg_m3(celsius: float, ratio: float, pressure_pa: float) -> float:
    """Return the dry air in a cubic metre of moist air, kg."""
    return pressure_pa / (287.042 * (celsius + _KELVIN) * (1.0 + 1.607858 * ratio))
