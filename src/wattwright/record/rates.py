"""Registers or energies of two rates and more, such as day and night, that are parts of one supply: added up to one channel."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.basis import Basis
from wattwright.core.errors import quoted
from wattwright.core.findings import Finding
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record import kinds
from wattwright.record.record import PART, Channel, Form, Meaning, standing
from wattwright.record.words import has_word, plain, rate_in

Floats = NDArray[np.float64]
_SHORT_S = 3600
"""Over an hour at most one rate counts, but for the hour in which it changes (common practice, no source)."""
_ALONE = 0.95
"""Share of intervals in which only one of them counts: common practice, no source."""


def rates_added(channels: Sequence[Channel]) -> tuple[tuple[Channel, ...], list[Finding]]:
    """Return a channel for each way of flow whose energy is counted by rates alone, the sum of them, and a finding on each.

    Their names must say that they are rates, and over steps of an hour or less only one of them may count at a time. Nothing
    is added where another column holds the whole.
    """
    out: list[Channel] = []
    notes: list[Finding] = []
    for way in (Direction.IMPORT, Direction.EXPORT):
        whole = [c for c in channels if _is_whole(c) and c.meaning.direction is way]
        parts = _parts(whole)
        if not parts or any(standing(c.column) > PART for c in whole if c not in parts):
            continue
        alone = _share_alone(parts)
        is_short = parts[0].series.step_s <= _SHORT_S
        if is_short and alone < _ALONE:
            continue
        made = _sum(parts, "only one of them counts at a time" if is_short else "by their names they are rates")
        kind = kinds.RATES if is_short else kinds.RATES_BY_NAME
        notes.append(kind.at("columns", columns=_listed(parts)))
        out.append(made)
    return tuple(out), notes


def with_sums(channels: Sequence[Channel], sums: Sequence[Channel]) -> tuple[Channel, ...]:
    """Return ``sums`` and the channels without those that are added up in them."""
    inside = {part for one in sums for part in one.parts}
    return (*sums, *(one for one in channels if one.id not in inside))


def _is_whole(channel: Channel) -> bool:
    meaning = channel.meaning
    return meaning.quantity is Quantity.ACTIVE_POWER and meaning.phase is Phase.TOTAL and not meaning.form.is_extreme


def _parts(channels: Sequence[Channel]) -> list[Channel]:
    """Return the channels of one name and form that differ in their rate, two at least; none where there are several such."""
    groups: dict[tuple[str, str, Form], dict[str, Channel]] = {}
    for one in channels:
        rate = rate_in(one.column)
        if rate is None or one.meaning.form not in (Form.ENERGY, Form.REGISTER):
            continue
        stem = re.sub(r"\d+", "", " ".join(word for word in plain(one.column).split() if not has_word(rate.word, [word])))
        group = groups.setdefault((rate.family, " ".join(stem.split()), one.meaning.form), {})
        if rate.label in group:
            return []
        group[rate.label] = one
    found = [list(group.values()) for group in groups.values() if len(group) > 1]
    return found[0] if len(found) == 1 else []


def _share_alone(parts: Sequence[Channel]) -> float:
    """Return in what share of the intervals in which any of them counts only one does."""
    moving = np.sum([one.series.values > 0 for one in parts], axis=0)
    counted = int((moving > 0).sum())
    return int((moving == 1).sum()) / counted if counted else 0.0


def _sum(parts: Sequence[Channel], why: str) -> Channel:
    """Return the channel of all parts; a blank beside a reading is nought where a row holds one of them as a rule."""
    first = parts[0]
    values, raw = _added([one.series.values for one in parts]), _added(_raws(parts))
    blank = np.isnan(values)
    quality = np.max(
        [np.where(np.isnan(one.series.values) & ~blank, np.uint8(Quality.VALID), one.series.quality) for one in parts], axis=0
    )
    quality = np.where(blank, np.uint8(Quality.MISSING), quality).astype(np.uint8)
    series = Series(first.series.start_s, first.series.step_s, values, quality, raw)
    old = first.meaning
    meaning = Meaning(old.quantity, old.form, old.unit, old.factor, old.phase, old.direction, f"sum of {_listed(parts)}: {why}")
    id_ = "import-of-all-rates" if old.direction is Direction.IMPORT else "export-of-all-rates"
    name = " + ".join(one.column for one in parts)
    return replace(first, id=id_, column=name, meaning=meaning, series=series, basis=Basis.CALCULATED,
                   parts=tuple(one.id for one in parts))  # fmt: skip


def _raws(parts: Sequence[Channel]) -> list[Floats]:
    """Return what stands in the file of each part, in the unit of the first."""
    return [one.series.raw * (one.meaning.factor / parts[0].meaning.factor) for one in parts]


def _added(columns: Sequence[Floats]) -> Floats:
    stacked = np.array(columns)
    filled = (~np.isnan(stacked)).sum(axis=0)
    some = filled > 0
    one_each = some.any() and float((filled[some] == 1).mean()) >= _ALONE
    total: Floats = np.where(some, np.nansum(stacked, axis=0), np.nan) if one_each else stacked.sum(axis=0)
    return total


def _listed(parts: Sequence[Channel]) -> str:
    *most, last = [quoted(one.column) for one in parts]
    return f"{', '.join(most)} and {last}"
