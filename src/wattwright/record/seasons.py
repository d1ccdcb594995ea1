"""A column that says summer or winter time for each row: it tells which run of a repeated hour a stamp belongs to."""

from dataclasses import replace

import numpy as np

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.record.readers.stamps import Stamps
from wattwright.record.readers.table import Table
from wattwright.record.words import has_word, plain, words

_AGREE = 0.99
"""The column must follow the zone's own changes of the clock; a season of prices does not (common practice, no source)."""
_MOST_TEXTS = 2


def with_season(stamps: Stamps, table: Table, clock: SiteClock) -> Stamps:
    """Return the stamps with their UTC seconds where a column tells summer from winter time, else as they are.

    The column counts as one of the stamps' columns then. Nothing is taken from it unless it agrees with the zone of ``clock``.
    """
    if stamps.utc is not None or not len(stamps.local):
        return stamps
    year = 366 * DAY_S
    around = np.arange(int(stamps.local.min()) - year, int(stamps.local.max()) + year, 7 * DAY_S)
    offsets = np.unique(clock.offsets_s(around))
    if len(offsets) != 2:  # winter and summer
        return stamps
    winter_s, summer_s = (int(one) for one in offsets)
    for i in range(table.body.width):
        is_summer = None if i in stamps.columns else _season_in(table, i)
        if is_summer is None:
            continue
        usual = clock.resolve(stamps.local)
        utc = stamps.local - np.where(is_summer, summer_s, winter_s)
        if float(((utc == usual.first_s) | usual.ambiguous | usual.absent).mean()) >= _AGREE:
            told = f"{stamps.format}, offset from UTC by {table.names[i]}"
            return replace(stamps, utc=utc, format=told, columns=(*stamps.columns, i))
    return stamps


def _season_in(table: Table, column: int) -> "np.typing.NDArray[np.bool_] | None":
    """Return which rows are in summer time by the texts of a column, None where it does not say so."""
    known, name = words("season"), plain(table.names[column])
    is_called = has_word(name, known["called"])
    if len(set(table.sample(column, 20))) > _MOST_TEXTS or not (is_called or not table.is_typed(column)):
        return None
    texts = table.text(column).str.strip_chars()
    found = {text: plain(text.removesuffix(".0")) for text in texts.unique().to_list()}
    summer, winter = ((*known[season], *(known[f"{season} if called"] if is_called else ())) for season in ("summer", "winter"))
    if len(found) > _MOST_TEXTS or not all(flat in (*summer, *winter) for flat in found.values()):
        return None
    return texts.is_in([text for text, flat in found.items() if flat in summer]).to_numpy()
