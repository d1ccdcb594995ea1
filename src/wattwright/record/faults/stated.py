"""What the file itself says about its step and its total, held against its stamps and its readings."""

import re
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.record.channels import Understood
from wattwright.record.faults import kinds
from wattwright.record.measures import lasts_s
from wattwright.record.record import Form
from wattwright.record.words import plain

_STEP = re.compile(r"(?<![\d.,])(\d{1,3})[ -]?(s|sec|seconds?|min|minutes?|minuten|minuti|minutos|h|hours?|stunden?)(?![a-z])")
_SECONDS = {"s": 1, "m": 60, "h": 3600}
_TOTAL = re.compile(r"\b(total|sum|summe|gesamt|somme|suma|totale|totaal|razem)\b")
_NUMBER = re.compile(r"[-+]?\d[\d.,' ]*")
_APART = 0.001
_FEWEST = 10
_CLOSE = 0.5
_ABOUT_STEP = ("interval", "step", "period", "resolution", "intervall", "raster", "periode", "schritt", "intervalle", "pas",
               "intervalo", "intervallo", "every", "alle")  # fmt: skip


def stated_step(names: Iterable[str], preamble: Sequence[str], step_s: int) -> list[Finding]:
    """Return a finding where a column's name, or a line above the readings about the interval, names another step."""
    about = [line for line in preamble if any(word in plain(line).split() for word in _ABOUT_STEP)]
    for text in (*names, *about):
        found = _STEP.findall(text.lower())
        said = {int(count) * _SECONDS[unit[0]] for count, unit in found if int(count)}
        if len(said) == 1 and step_s not in said and step_s > 0:
            return [kinds.STATED_STEP.at("stamps", said=said.pop(), text=text.strip()[:60], step=step_s)]
    return []


def energy_over(found: Mapping[int, Understood], step_s: int) -> list[Finding]:
    """Return a finding where a column gives an energy over another time than its step, such as a day: it was read as a rate."""
    for one in found.values():
        said = lasts_s(one.meaning.unit)
        if said and step_s > 0 and said != step_s:
            return [kinds.STATED_STEP.at("stamps", said=said, text=one.name, step=step_s)]
    return []


def total_row(dropped: Sequence[tuple[int, str]], found: Mapping[int, Understood], decimal: str) -> list[Finding]:
    """Return a finding where a row of totals at the end holds a number near the sum of a column, and not that sum."""
    for _, text in dropped:
        if not _TOTAL.search(plain(text)):
            continue
        said = [value for value in (_number(one, decimal) for one in re.split(r"[;\t|]|,(?=\S)", text)) if value]
        for one in found.values():
            if one.meaning.form is not Form.ENERGY:
                continue
            total = float(np.nansum(one.numbers.values))
            near = [value for value in said if abs(value - total) <= _CLOSE * abs(total)]
            if near and all(abs(value - total) > _APART * abs(total) for value in near):
                return [kinds.TOTAL_ROW.at("rows", said=near[0], column=one.name, found=total)]
    return []


def last_is_sum(found: Mapping[int, Understood], order: "NDArray[np.int64] | slice") -> list[Finding]:
    """Return a finding where the last reading of a column of energies is the sum of all before it."""
    for one in found.values():
        values = one.numbers.values[order]
        if one.meaning.form is not Form.ENERGY or len(values) <= _FEWEST or np.isnan(values[-1]) or values[-1] <= 0:
            continue
        last, others = float(values[-1]), float(np.nansum(values[:-1]))
        if abs(last - others) <= _APART * last and (values[:-1] > 0).sum() >= _FEWEST:
            return [kinds.LAST_IS_SUM.at("rows", column=one.name, value=last, unit=one.meaning.unit)]
    return []


def _number(text: str, decimal: str) -> float | None:
    match = _NUMBER.search(text)
    if match is None:
        return None
    bare = re.sub(r"[' ]", "", match[0])
    bare = bare.replace("." if decimal == "," else ",", "").replace(decimal, ".").rstrip(".")
    try:
        return float(bare)
    except ValueError:
        return None
