"""Exports as tables: CSV, JSON Lines, Parquet."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl

from wattwright.record.exports.columns import Exported


def write_csv(given: Exported, path: Path) -> None:
    """Write comma-separated text in UTF-8, decimals behind a point, each number as short as it may be to come back the same."""
    texts = {given.stamp_name: pl.Series(given.stamps)}
    for column in given.columns:
        texts[column.name] = pl.Series([_shortest(one) for one in column.numbers.tolist()], dtype=pl.String)
        texts[column.quality_name] = pl.Series(column.quality)
    pl.DataFrame(texts).write_csv(path, include_header=True)


def _shortest(value: float) -> str | None:
    return None if np.isnan(value) else repr(value)


def write_json_lines(given: Exported, path: Path) -> None:
    """Write one JSON object for each interval, null where there is no reading."""
    names = [(column.name, column.quality_name) for column in given.columns]
    lists = [(column.numbers.tolist(), column.quality.tolist()) for column in given.columns]
    with path.open("w", encoding="utf-8") as file:
        for row, stamp in enumerate(given.stamps):
            line: dict[str, Any] = {given.stamp_name: stamp}
            for (name, quality_name), (values, quality) in zip(names, lists, strict=True):
                line[name] = None if np.isnan(values[row]) else values[row]
                line[quality_name] = quality[row]
            file.write(json.dumps(line, ensure_ascii=False) + "\n")


def write_parquet(given: Exported, path: Path) -> None:
    """Write a Parquet file: instants in UTC, days, or text with its offset; 64-bit floats; quality as bytes."""
    stamps = pl.Series(given.stamps)
    if given.in_utc:
        stamps = pl.from_epoch(pl.Series(given.intervals.starts_s), time_unit="s").dt.replace_time_zone("UTC")
    elif given.intervals.days:
        stamps = stamps.str.to_date("%Y-%m-%d")
    columns = {given.stamp_name: stamps}
    for column in given.columns:
        columns[column.name] = pl.Series(column.numbers, nan_to_null=True)
        columns[column.quality_name] = pl.Series(column.quality)
    pl.DataFrame(columns).write_parquet(path)
