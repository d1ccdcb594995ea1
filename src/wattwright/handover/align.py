"""What the PDF and the page share: a paper turned into plain data, decimals aligned, notes put beside their blocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wattwright.charts.picture import Picture
from wattwright.charts.table import Cell, Column, Marked, Table
from wattwright.core.basis import Basis
from wattwright.handover import paper as p

__all__ = ["decimal_tails", "paper_data"]


def decimal_tails(texts: Sequence[str], decimal_mark: str = ".") -> list[str]:
    """For each text the invisible tail that brings its decimal mark under the others' when all are set flush right.

    Figures are tabular, so a tail of zeros is as wide as the missing decimals; text without a digit gets no tail.
    """
    found = [_decimals(text, decimal_mark) for text in texts]
    longest = max((part for part in found if part is not None), key=len, default="")
    return ["" if part is None else _tail(part, longest) for part in found]


def _decimals(text: str, decimal_mark: str) -> str | None:
    """The decimal mark and all after it, empty if the figure has none; None if there is no digit at all."""
    if not any(character.isdigit() for character in text):
        return None
    _, mark, after = text.rpartition(decimal_mark)
    return mark + after if mark and after.isdigit() else ""


def _tail(part: str, longest: str) -> str:
    return longest[len(part) :] if len(part) < len(longest) else ""


_STANDS_WHOLE = 26
_LONG = 100
"""Letters from which on a narrow screen gives its column more than its own breadth, so that rows stay low."""
_MOST_WEIGHT = 90
_BY_HAND = 24
"""Letters that somebody is given room for where a column stands empty."""
_MOST_ROWS = 12
_MOST_LETTERS = 900
"""Rows and letters of a table, set in the columns of a sheet, that fill about a third of it."""


def paper_data(paper: p.Paper) -> dict[str, Any]:
    """The paper as dictionaries, lists and strings only: what both templates read."""
    block = paper.title_block
    return {
        "title_block": {
            "job": block.job,
            "place": block.place,
            "sheet": block.sheet,
            "date": block.date,
            "revision": block.revision,
            "basis": block.basis,
            "invented": block.invented,
        },
        "language": paper.language,
        "legend": [{"letter": entry.basis.value, "meaning": entry.meaning} for entry in paper.basis_legend],
        "words": {name: getattr(paper.words, name) for name in p.PaperWords.__dataclass_fields__},
        "sections": [_section(section, paper.decimal_mark) for section in paper.sections],
    }


def _section(section: p.Section, mark: str) -> dict[str, Any]:
    """The section as rows: blocks for the text column and the notes beside the first of them."""
    rows: list[dict[str, Any]] = [{"blocks": [{"kind": "lead", "runs": _runs(section.lead)}], "notes": [], "wide": False}]
    latest = rows[0]["blocks"]
    for block in section.blocks:
        if isinstance(block, p.MarginNote):
            if len(latest) > 1:  # the note concerns the last block only, so that block begins a row
                rows.append({"blocks": [latest.pop()], "notes": [], "wide": False})
                latest = rows[-1]["blocks"]
            rows[-1]["notes"].append(_note(block))
            continue
        made = _block(block, mark)
        wide = bool(made.get("wide", False))
        if wide or rows[-1]["wide"]:
            rows.append({"blocks": [made], "notes": [], "wide": wide})
            latest = rows[-1]["blocks"]
        else:
            latest.append(made)
    return {"title": section.title, "new_page": section.new_page, "rows": rows}


def _note(note: p.MarginNote) -> dict[str, str]:
    told = {"sentence": note.sentence, "do": note.do, "source": note.source, "code": note.code, "about": note.about}
    return {"severity": note.severity.value, **told}


def _runs(words: p.Words) -> list[dict[str, Any]]:
    parts = (words,) if isinstance(words, str) else words
    return [_run(part) for part in parts]


def _run(part: str | p.Emphasis | p.Raised) -> dict[str, Any]:
    match part:
        case p.Emphasis(text):
            return {"text": text, "em": True, "basis": ""}
        case p.Raised(basis):
            return {"text": "", "em": False, "basis": _letter(basis)}
        case _:
            return {"text": part, "em": False, "basis": ""}


def _block(block: p.Standing, mark: str) -> dict[str, Any]:
    match block:
        case p.Lead(sentence):
            return {"kind": "lead", "runs": _runs(sentence)}
        case p.Text(words):
            return {"kind": "text", "runs": _runs(words)}
        case p.KeyFigures(figures):
            return {"kind": "figures", "figures": [_figure(figure) for figure in figures]}
        case p.TableBlock(table, wide, by_hand):
            return {"kind": "table", "wide": wide, **_table(table, mark, by_hand)}
        case p.PictureBlock(picture, with_table):
            return _picture(picture, with_table, mark)
        case p.Steps(items):
            return {"kind": "steps", "items": [_runs(item) for item in items]}
        case p.Caution(words, heading):
            return {"kind": "caution", "heading": heading, "runs": _runs(words)}


def _letter(basis: Basis | None) -> str:
    return "" if basis is None else basis.value


def _figure(figure: p.KeyFigure) -> dict[str, str]:
    return {
        "label": figure.label,
        "value": figure.value,
        "unit": figure.unit,
        "basis": _letter(figure.basis),
        "note": figure.note,
        "doubt": figure.doubt,
    }


def _picture(picture: Picture, with_table: bool, mark: str) -> dict[str, Any]:
    return {
        "kind": "picture",
        "id": picture.id,
        "title": picture.title,
        "alt": picture.alt,
        "source": picture.source,
        "step": picture.step,
        "wide": picture.width_px > 500,
        "with_table": with_table and picture.table is not None,
        "table": None if picture.table is None else _table(picture.table, mark),
    }


def _table(table: Table, mark: str, by_hand: Sequence[int] = ()) -> dict[str, Any]:
    columns = [_column(column, [row[i] for row in table.rows], mark) for i, column in enumerate(table.columns)]
    return {
        "caption": table.caption,
        # A long table may go on overleaf; a row does not, unless it would fill half a sheet by itself.
        "breaks": len(table.rows) > _MOST_ROWS or sum(_length(row) for row in table.rows) > _MOST_LETTERS,
        "whole": max((_length(row) for row in table.rows), default=0) < _MOST_LETTERS,
        "source": table.source,
        "totals": table.totals,
        "by_hand": bool(by_hand),
        "columns": [
            {**column["head"], "weight": weight, "words": _kind_of_words(longest)}
            for column, weight, longest in zip(columns, by_hand or _weights(table), _longest(table), strict=True)
        ],
        "rows": [[column["cells"][r] for column in columns] for r in range(len(table.rows))],
    }


def _kind_of_words(longest: int) -> str:
    """Return how a column of words is set on a page by its longest cell: whole, wrapped, or long enough to want room for it."""
    return "s" if longest <= _STANDS_WHOLE else "w" if longest <= _LONG else "w long"


def _weights(table: Table) -> list[int]:
    """Return how much of the free breadth each column asks for.

    Columns of words too long to stand whole share it by their length; where there is none, the longest column of words has it.
    An empty column is written in by hand and gets room for that.
    """
    longest = _longest(table)
    of_words = [i for i, column in enumerate(table.columns) if column.align == "left"]
    wide = [i for i in of_words if longest[i] > _STANDS_WHOLE]
    if not wide and of_words:
        wide = [max(of_words, key=lambda i: longest[i])]
    blank = [i for i in of_words if table.rows and not longest[i]]
    asked = {i: min(max(longest[i], 1), _MOST_WEIGHT) for i in wide} | dict.fromkeys(blank, _BY_HAND)
    return [asked.get(i, 0) for i in range(len(table.columns))]


def _longest(table: Table) -> list[int]:
    """Return the length of the longest text in each column."""
    return [max((len(_text(row[i])) for row in table.rows), default=0) for i in range(len(table.columns))]


def _length(row: Sequence[Cell]) -> int:
    return sum(len(_text(cell)) for cell in row)


def _text(cell: Cell) -> str:
    return cell.text if isinstance(cell, Marked) else cell


def _column(column: Column, cells: Sequence[Cell], mark: str) -> dict[str, Any]:
    marked = [cell if isinstance(cell, Marked) else Marked(cell) for cell in cells]
    decimal = column.align == "decimal"
    tails = decimal_tails([cell.text for cell in marked], mark) if decimal else [""] * len(marked)
    room = next((cell.basis.value for cell in marked if cell.basis), "")
    return {
        "head": {
            "head": column.head,
            "unit": column.unit,
            "decimal": decimal,
            "basis": _letter(column.basis),
            "room": room,
        },
        # A figure without a mark keeps the room of one, so that a marked neighbour does not push the column apart.
        "cells": [
            {
                "text": cell.text,
                "tail": tail,
                "basis": _letter(cell.basis),
                "room": "" if cell.basis else room,
                "decimal": decimal,
            }
            for cell, tail in zip(marked, tails, strict=True)
        ],
    }
