"""Cells of a table for other trades: text that nobody takes for a formula, numbers, formulas with their value."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

LONGEST = 2000  # characters of a text in a cell
FORMULA_SIGNS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


@dataclass(frozen=True, slots=True)
class Live:
    """A formula that stays in the workbook, and the value that it has now."""

    formula: str
    value: float


Cell = str | float | Live | None


@dataclass(frozen=True, slots=True)
class Table:
    """One sheet: its name, a head with a unit over each column, and rows of as many cells."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def one_line(text: str) -> str:
    r"""Text on one line: what cannot be printed (tabs, line ends) becomes a blank; too long a text is cut off.

    >>> one_line("Bath\tand\r\nlaundry")
    'Bath and laundry'
    """
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:LONGEST]


def guarded(text: str) -> str:
    """Text for a CSV file: an apostrophe before what a spreadsheet would take for a formula.

    >>> guarded("=1+1"), guarded(" -2"), guarded("Hall")
    ("'=1+1", "'-2", 'Hall')
    """
    line = one_line(text)
    return f"'{line}" if line.startswith(FORMULA_SIGNS) else line


def csv_text(table: Table) -> str:
    """The table as comma-separated values with full stops in numbers; formulas give their value."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.heads)
    writer.writerows([_plain(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def _plain(cell: Cell) -> str | float:
    if isinstance(cell, str):
        return guarded(cell)
    if cell is None:
        return ""
    return round(cell.value if isinstance(cell, Live) else cell, 6)


def letter(column: int) -> str:
    """The letter of a column counted from 0, up to Z."""
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[column]


def column_of(heads: Sequence[str], head: str) -> str:
    """The letter of the column with a head."""
    return letter(list(heads).index(head))
