"""Today as fitted, through the engine: all loads under their rules, minute by minute over the time of the record."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control, TimeProgramme
from wattwright.core.quantity import Phase
from wattwright.core.series import Series
from wattwright.loads.compiled import CompiledLoad
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Today:
    """A load as fitted, its uses in each step (n, USES), and the programme that switches it, if one does."""

    load: CompiledLoad
    uses: Floats
    programme: TimeProgramme | None = None


def today_w(loads: Sequence[Today], series: Series, span: Span, weather: Floats) -> Floats:
    """Return what each load draws on the steps of the record at constant ``weather`` (WEATHER,), W, shape (m, n)."""
    steps, ids = len(series), [one.load.id for one in loads]
    rules = tuple(
        one.programme.model_copy(update={"id": f"programme-{k}", "load": one.load.id})
        for k, one in enumerate(loads)
        if one.programme is not None
    )
    drivers = replace(
        steady(steps, len(loads)),
        weather=np.broadcast_to(weather, (steps, len(weather))).copy(),
        uses=np.array([one.uses for one in loads]),
    )
    scenario = Scenario(
        span,
        float(series.step_s),
        tuple(SiteLoad(one.load, Phase.TOTAL) for one in loads),
        compile_control(Control(rules=rules), ids, span),
        Supply(connection=Connection()),
        drivers,
    )
    return simulate(scenario).loads_w
