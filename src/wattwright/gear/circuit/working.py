"""How a result shows its working: lines with formula, figures and clause, and what is still to be asked on site."""

from dataclasses import dataclass

from wattwright.gear.circuit.tables import Status


@dataclass(frozen=True, slots=True)
class Line:
    """One line of working: what, its symbol, the value in ``unit``, the formula, the same in figures, where it stands."""

    what: str
    symbol: str
    value: float
    unit: str
    formula: str
    figures: str
    clause: str
    status: Status


@dataclass(frozen=True, slots=True)
class Question:
    """Something that has to be asked on site: a stable id, what to ask, and what was taken meanwhile.

    ``taken`` is empty where nothing was taken, so that the rules which need it were not checked.
    """

    id: str
    ask: str
    taken: str = ""


def figure(value: float, unit: str = "") -> str:
    """Return a value with four significant digits and its unit, for figures in a line of working."""
    text = f"{value:.4g}" if abs(value) < 10_000 else f"{value:.0f}"
    return f"{text} {unit}".strip()
