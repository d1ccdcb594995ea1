"""A frozen promise and its proof as words and rows, for the terminal and the papers alike."""

from wattwright.core.show import MISSING, Show
from wattwright.job.provable import months_in_words
from wattwright.job.proved import Compared, Proof
from wattwright.proof import kinds
from wattwright.proof.costs import CostSaved
from wattwright.proof.seal import Promise, Seal

_OPTIONS = {
    "B": "B, retrofit isolation: all energy through the boundary is measured",
    "C": "C, whole facility: all energy of the site is measured",
}
"""IPMVP, from memory; A and D are not worked out."""
_SAID_NOTHING = "to be agreed"
_CLEARLY = 1.1
_WIDER = (
    "wider than that of the energy, as shares: money has a model of its own, of hours and not of days, "
    "and dear hours count for more"
)
"""What is said of the two from so much on; common practice, no source."""


def promise_line(promise: Promise | None, show: Show) -> str:
    """Return what is promised, in one sentence."""
    if promise is None:
        return "Nothing is promised; how a saving would be told is fixed all the same."
    band = "" if promise.low is None or promise.high is None else f", {_between(promise.low, promise.high, promise.unit, show)}"
    days = show.fixed(promise.days, 0)
    return f"Promised over {days} days like those of the record: {_amount(promise.saving, promise.unit, show)} saved{band}."


def plan_rows(seal: Seal, show: Show) -> list[tuple[str, str]]:
    """Return the measurement plan, label and words."""
    plan, fit, files = seal.plan, seal.main, ", ".join(one.path for one in seal.files)
    rows = [
        ("option of IPMVP", _OPTIONS[plan.option]),
        ("boundary", f"meter {plan.boundary_name}" + (f", {plan.accuracy}" if plan.accuracy else "")),
        ("baseline", f"{plan.begins} until {plan.until}, by {plan.grain.value}s, from {files}"),
        ("held to account", f"{months_in_words(plan.months)} from {plan.after} on"),
        ("variables", ", ".join(plan.variables)),
        ("must stay as it is", "; ".join(plan.static_factors)),
        ("model", f"{fit.model}, off by {show.percent(fit.unseen_cv_rmse)} on weeks left out"),
        ("fit", f"CV(RMSE) {show.percent(fit.cv_rmse)}, NMBE {show.percent(fit.nmbe)}, R2 {show.fixed(fit.r2, 2)}"),
        ("confidence", show.percent(plan.confidence, 2)),
        ("responsible", plan.responsible or _SAID_NOTHING),
        *([("proposed, not yet agreed", ", ".join(plan.proposed))] if plan.proposed else []),
        *([("prices", f"{seal.tariff.id}, from {seal.tariff.path}, as they stood")] if seal.tariff is not None else []),
        ("fingerprint", seal.shown),
    ]  # fmt: skip
    if seal.promise is not None:
        rows.insert(0, ("promised besides", _besides(seal.promise, show)))
    return rows


def _besides(promise: Promise, show: Show) -> str:
    """Return what the plan does to energy and peak, whichever way they go."""
    a_day, peak_w = promise.energy_kwh / promise.days, promise.peak_w
    energy = f"{show.energy(abs(a_day))} a day {'less' if a_day >= 0 else 'more'} drawn"
    return f"{energy}, highest 15 min {'lower' if peak_w >= 0 else 'higher'} by {show.power(abs(peak_w))}"


def headline(made: Proof, show: Show) -> str:
    """Return what was found, in one sentence."""
    told, band = made.saving, made.saving.bootstrap
    sure = f"at {show.percent(told.confidence, 2)} it lies between {show.energy(band.low_kwh)} and {show.energy(band.high_kwh)}"
    when = f"from {show.day(made.first)} to {show.day(made.last)}"
    if made.is_part:
        when += f", on {show.fixed(made.days, 0)} days like those of the baseline"
    if any(one.code == kinds.OTHER_METER.code for one in made.findings):
        return f"No saving can be told {when}: the record looks like one of another meter or another unit. This is no claim."
    if made.is_claim:
        return f"Saved {show.energy(told.saved_kwh)} {when}; {sure}."
    if made.is_whole and made.saving.shown:
        why = "an event is not agreed on" if made.events else "a finding stands in the way"
        return f"{show.energy(told.saved_kwh)} less were used {when}; {sure}. This is no claim: {why}."
    if not made.is_whole and any(one.code == kinds.HOLES.code for one in made.findings):
        return f"{show.energy(told.saved_kwh)} {when}, of which too little was read; {sure}. This is no claim."
    if not made.is_whole:
        return f"So far {show.energy(told.saved_kwh)} {when}; {sure}. This is news, and no claim yet."
    if band.high_kwh < 0:
        more = f"between {show.energy(-band.high_kwh)} and {show.energy(-band.low_kwh)}"
        return f"More was used {when}: {show.energy(-told.saved_kwh)}; at {show.percent(told.confidence, 2)} it is {more}."
    return f"No saving is shown {when}: {show.energy(told.saved_kwh)}; {sure}."


def figure_rows(made: Proof, show: Show) -> list[tuple[str, str]]:
    """Return the figures behind the sentence, label and words."""
    told = made.saving
    guideline = told.guideline
    days = f"{show.fixed(made.days, 0)} of {show.fixed(made.wanted_days, 0)} days"
    rows = [
        ("would have been", f"{show.energy(told.expected_kwh)}, was {show.energy(told.used_kwh)}"),
        ("by the formula", f"{show.energy(guideline.low_kwh)} to {show.energy(guideline.high_kwh)} (ASHRAE Guideline 14)"),
        ("model", f"{made.model}, off by {show.percent(made.unseen_cv_rmse)} on weeks left out"),
        ("fit", f"CV(RMSE) {show.percent(made.cv_rmse)}, NMBE {show.percent(made.nmbe)}, R2 {show.fixed(made.r2, 2)}"),
        ("read", f"{days} at {made.boundary} (option {made.option})"),
    ]  # fmt: skip
    rows += _money_rows(made, show)
    if made.normal is not None:
        normal = made.normal
        band = f"{show.energy(normal.band.low_kwh)} to {show.energy(normal.band.high_kwh)}"
        rows.append(("in a normal year", f"{show.energy(normal.saved_kwh)}, {band}, by {normal.year}"))
    rows += [("promised", promise_line(made.promise, show))] if made.promise is not None else []
    rows += [("for these days", _against(made.compared, show))] if made.compared is not None else []
    if made.provable is not None and made.provable.day is not None and not made.is_whole:
        whose = "promised" if made.provable.is_promised else "found so far"
        rows.append(
            ("provable from", f"{show.day(made.provable.day)}, at {show.energy(made.provable.saved_a_day_kwh)} a day as {whose}")
        )
    for one in made.adjusted:
        what = f"{show.energy(one.energy_kwh)} taken off" if one.energy_kwh else "left out"
        rows.append(("adjusted", f"{one.first} until {one.until}: {what}; {one.why}; agreed by {one.agreed_by}"))
    rows.append(("fingerprint", made.fingerprint[:16]))
    return rows


def _money_rows(made: Proof, show: Show) -> list[tuple[str, str]]:
    rows = []
    if made.money is not None:
        rows.append(("money, frozen prices" if made.money_today else "money", _priced(made.money, show)))
    if made.money_today is not None:
        rows.append(("money, prices of now", _priced(made.money_today, show)))
    money = made.money or made.money_today
    if money is not None:
        rows += [("band of the money", _WIDER)] if _is_wider(made, money) else []
        rows.append(("highest hour", _highest(money, show)))
    return rows


def _highest(money: CostSaved, show: Show) -> str:
    """Return by how much the highest hour is lower or higher, and its band with its confidence where there is one."""
    found_w, ends_w = money.maximum_saved_w, [one for one in (money.maximum_low_w, money.maximum_high_w) if one is not None]
    way = "higher" if found_w < 0 else "lower"
    told = f"{way} by {show.power(abs(found_w))}"
    if not ends_w:
        return f"{told}, no band can be told"
    low_w, high_w = sorted(-one if found_w < 0 else one for one in ends_w)
    return f"{told}, {show.power(low_w)} to {show.power(high_w)} at {show.percent(money.confidence, 2)}"


def _is_wider(made: Proof, money: CostSaved) -> bool:
    """Return whether the band of the money, as a share of the bill, is clearly wider than that of the energy."""
    told = made.saving
    bill, kwh = money.used_money + money.saved_money, told.expected_kwh
    of_money, of_energy = money.high_money - money.low_money, told.bootstrap.high_kwh - told.bootstrap.low_kwh
    return of_money * kwh > _CLEARLY * of_energy * bill > 0


def _priced(money: CostSaved, show: Show) -> str:
    band = _between(money.low_money, money.high_money, money.currency, show)
    return f"{_amount(money.saved_money, money.currency, show)}, {band}"


def _against(one: Compared, show: Show) -> str:
    """Return promised beside found, and whether the bands meet once the time is over."""
    promised = f"{_amount(one.promised, one.unit, show)} ({_between(one.promised_low, one.promised_high, one.unit, show)})"
    found = f"{_amount(one.found, one.unit, show)} ({_between(one.found_low, one.found_high, one.unit, show)})"
    if not one.is_whole:
        told = "too early to hold one against the other"
    elif one.found_high < one.promised_low:
        told = "less than promised"
    else:
        told = "more than promised" if one.found_low > one.promised_high else "both may be right"
    return f"{promised} promised, {found} found: {told}"


def acted_rows(made: Proof, show: Show) -> list[tuple[str, ...]]:
    """Return planned loads against the record, the first row their heads."""
    rows: list[tuple[str, ...]] = [("Load", "What became of it", "Rated", "Step seen", "Times seen")]
    for one in made.acted:
        found = show.power(one.level_w) if one.level_w else MISSING
        seen = f"{one.seen} of {one.moments}"
        rows.append((one.load, one.course.value, show.power(one.rating_w), found, seen))
    return rows


def _amount(value: float, unit: str, show: Show) -> str:
    return f"{show.fixed(value, 2)} {unit}".strip()


def _between(low: float, high: float, unit: str, show: Show) -> str:
    return f"{show.fixed(low, 2)} to {_amount(high, unit, show)}"
