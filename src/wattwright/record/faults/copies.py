"""A channel that is another one's scaled copy, and conductors that do not add up to their total."""

from itertools import combinations, product

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.quantity import Phase, Quantity
from wattwright.core.series import Floats
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import LEGS, THREE, Seen
from wattwright.record.faults.signs import evenly
from wattwright.record.record import Channel, Form

_LEAST_READINGS = 48
_LEFT = 0.01
_SAME = 0.01
_MOST_CHANNELS = 12
_SUM = 0.02


def copies(seen: Seen) -> list[Finding]:
    """Return findings for pairs of channels of one quantity of which one is the other times a fixed number."""
    by_quantity: dict[Quantity, list[Channel]] = {}
    for channel in seen.channels:
        if channel.meaning.quantity not in (Quantity.CONTACT, Quantity.POWER_FACTOR):
            by_quantity.setdefault(channel.meaning.quantity, []).append(channel)
    notes: list[Finding] = []
    for alike in by_quantity.values():
        some = {id(c): evenly(c.series.values) for c in alike[:_MOST_CHANNELS]} if len(alike) > 1 else {}
        for other, one in combinations(alike[: len(some)], 2):
            # Only what looks like a copy at some thousand readings is held against the whole.
            if _fit(some[id(one)], some[id(other)]) is not None:
                notes += _copy(one, other, seen)
    return notes


def _copy(one: Channel, other: Channel, seen: Seen) -> list[Finding]:
    found = _fit(one.series.values, other.series.values)
    if found is None:
        return []
    ratio, left = found
    phases = {one.meaning.phase, other.meaning.phase}
    same = abs(ratio - 1) <= _SAME
    if same and (one.meaning.form is not other.meaning.form or one.meaning.unit != other.meaning.unit):
        # A register beside its own intervals is how meters are built.
        registers = Form.REGISTER in (one.meaning.form, other.meaning.form)
        return [] if registers else [kinds.SAME_TWICE.at("columns", column=one.column, other=other.column)]
    lone = len(seen.conductors(one.meaning.quantity)) == 1
    if same and Phase.TOTAL in phases and len(phases) == 2 and lone:
        return []
    return [kinds.COPY.at("columns", column=one.column, other=other.column, ratio=ratio, left=left)]


def _fit(y: Floats, x: Floats) -> tuple[float, float] | None:
    """Return the ratio of ``y`` to ``x`` (n,) and what it leaves of the variation, where that is next to nothing."""
    held = ~(np.isnan(x) | np.isnan(y))
    if int(held.sum()) < _LEAST_READINGS:
        return None
    x, y = x[held], y[held]
    spread, square = float(y.std()), float(x @ x)
    if not spread or not square or len(np.unique(evenly(y, 400))) < 8:
        return None
    ratio = float(x @ y) / square
    left = float((y - ratio * x).std()) / spread
    return (ratio, left) if left <= _LEFT else None


def not_the_sum(seen: Seen) -> list[Finding]:
    """Return a finding where a total of active power is not the sum of all its conductors."""
    parts = seen.conductors(Quantity.ACTIVE_POWER)
    total = seen.one(Quantity.ACTIVE_POWER, Phase.TOTAL)
    if total is None or tuple(parts) not in (THREE, LEGS):
        return []
    values = np.array([evenly(c.series.values) for c in (total, *parts.values())])
    values = values[:, ~np.isnan(values).any(axis=0)]
    size = float(np.abs(values[0]).mean()) if values.shape[1] >= _LEAST_READINGS else 0.0
    if not size:
        return []
    off = _off(values, np.ones(len(parts)))
    if off <= _SUM * size:
        return []
    return [kinds.NOT_SUM.at("columns", column=total.column, share=off / size, how=_how(values, [p.value for p in parts], size))]


def _off(values: Floats, signs: Floats) -> float:
    return float(np.abs(signs @ values[1:] - values[0]).mean())


def _how(values: Floats, names: list[str], size: float) -> str:
    """Return in words which signs make the sum come out, or an empty text."""
    if float(np.abs(np.abs(values[1:]).sum(axis=0) - values[0]).mean()) <= _SUM * size:
        return "; it adds them up without their signs"
    for signs in product((1.0, -1.0), repeat=len(names)):
        if _off(values, np.array(signs)) <= _SUM * size:
            turned = " and ".join(name for name, sign in zip(names, signs, strict=True) if sign < 0)
            return f"; it counts {turned} with the other sign"
    for i, name in enumerate(names):
        signs_ = np.ones(len(names))
        signs_[i] = 0.0
        if _off(values, signs_) <= _SUM * size:
            return f"; it leaves {name} out"
    return ""
