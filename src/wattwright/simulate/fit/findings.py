"""What a person should know of a fit: what the record cannot tell, a rest below nought, a poor fit, more than one store."""

from collections.abc import Iterator, Sequence
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.simulate.fit import kinds
from wattwright.simulate.fit.identify import FittedParameter
from wattwright.simulate.fit.runs import Runs
from wattwright.simulate.fit.statistics import Goodness
from wattwright.simulate.fit.store import StoreSeen

Floats = NDArray[np.float64]
WORDS = {
    "rating_w": "rating",
    "draw_l": "hot water drawn",
    "loss_w_k": "standing loss",
    "differential_k": "differential",
    "set_c": "set point",
}
_WHY = {
    frozenset({"loss_w_k", "set_c"}): "the heat lost is in proportion to both",
    frozenset({"draw_l", "loss_w_k"}): "without days on which nobody draws, only the sum of both is seen",
    frozenset({"draw_l", "loss_w_k", "set_c"}): "without days on which nobody draws, only the sum of their heat is seen",
}
_ALONE = {"differential_k": "there is no cycle in which nobody draws"}
_CV, _NMBE = 0.30, 0.10
_NOISE, _SPREAD, _OFTEN, _FEW = 4.0, 0.1, 0.001, 10
_MOST_TAPS_W = 25_000.0
"""Heat that taps carry at the most: 12 l/min by 30 K."""
_SHORT = 0.8
_TOO_MANY_DAYS = 1.5
_ODD_SHARE = 0.02


def store_findings(
    id_: str, parameters: Sequence[FittedParameter], runs: Runs, seen: StoreSeen, series: Series
) -> tuple[Finding, ...]:
    """Return what the record cannot tell of a store, and that one store cannot have made the runs."""
    return (*untold(id_, parameters), *_one_store(id_, runs, seen, series))


def untold(id_: str, parameters: Sequence[FittedParameter]) -> Iterator[Finding]:
    """Yield what the record cannot tell: one finding for each set of parameters that are mixed up with one another."""
    mixed = {one.name: {one.name, *one.beside} for one in parameters if not one.identifiable and not one.known}
    done = set[str]()
    for name in mixed:
        members = {name}
        while (wider := set[str]().union(*(mixed[each] for each in members))) != members:
            members = wider
        if name in done:
            continue
        done |= members
        what, held = (_listed(names) for names in (members, {one.name for one in parameters if one.held} & members))
        if len(members) == 1:
            yield kinds.NOT_SHOWN.at(id_, what=what, why=_ALONE.get(name, "it changes nothing the record shows"))
        else:
            why = _WHY.get(frozenset(members), "the record shows only what they do together")
            yield kinds.NOT_APART.at(id_, what=what, why=why, held=held)


def _listed(names: set[str]) -> str:
    words = [word for name, word in WORDS.items() if name in names]
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]


def rest_findings(rest: Series, seen_w: Floats) -> Iterator[Finding]:
    """Yield a finding where the rest is below nought more often and further than its noise and the loads' own spread explain.

    ``seen_w`` (n,) is what the loads were seen to draw; their power moves with the voltage by about a tenth.
    """
    values = rest.values[rest.present]
    if len(values) < _FEW:
        return
    noise = 1.4826 * float(np.median(np.abs(np.diff(values)))) / np.sqrt(2.0)
    # Where the site itself feeds power in, its rest is below nought with good reason.
    below = (rest.values < -_NOISE * noise - _SPREAD * seen_w) & (rest.values + seen_w >= 0.0)
    share = float(below.sum()) / len(values)
    if share > _OFTEN:
        yield kinds.REST_NEGATIVE.at("rest of the site", share=share, least=float(values.min()))


def fit_findings(by_day: Goodness, fitted: int) -> Iterator[Finding]:
    """Yield a finding where today as simulated does not follow the record's days closely enough to rely on.

    ``fitted`` is how many parameters were fitted; as many days or fewer tell nothing of it.
    """
    if not isfinite(by_day.cv_rmse):
        yield kinds.FEW_DAYS.at("today", fitted=fitted)
    elif by_day.cv_rmse > _CV or abs(by_day.nmbe) > _NMBE:
        yield kinds.POOR_FIT.at("today", cv=by_day.cv_rmse, nmbe=by_day.nmbe, explained=max(by_day.explained_share, 0.0))


def _one_store(id_: str, runs: Runs, seen: StoreSeen, series: Series) -> Iterator[Finding]:
    """Yield that one mixed store with one thermostat cannot have made the runs.

    From threshold to threshold a run is never shorter than one in which nobody draws; none takes in much more than a day's hot
    water at once; and between two runs the heat between the thresholds has to leave by the taps.
    """
    if seen.rest is None or seen.run is None:
        return
    level, rest, run = seen.level.value, seen.rest.value, seen.run.value
    standing_w = level * run / (rest + run)
    between_j = (level - standing_w) * run
    hot_water_w = seen.drawing.value - standing_w
    longest = float(runs.run_s.max())
    days = ((level - standing_w) * longest - between_j) / max(hot_water_w * 86_400.0, 1.0)
    soon_s = between_j / _MOST_TAPS_W + series.step_s
    again, short = int((runs.rest_s <= soon_s).sum()), int((runs.run_s < _SHORT * run).sum())
    if days > _TOO_MANY_DAYS or max(again, short) > _ODD_SHARE * len(runs):
        yield kinds.ONE_STORE.at(
            id_, still=run, between=between_j / 3.6e6, short=short, total=len(runs), shorter=_SHORT, longest=longest,
            most=level * longest / 3.6e6, days=days, again=again, soon=soon_s,
        )  # fmt: skip
