"""How well the baseline model of a proof fits, in the appendix: what it left over, seen three ways."""

import numpy as np

from wattwright.charts.picture import Caption
from wattwright.charts.residuals import LeftOver, LeftOverWords, left_over
from wattwright.handover.context import Context
from wattwright.handover.paper import PictureBlock, Section, TableBlock, Text
from wattwright.handover.wide import figure, number_column, table

_DAY_S = 86_400
_STEPS = {"day": "residuals.day-step", "hour": "residuals.hour", "month": "residuals.month"}
_FIFTHS, _LAGS = 5, (1, 2, 3, 7, 14, 21)
_TWO_SIDED = 1.96
"""Of correlations of n independent numbers 95 % lie within so much of the root of 1 / n: any book on time series."""


def residuals(context: Context) -> Section | None:
    """Return the section with the residual plots, None where no proof is kept."""
    made = context.proof
    if made is None:
        return None
    words, of, show = context.words, made.residuals, context.show
    is_warm = bool(np.isfinite(of.mean_c).all())
    day = (of.starts_s - of.starts_s[0]) / _DAY_S
    drawn = LeftOver(
        # Between two changes of the clock days begin an hour beside whole ones.
        day=day if of.grain == "hour" else np.round(day), left_kwh=of.left_kwh, beside=of.mean_c if is_warm else of.told_kwh,
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
    tables = _fifths(context, drawn, told), _lags(context, drawn, told)
    return Section(words("residuals.title"), fit, (picture, *tables, Text(words("residuals.how"))))


def _fifths(context: Context, drawn: LeftOver, told: LeftOverWords) -> TableBlock:
    """Return what is left over on average in fifths by what it stands beside: a bend shows as a sign that changes."""
    words, show = context.words, context.show
    heads = told.beside, words("residuals.to"), words("residuals.count"), words("residuals.mean")
    parts = np.array_split(np.argsort(drawn.beside, kind="stable"), _FIFTHS)
    rows = [
        (
            figure(show, float(drawn.beside[one].min()), 1), figure(show, float(drawn.beside[one].max()), 1),
            show.fixed(len(one), 0), figure(show, float(drawn.left_kwh[one].mean()), 2),
        )
        for one in parts
    ]  # fmt: skip
    return TableBlock(table([number_column(one, "") for one in heads], rows, words("residuals.fifths")))


def _lags(context: Context, drawn: LeftOver, told: LeftOverWords) -> TableBlock:
    """Return how alike stretches are that lie so far apart, as far as the baseline tells it."""
    words, show = context.words, context.show
    rows = [(show.fixed(lag, 0), figure(show, float(drawn.alike[lag - 1]), 2)) for lag in _LAGS if lag <= len(drawn.alike)]
    caption = words("residuals.lags", chance=show.fixed(drawn.chance, 2))
    return TableBlock(table([number_column(told.lag, ""), number_column(told.alike, "")], rows, caption))
