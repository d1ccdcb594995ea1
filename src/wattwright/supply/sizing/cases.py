"""What is left undone where control fails: what each load gives less than while the plan works, and how long it runs less."""

from dataclasses import dataclass

from wattwright.supply.sizing.confirm import Confirmed

LITTLE = 0.5
"""Of a litre, K h, h and the like: less is not told."""
RUNNING = "h"
"""Unit of a load of which no service is known: how long it runs."""


@dataclass(frozen=True, slots=True)
class Short:
    """What a load, by its id, gives less in a case than while the plan works: ``amount`` in ``unit``, or hours it runs less.

    ``lacks`` is all that it lacks in the case, nought of one that runs less.
    """

    load: str
    amount: float
    unit: str
    runs: bool = False
    lacks: float = 0.0

    @property
    def working(self) -> float:
        """Return what it lacks while the plan works."""
        return self.lacks - self.amount


def shorts(case: Confirmed, working: Confirmed) -> tuple[Short, ...]:
    """Return what each load gives less in a case than in that where the plan works; loads that give as much are left out."""
    gave, ran = {load: amount for load, amount, _ in working.lacks}, dict(working.runs_h)
    less = [Short(load, amount - gave.get(load, 0.0), unit, lacks=amount) for load, amount, unit in case.lacks]
    less += [Short(load, ran.get(load, hours) - hours, RUNNING, runs=True) for load, hours in case.runs_h]
    return tuple(one for one in less if one.amount >= LITTLE)
