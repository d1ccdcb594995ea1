"""A case on the steps of the bound: minutes averaged, so that any simulated minute trajectory averaged is one of the bound's."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import TariffError
from wattwright.plan.case import Case
from wattwright.simulate.columns import V_INVERTER_VA
from wattwright.tariff.compiled import CompiledTariff

Floats = NDArray[np.float64]
STEPS_S = (3600, 1800, 900, 300, 60)


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """The case on n steps of ``step_s``, each of k steps of the engine.

    ``rest_w``, ``pv_w`` (what passes the inverter), ``grid`` (whether it is there throughout); ``tariff`` on these steps.
    """

    case: Case
    step_s: int
    k: int
    rest_w: Floats
    pv_w: Floats
    grid: NDArray[np.bool_]
    tariff: CompiledTariff | None

    def __len__(self) -> int:
        """Return n."""
        return len(self.rest_w)

    @property
    def hours(self) -> float:
        """Return the length of a step."""
        return self.step_s / 3600.0

    def means(self, values: Floats) -> Floats:
        """Return the means of values of the engine's steps, (n k,) to (n,)."""
        return np.asarray(self.parts(values).mean(axis=1))

    def parts(self, values: Floats) -> Floats:
        """Return values of the engine's steps as (n, k)."""
        return np.asarray(values, np.float64).reshape(len(self), self.k)


def steps_of(case: Case, coarsest_s: int = 3600) -> Steps:
    """Return the case on the longest steps, up to ``coarsest_s``, on which its tariff can be laid without any cost growing.

    Raises TariffError where the tariff cannot be compiled on any.
    """
    last: TariffError | None = None
    length_s, own_s = case.scenario.span.end_s - case.scenario.span.start_s, int(case.scenario.step_s)
    for step_s in (one for one in STEPS_S if own_s <= one <= coarsest_s and length_s % one == 0 and one % own_s == 0):
        if not _holds_windows(case, step_s):
            continue
        try:
            return _on(case, step_s, case.compiled_tariff(step_s))
        except TariffError as error:
            last = error
    if last is not None:
        raise last
    return _on(case, own_s, case.compiled_tariff(own_s))


def _holds_windows(case: Case, step_s: int) -> bool:
    """Return whether every step counts as a whole in each demand charge, also in one of some periods only."""
    if case.tariff is None:
        return True
    charges = [spec for version in case.tariff.versions for spec in version.demand]
    return all(spec.window_s % step_s == 0 or (not spec.periods and step_s % spec.window_s == 0) for spec in charges)


def _on(case: Case, step_s: int, tariff: CompiledTariff | None) -> Steps:
    drivers = case.drivers
    k, v = step_s // int(case.scenario.step_s), case.scenario.supply.compiled().v
    passes_w = np.minimum(drivers.pv_w, v[V_INVERTER_VA]) if v[V_INVERTER_VA] > 0.0 else drivers.pv_w
    shape = (len(drivers) // k, k)
    return Steps(
        case, step_s, k, rest_w=drivers.rest_w.sum(axis=1).reshape(shape).mean(axis=1),
        pv_w=passes_w.reshape(shape).mean(axis=1), grid=np.asarray(drivers.grid.reshape(shape).all(axis=1)),
        tariff=tariff,
    )  # fmt: skip
