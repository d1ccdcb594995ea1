"""The Vega-Lite theme: type, rules and margins of every picture."""

from __future__ import annotations

from typing import Any, Literal

from wattwright.charts.fonts import SANS
from wattwright.charts.palette import GROUND

__all__ = ["LABEL_PX", "theme"]

LABEL_PX = 11
"""Size of every label in a picture: 8 pt on paper at its drawn width."""


def theme(mode: Literal["light", "dark"] = "light") -> dict[str, Any]:
    """Vega-Lite `config` for light or dark paper: transparent ground, thin rules, one size of type, no legend."""
    ground = {role: getattr(shade, mode) for role, shade in GROUND.items()}
    axis = {
        "domainColor": ground["rule"],
        "domainWidth": 0.7,
        "gridColor": ground["rule"],
        "gridOpacity": 0.35,
        "gridWidth": 0.5,
        "labelColor": ground["ink"],
        "labelFontSize": LABEL_PX,
        "labelPadding": 4,
        "tickColor": ground["rule"],
        "tickSize": 4,
        "tickWidth": 0.7,
        "titleColor": ground["ink"],
        "titleFontSize": LABEL_PX,
        "titleFontWeight": 400,
    }
    return {
        "background": "transparent",
        "font": SANS,
        "padding": 2,
        "axis": axis,
        "axisX": {"grid": False, "titlePadding": 6},
        # The name of the upright axis stands level above it, as in a printed table, so that nobody turns the head.
        "axisY": {"domain": False, "ticks": False, "titleAngle": 0, "titleAlign": "left", "titleAnchor": "end"},
        "title": {"color": ground["ink"], "fontSize": LABEL_PX, "fontWeight": 600, "anchor": "start", "offset": 8},
        "text": {"color": ground["ink"], "fontSize": LABEL_PX},
        "rule": {"color": ground["rule"]},
        "view": {"stroke": None},
        "concat": {"spacing": 18},
        "legend": {"disable": True},
    }
