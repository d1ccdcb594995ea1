"""One plan tried on the engine: the work that search, changes and finer times share out over processes."""

from wattwright.plan.families.plan import Plan
from wattwright.plan.score import Figures, Scorer


def tried_by(given: Scorer, task: Plan) -> Figures:
    """Return what a plan comes to."""
    return given.tried(task.control(given.case.today))
