"""Island running as plain data for programs."""

from dataclasses import asdict
from typing import Any

from wattwright.core.show import Show
from wattwright.supply.island.judge import CAUTIONS, fault_clause
from wattwright.supply.island.results import Island


def island_json(made: Island, show: Show) -> dict[str, Any]:
    """Return island running as plain data; ``show`` gives the language of the findings' sentences."""
    return {
        "rules": made.rules, "sources": list(made.sources), "feeds": [asdict(one) for one in made.feeds],
        "faults": [{**asdict(one), "clause": fault_clause(one, made.rules)} for one in made.faults],
        "bonds": [{**asdict(one), "result": one.result} for one in made.bonds], "points": [asdict(one) for one in made.points],
        "asked": [asdict(one) for one in made.asked], "findings": [one.as_json(show) for one in made.findings],
        "cautions": list(CAUTIONS),
    }  # fmt: skip
