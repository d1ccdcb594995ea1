"""A frozen promise and its proof as plain data for programs: energies in kWh, powers in kW, money of the tariff's currency."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.show import Show
from wattwright.job.proved import Proof
from wattwright.proof.seal import Seal

SCHEMA, FROZEN_SCHEMA = "wattwright.proof/1", "wattwright.promise/1"


def frozen_json(seal: Seal, findings: tuple[Finding, ...], path: Path, show: Show) -> dict[str, Any]:
    """Return what is frozen as plain data; ``show`` gives the language of the findings' sentences."""
    told = seal.model_dump(mode="json", exclude={"models": {"__all__": {"numbers"}}, "tariff": {"text"}})
    return {"path": str(path), "fingerprint": seal.fingerprint, **told, "findings": [one.as_json(show) for one in findings]}


def proof_json(made: Proof, show: Show) -> dict[str, Any]:
    """Return a proof as plain data; ``show`` gives the language of the findings' sentences and the site's zone."""
    told, money, normal = made.saving, made.money, made.normal
    provable, today = made.provable, made.money_today
    return {
        "fingerprint": made.fingerprint, "record": made.record, "option": made.option, "boundary": made.boundary,
        "from": str(made.first), "to": str(made.last), "days": round(made.days, 3), "days_agreed": made.wanted_days,
        "is_claim": made.is_claim, "model": made.model, "cv_rmse": round(made.cv_rmse, 6),
        "cv_rmse_unseen": round(made.unseen_cv_rmse, 6), "nmbe": round(made.nmbe, 9), "r2": round(made.r2, 6),
        "expected_kwh": round(told.expected_kwh, 4), "used_kwh": round(told.used_kwh, 4),
        "saving_kwh": round(told.saved_kwh, 4), "saving_low": round(told.bootstrap.low_kwh, 4),
        "saving_high": round(told.bootstrap.high_kwh, 4), "saving_low_formula": round(told.guideline.low_kwh, 4),
        "saving_high_formula": round(told.guideline.high_kwh, 4), "confidence": told.confidence,
        "saving_money": None if money is None else round(money.saved_money, 4),
        "saving_money_low": None if money is None else round(money.low_money, 4),
        "saving_money_high": None if money is None else round(money.high_money, 4),
        "saving_money_today": None if today is None else round(today.saved_money, 4),
        "saving_money_today_low": None if today is None else round(today.low_money, 4),
        "saving_money_today_high": None if today is None else round(today.high_money, 4),
        "promised_and_found": None if made.compared is None else asdict(made.compared),
        "currency": "" if money is None else money.currency,
        "peak_saved_kw": None if money is None else round(money.maximum_saved_w / 1000, 4),
        "peak_saved_low_kw": None if money is None else _kw(money.maximum_low_w),
        "peak_saved_high_kw": None if money is None else _kw(money.maximum_high_w),
        "normal_year": None if normal is None else _normal(normal), "promise": _promise(made),
        "provable": None if provable is None else {**asdict(provable), "day": provable.day and str(provable.day)},
        "running": _running(made, show), "events": _events(made, show), "acted": [_acted(one, show) for one in made.acted],
        "adjusted": [{**asdict(one), "first": str(one.first), "until": str(one.until)} for one in made.adjusted],
        "findings": [one.as_json(show) for one in made.findings],
    }  # fmt: skip


def _kw(power_w: float | None) -> float | None:
    return None if power_w is None else round(power_w / 1000, 4)


def _normal(normal: Any) -> dict[str, Any]:
    told = asdict(normal)
    band = told.pop("band")
    return {**told, "saving_low": band["low_kwh"], "saving_high": band["high_kwh"]}


def _promise(made: Proof) -> dict[str, Any] | None:
    return None if made.promise is None else made.promise.model_dump(mode="json")


def _running(made: Proof, show: Show) -> list[dict[str, Any]]:
    clock, course = SiteClock(show.zone), made.running
    columns = [np.round(one, 4).tolist() for one in (course.saved_kwh, course.low_kwh, course.high_kwh)]
    rows = zip(course.ends_s.tolist(), *columns, strict=True)
    return [
        {"until": clock.at(end_s).isoformat(), "saving_kwh": saved, "saving_low": low, "saving_high": high}
        for end_s, saved, low, high in rows
    ]


def _events(made: Proof, show: Show) -> list[dict[str, Any]]:
    clock = SiteClock(show.zone)
    return [
        {
            "from": clock.at(one.start_s).isoformat(), "until": clock.at(one.end_s).isoformat(), "days": one.days,
            "energy_a_day_kwh": round(one.energy_kwh, 4), "share": round(one.share, 4), "chance": one.chance,
        }
        for one in made.events
    ]  # fmt: skip


def _acted(one: Any, show: Show) -> dict[str, Any]:
    since = SiteClock(show.zone).at(one.since_s).isoformat() if one.since_s else None
    return {
        "load": one.load, "course": one.course.value, "rating_kw": one.rating_w / 1000, "step_kw": round(one.level_w / 1000, 4),
        "moments": one.moments, "seen": one.seen, "since": since, "moved_s": one.moved_s,
    }  # fmt: skip
