"""What it takes to fill a load's store again."""

from wattwright.loads.charger_kernels import P_EFFICIENCY
from wattwright.loads.cold_kernels import (
    P_CARNOT,
    P_CONDENSER_C,
    P_CONDENSING_K,
    P_CONDENSING_LEAST_C,
    P_EVAPORATING_C,
    cooling_performance,
)
from wattwright.loads.columns import CHARGER, COLD_STORE, ROOM
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.room_kernels import P_COP, P_COP_AT_C, P_COP_LEAST, P_COP_PER_K, performance


def stored_per_electric(load: CompiledLoad, outdoor_c: float) -> float:
    """Return how much a load stores of each unit of electric energy, with ``outdoor_c`` outdoors: 1 of a plain heater.

    Losses while it is filled are left out: they are what it would have used anyway. Soil and damp air are counted in electric
    energy already. Source: the machines' own equations, see their kinds.
    """
    p = load.params
    if load.kind == COLD_STORE:
        blown_c = float(p[P_CONDENSER_C]) if p[P_CONDENSER_C] == p[P_CONDENSER_C] else outdoor_c
        condensing_c = max(blown_c + float(p[P_CONDENSING_K]), float(p[P_CONDENSING_LEAST_C]))
        return float(cooling_performance(float(p[P_CARNOT]), float(p[P_EVAPORATING_C]), condensing_c))
    if load.kind == ROOM:
        return float(performance(p[P_COP], p[P_COP_PER_K], p[P_COP_AT_C], p[P_COP_LEAST], outdoor_c))
    return float(p[P_EFFICIENCY]) if load.kind == CHARGER else 1.0
