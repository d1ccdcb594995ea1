"""How well the baseline model of a proof fits, in the appendix: what it left over, seen three ways."""

import numpy as np

from wattwright.charts.picture import Caption
from wattwright.charts.residuals import LeftOver, LeftOverWords, left_over
from wattwright.handover.context import Context
from wattwright.handover.paper import PictureBlock, Section, Text

_DAY_S = 86_400
_STEPS = {"day": "residuals.day-step", "hour": "residuals.hour", "month": "residuals.month"}
_TWO_SIDED = 1.96
"""Of correlations of n independent numbers 95 % lie within so much of the root of 1 / n: any book on time series."""


def residuals(context: Context) -> Section | None:
    """Return the section with the residual plots, None where no proof is kept."""
    made = context.proof
    if made is None:
        return None
    words, of, show = context.words, made.residuals, context.show
    is_warm = bool(np.isfinite(of.mean_c).all())
    drawn = LeftOver(
        day=(of.starts_s - of.starts_s[0]) / _DAY_S, left_kwh=of.left_kwh, beside=of.mean_c if is_warm else of.told_kwh,
        alike=of.alike, chance=_TWO_SIDED / np.sqrt(len(of.left_kwh)),
    )  # fmt: skip
    told = LeftOverWords(
        left=words("residuals.left"), day=words("residuals.day"), lag=words("residuals.lag"), alike=words("residuals.alike"),
        beside=words("residuals.warm" if is_warm else "residuals.told"),
    )  # fmt: skip
    alt = words("residuals.alt", count=len(of.left_kwh), alike=show.fixed(float(of.alike[0]), 2))
    source = words("residuals.source", model=made.model)
    caption = Caption("proof-residuals", words("residuals.picture"), alt, source, None, words(_STEPS[of.grain]))
    alike = show.fixed(float(of.alike[0]), 2)
    fit = words("residuals.fit", cv=show.percent(made.cv_rmse), nmbe=show.percent(made.nmbe), alike=alike)
    picture = PictureBlock(left_over(caption, drawn, told, context.chart_words))
    return Section(words("residuals.title"), fit, (picture, Text(words("residuals.how"))))
