"""Colours can be read, told apart without colour vision and in print without colour."""

from itertools import combinations

import numpy as np
import pytest

from wattwright.charts.palette import (
    BASIS_DASHES,
    CLASSES,
    DASHES,
    GROUND,
    SERIES,
    css_variables,
    dark_of,
    dash,
    light,
    part_shades,
)
from wattwright.core.basis import Basis

MODES = ("light", "dark")

# The ratios that the house style states for each role against paper; series "at least 3.4 : 1".
STATED = {
    "ink": (14.9, 14.7),
    "quiet": (5.9, 8.5),
    "rule": (3.5, 3.9),
    "accent": (7.3, 9.2),
    "look": (5.9, 8.5),
    "stop": (7.4, 7.8),
    "passed": (6.1, 9.6),
}

# Machado, Oliveira, Fernandes 2009, "A physiologically-based model for simulation of color vision deficiency", table for
# deuteranomaly of severity 1.0, on linear RGB; from memory.
DEUTERANOPIA = np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]])

# sRGB primaries to XYZ, D65: IEC 61966-2-1.
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = np.array([0.9505, 1.0, 1.089])


def linear(colour: str) -> np.ndarray:
    """Linear RGB, 0 to 1, of a hex colour: IEC 61966-2-1; WCAG 2.2 "relative luminance" has the same curve."""
    c = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def ratio(a: str, b: str) -> float:
    """WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05), the lighter first."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* of linear RGB (CIE 15:2018, 8.2.1.1)."""
    t = TO_XYZ @ np.clip(rgb, 0, 1) / WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def test_contrast_formula_on_known_pairs() -> None:
    """Black on white is 21 : 1 by WCAG's own definition, and #767676 on white is the grey W3C gives as just 4.5 : 1."""
    assert ratio("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert 4.5 <= ratio("#767676", "#FFFFFF") < 4.6


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("role", STATED)
def test_words_and_rules_have_the_stated_contrast(role: str, mode: str) -> None:
    """Each role stands out from paper by the ratio the house style states (to its one decimal)."""
    measured = ratio(getattr(GROUND[role], mode), getattr(GROUND["paper"], mode))
    assert round(measured, 1) >= STATED[role][MODES.index(mode)]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("role", SERIES)
def test_series_stand_out_from_paper(role: str, mode: str) -> None:
    """Lines reach 3.4 : 1 (house style), so also the 3 : 1 of WCAG 2.2 criterion 1.4.11 for graphical objects."""
    assert round(ratio(getattr(SERIES[role], mode), getattr(GROUND["paper"], mode)), 1) >= 3.4


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("seen", ["deuteranopia", "grey"])
def test_dash_separates_series_that_come_close(seen: str, mode: str) -> None:
    """Two series nearer than 20 units of L*a*b* to a deuteranope, or 10 of lightness in grey, have different dashes.

    The two distances are common practice, no source.
    """
    close = 0
    for a, b in combinations(SERIES, 2):
        first, second = (linear(getattr(SERIES[role], mode)) for role in (a, b))
        if seen == "grey":
            near = abs(lab(first)[0] - lab(second)[0]) < 10
        else:
            near = np.linalg.norm(lab(DEUTERANOPIA @ first) - lab(DEUTERANOPIA @ second)) < 20
        close += near
        assert not near or DASHES[a] != DASHES[b], (a, b)
    assert close > 0


@pytest.mark.parametrize("mode", MODES)
def test_heat_map_is_one_hue_leaving_paper_step_by_step(mode: str) -> None:
    """Classes depart from paper one after another by at least 4 of lightness, keep one hue, and none is white or paper."""
    shades = [lab(linear(getattr(shade, mode))) for shade in CLASSES]
    paper = lab(linear(getattr(GROUND["paper"], mode)))
    lightness = np.array([shade[0] for shade in [paper, *shades]])
    steps = np.diff(lightness) * (-1 if mode == "light" else 1)
    assert (steps >= 4).all()
    hues = np.degrees([np.arctan2(shade[2], shade[1]) for shade in shades]) % 360
    assert np.ptp(hues) < 35


def test_every_colour_of_a_picture_has_one_name() -> None:
    """No two names share a light shade, so replacing a shade by its name is never ambiguous."""
    shades = [shade.light for shade in css_variables().values()]
    assert len(shades) == len(set(shades)) == len(dark_of())
    assert all(shade == shade.upper() for shade in shades)


def test_dashes_of_series_and_bases_differ() -> None:
    """Every series has a dash of its own, demand none; measured is solid, estimated dotted, simulated dashed."""
    assert len(set(DASHES.values())) == len(DASHES) == len(SERIES)
    assert dash("demand") == []
    assert BASIS_DASHES[Basis.MEASURED] == ()
    assert len({BASIS_DASHES[b] for b in (Basis.MEASURED, Basis.ESTIMATED, Basis.SIMULATED)}) == 3


def test_roles_are_found_by_name() -> None:
    """A series or ground role gives its light shade; an unknown one is a KeyError."""
    assert (light("grid"), light("paper")) == ("#3B5B92", "#FAF8F3")
    with pytest.raises(KeyError):
        light("mauve")


@pytest.mark.parametrize("count", range(1, 8))
def test_parts_are_dark_first_and_different(count: int) -> None:
    """Up to seven parts have that many shades, the darkest first."""
    shades = part_shades(count)
    assert len(set(shades)) == count
    assert [luminance(s) for s in shades] == sorted(luminance(s) for s in shades)
