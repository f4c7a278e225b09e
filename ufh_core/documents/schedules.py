"""The schedules: a workbook of circuits, manifolds and order, and the first two as comma-separated values."""

from __future__ import annotations

import io
from pathlib import Path

import xlsxwriter

from ufh_core.basis.whole_file import write_whole
from ufh_core.design_result import Design
from ufh_core.documents.schedule_cells import Cell, Live, Table, csv_text, one_line
from ufh_core.documents.schedule_tables import tables
from ufh_core.exchange.header import written_at

WORKBOOK = "schedules.xlsx"
WIDEST = 60
FORMAT = "0.00"
CAUTION = "&CDesigned figures: a licensed engineer checks them by the local codes before anything is bought or built."
BYTE_ORDER_MARK = "\ufeff"  # tells spreadsheets that the file is UTF-8


def write_schedules(design: Design, folder: Path) -> None:
    """Write schedules.xlsx, circuits.csv and manifolds.csv. Raises: OSError or `OutputError`."""
    sheets = tables(design)
    (folder / WORKBOOK).write_bytes(workbook(sheets))
    for table in sheets[:2]:
        write_whole(folder / f"{table.name.lower()}.csv", BYTE_ORDER_MARK + csv_text(table))


def workbook(sheets: tuple[Table, ...]) -> bytes:
    """The tables as a workbook; its date of creation is `written_at`."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        book.set_properties({"title": "Water floor heating: schedules", "created": written_at()})
        for table in sheets:
            _sheet(book, table)
    return out.getvalue()


def _sheet(book: xlsxwriter.Workbook, table: Table) -> None:
    """One sheet with its head held in view."""
    sheet = book.add_worksheet(table.name)
    head = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    number = book.add_format({"num_format": FORMAT, "valign": "top"})
    words = book.add_format({"text_wrap": True, "valign": "top"})
    sheet.freeze_panes(1, 1)
    sheet.set_landscape()
    sheet.set_footer(CAUTION)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    for column, text in enumerate(table.heads):
        sheet.write_string(0, column, text, head)
        sheet.set_column(column, column, _width(table, column))
    for row, cells in enumerate(table.rows, 1):
        for column, cell in enumerate(cells):
            _write(sheet, row, column, cell, (words, number))


def _write(
    sheet: xlsxwriter.worksheet.Worksheet, row: int, column: int, cell: Cell, forms: tuple[object, object]
) -> None:
    """A cell by its kind; text is never looked at for formulas or links."""
    words, number = forms
    if isinstance(cell, str):
        sheet.write_string(row, column, one_line(cell), words)
    elif isinstance(cell, Live):
        sheet.write_formula(row, column, cell.formula, None if cell.value % 1 == 0 else number, cell.value)
    elif cell is not None:
        sheet.write_number(row, column, cell, None if cell % 1 == 0 else number)


def _width(table: Table, column: int) -> int:
    """Characters that the widest cell needs; heads may wrap at blanks."""
    words = max(len(word) for word in table.heads[column].split())
    return min(WIDEST, max(words + 3, *(_length(row[column]) + 3 for row in table.rows), 0))


def _length(cell: Cell) -> int:
    """Characters of a cell as it is shown."""
    if isinstance(cell, str):
        return len(one_line(cell))
    return 0 if cell is None else len(f"{cell.value if isinstance(cell, Live) else cell:.2f}")
