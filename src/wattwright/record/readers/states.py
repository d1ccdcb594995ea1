"""Columns of words that say whether a contact is closed or a thing is on, in several languages."""

import numpy as np

from wattwright.record.readers.distinct import distinct
from wattwright.record.readers.numbers import Numbers
from wattwright.record.readers.signs import MISSING_SIGNS, state_of
from wattwright.record.readers.table import Table

_MOST_WORDS = 12


def states_of(table: Table, column: int) -> Numbers | None:
    """Return a column of such words as 1 (closed, on) and 0 (open, off); None where it holds anything else or one state."""
    if table.is_typed(column) or any(state_of(text) is None and not _is_nothing(text) for text in table.sample(column, 50)):
        return None
    found = distinct(table.text(column))
    states = {text: state_of(text) for text in found.texts if not _is_nothing(text)}
    if len(found.texts) > _MOST_WORDS or set(states.values()) != {0.0, 1.0}:
        return None
    values = np.array([states.get(text, np.nan) for text in found.texts], np.float64)[found.codes]
    counts = np.bincount(found.codes)
    signs = tuple((text.lower(), int(count)) for text, count in zip(found.texts, counts, strict=True) if text not in states)
    return Numbers(values, signs, (), (), tuple(states))


def _is_nothing(text: str) -> bool:
    return text.strip().lower() in MISSING_SIGNS
