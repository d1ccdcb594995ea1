"""The colours and line patterns of every page, paper and picture, as data.

One table for print, screen, light and dark: a *role* has a shade for light paper and one for dark paper. Pictures are
drawn with the light shades; `css_variables` and `dark_of` let the same drawing be shown on dark paper.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wattwright.core.basis import Basis
from wattwright.core.errors import OwnFault

__all__ = [
    "BASIS_DASHES",
    "CLASSES",
    "DASHES",
    "GROUND",
    "SERIES",
    "Shade",
    "css_variables",
    "dark_of",
    "dash",
    "light",
    "part_shades",
]


@dataclass(frozen=True, slots=True)
class Shade:
    """A role's colour on light and on dark paper, each as `#RRGGBB`."""

    light: str
    dark: str


GROUND: Mapping[str, Shade] = MappingProxyType(
    {
        "paper": Shade("#FAF8F3", "#161A19"),
        "raised": Shade("#FFFFFF", "#1F2523"),
        "ink": Shade("#1D2421", "#ECEBE4"),
        "quiet": Shade("#5A625D", "#AEB6B0"),
        "rule": Shade("#8A8578", "#6F7873"),
        "accent": Shade("#0B5D57", "#6FCBBF"),
        "look": Shade("#9A4A00", "#F0A45B"),
        "stop": Shade("#A3122F", "#FF8A96"),
        "passed": Shade("#2C6B2F", "#8FCF8B"),
    }
)
"""Paper, ink, rules and the colours of words."""

SERIES: Mapping[str, Shade] = MappingProxyType(
    {
        "demand": GROUND["ink"],
        "grid": Shade("#3B5B92", "#8FB0E8"),
        "pv": Shade("#B07A00", "#E8B84A"),
        "battery": Shade("#7A4E8C", "#C79ADB"),
        "heat": Shade("#B4472E", "#F08A70"),
        "pump": Shade("#1F7A8C", "#5CC3D6"),
        "cold": Shade("#4C8BBF", "#9CCBF2"),
        "other": Shade("#7C7A70", "#A8A69A"),
    }
)
"""Lines and areas, by what they stand for; always shown with a label."""

DASHES: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "demand": (),
        "grid": (9, 3),
        "pv": (2, 2),
        "battery": (9, 3, 2, 3),
        "heat": (5, 2),
        "pump": (12, 3, 2, 3, 2, 3),
        "cold": (1, 3),
        "other": (4, 4),
    }
)
"""Dash pattern (on, off, ... in px) of a series where several share one picture; demand is solid."""

_DOTTED = (1.5, 2.5)
_DASHED = (6.0, 3.0)

BASIS_DASHES: Mapping[Basis, tuple[float, ...]] = MappingProxyType(
    {
        Basis.MEASURED: (),
        Basis.PUBLISHED: (),
        Basis.CALCULATED: (),
        Basis.ESTIMATED: _DOTTED,
        Basis.SIMULATED: _DASHED,
        Basis.ASSUMED: _DASHED,
    }
)
"""Dash pattern of a line by its basis, where one quantity stands alone: estimated dotted, simulated and assumed dashed."""

CLASSES: tuple[Shade, ...] = (
    Shade("#E2EBE5", "#22302E"),
    Shade("#C4D8D0", "#274743"),
    Shade("#9EC2B8", "#2E625C"),
    Shade("#74A79D", "#3A8078"),
    Shade("#488A82", "#4F9F95"),
    Shade("#216A64", "#77C0B5"),
    Shade("#0A4642", "#B6E6DC"),
)
"""The seven steps of a heat map: one hue, from nearly paper to the furthest from paper."""


def light(role: str) -> str:
    """Colour on light paper of a ground or series role, as `#RRGGBB`.

    Raises KeyError for a role that is neither in GROUND nor in SERIES.
    """
    return (SERIES[role] if role in SERIES else GROUND[role]).light


def dash(role: str) -> list[float]:
    """Dash pattern of a series role in px, empty for a solid line. Raises KeyError for an unknown series."""
    return list(DASHES[role])


def part_shades(count: int) -> list[str]:
    """Colours on light paper for `count` parts of a whole (1 to 7), dark first, spread over the heat map's steps.

    Raises OwnFault for a count outside 1 to 7: more parts than that cannot be told apart.
    """
    if not 1 <= count <= len(CLASSES):
        raise OwnFault(f"parts of a whole: wanted 1 to {len(CLASSES)}, got {count}; put the small ones together")
    last = len(CLASSES) - 1
    # The lightest step is nearly paper, so it serves only where all seven are needed.
    span = last if count > last else last - 1
    return [CLASSES[last - round(i * span / max(count - 1, 1))].light for i in range(count)]


def css_variables() -> dict[str, Shade]:
    """Every colour of a picture under its CSS custom property name (`--ink`, `--series-grid`, `--class-3`)."""
    named = {f"--{role}": shade for role, shade in GROUND.items()}
    named |= {f"--series-{role}": shade for role, shade in SERIES.items() if role != "demand"}
    return named | {f"--class-{i}": shade for i, shade in enumerate(CLASSES, start=1)}


def dark_of() -> dict[str, str]:
    """The dark shade for each light shade that a picture may contain."""
    return {shade.light: shade.dark for shade in css_variables().values()}
