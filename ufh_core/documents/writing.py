"""What is written beside the plan: blocks of rows that run down columns and break between rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ufh_core.documents.lettering import text_width, wrapped
from ufh_core.documents.pen import Pen
from ufh_core.documents.sheet import COLUMN_MM, Column, Sheet
from ufh_core.words import said, say

TEXT_MM = 1.8
ROW_MM = 3.5
INSET_MM = 1.2
LINE_MM = 3.1
MOST_TOGETHER = 6
LEAST_MM, HAIR_MM = 1.3, 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A text at `x` [mm] from the column's left edge, its baseline `drop` [mm] under the row's top."""

    x: float
    drop: float
    text: str
    height: float = TEXT_MM
    align: str = "left"
    bold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of cells; `sign` names a sign that is drawn in it; `rule` draws a line under it."""

    height: float
    cells: tuple[Cell, ...] = ()
    sign: str = ""
    rule: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Rows under a title; `head` is repeated where the block goes on in another column."""

    title: str
    rows: tuple[Row, ...]
    head: Row | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedRow:
    """A row at its place on the sheet [mm]."""

    row: Row
    x: float
    top: float


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column of a table: heading, width [mm], alignment."""

    heading: str
    width: float
    align: str = "left"


def table(title: str, columns: Sequence[TableColumn], lines: Sequence[Sequence[str]]) -> Block:
    """A block with one row per line of `lines`; long texts go on under themselves. Title and headings are said."""
    rows = [_table_row(columns, line) for line in lines]
    heads = [said(column.heading) for column in columns]
    return Block(title=said(title), rows=tuple(rows), head=_table_row(columns, heads, head=True))


def paragraphs(title: str, texts: Sequence[str], bullet: str = "·") -> Block:
    """A block of wrapped texts, title and texts said; one of up to `MOST_TOGETHER` lines stays in one column."""
    rows: list[Row] = []
    for text in texts:
        lines = wrapped(said(text), COLUMN_MM - 2 * INSET_MM - 2.5, TEXT_MM)
        for first in range(0, len(lines), MOST_TOGETHER):
            rows.append(_text_row(lines[first : first + MOST_TOGETHER], bullet if first == 0 else ""))
    return Block(title=said(title), rows=tuple(rows))


def legend(signs: Sequence[tuple[str, str]]) -> Block:
    """The signs of a drawing with their meanings."""
    rows = []
    for sign, meaning in signs:
        lines = wrapped(said(meaning), COLUMN_MM - 19.0, TEXT_MM)
        cells = tuple(Cell(x=18.0, drop=2.9 + 2.8 * k, text=line) for k, line in enumerate(lines))
        rows.append(Row(height=3.9 + 2.8 * (len(lines) - 1), sign=sign, cells=cells))
    return Block(title=say("Signs"), rows=tuple(rows))


def _text_row(lines: Sequence[str], bullet: str) -> Row:
    mark = (Cell(x=INSET_MM, drop=2.4, text=bullet, bold=True),) if bullet else ()
    cells = [Cell(x=INSET_MM + 2.5, drop=2.4 + LINE_MM * k, text=line) for k, line in enumerate(lines)]
    return Row(height=LINE_MM * len(lines), cells=(*mark, *cells))


def flow(blocks: Sequence[Block], foot_mm: float, columns: Sequence[Column]) -> tuple[PlacedRow, ...] | None:
    """The rows of `blocks` down `columns`, with `foot_mm` left free at the end of the last; None if they do not fit."""
    placed: list[PlacedRow] = []
    number, at = 0, columns[0].top
    for block in (b for b in blocks if b.rows):
        opening = _opening(block.title)
        for k, row in enumerate(block.rows):
            lead = [opening] if k == 0 else []
            lead += [block.head] if block.head and k == 0 else []
            height = sum(r.height for r in lead) + row.height
            if at - height < _floor(columns, number, foot_mm):
                number, lead = number + 1, _lead_again(block, k)
                if number >= len(columns):
                    return None
                at = columns[number].top
                if at - sum(r.height for r in lead) - row.height < _floor(columns, number, foot_mm):
                    return None
            for each in (*lead, row):
                placed.append(PlacedRow(row=each, x=columns[number].x, top=at))
                at -= each.height
        at -= 2.0
    return tuple(placed)


def draw_rows(
    pen: Pen, sheet: Sheet, placed: Sequence[PlacedRow], draw_sign: Callable[[str, float, float], None]
) -> None:
    """Draw placed rows; `draw_sign(name, x, middle)` [mm on the sheet] draws what a row's `sign` names."""
    for each in placed:
        for cell in each.row.cells:
            at = sheet.at(each.x + cell.x, each.top - cell.drop)
            pen.text(at, cell.text, cell.height, "SHEET", align=cell.align, bold=cell.bold)
        if each.row.rule:
            bottom = each.top - each.row.height
            pen.line([sheet.at(each.x, bottom), sheet.at(each.x + COLUMN_MM, bottom)], "SHEET")
        if each.row.sign:
            draw_sign(each.row.sign, each.x, each.top - each.row.height / 2)


def _opening(title: str) -> Row:
    cell = Cell(x=0.0, drop=3.6, text=title, height=fitted(title, COLUMN_MM, 2.2, LEAST_MM), bold=True)
    return Row(height=5.0, cells=(cell,), rule=True)


def _lead_again(block: Block, row_number: int) -> list[Row]:
    title = block.title if row_number == 0 else say("{title} (continued)", title=block.title)
    return [_opening(title), *([block.head] if block.head else [])]


def _floor(columns: Sequence[Column], number: int, foot_mm: float) -> float:
    return columns[number].bottom + (foot_mm if number == len(columns) - 1 else 0.0)


def _table_row(columns: Sequence[TableColumn], line: Sequence[str], head: bool = False) -> Row:
    cells: list[Cell] = []
    left, most = 0.0, 1
    for column, text in zip(columns, line, strict=True):
        room = column.width - 2 * INSET_MM
        size = _whole_words(text, room) if head else TEXT_MM
        parts = wrapped(text, room, size, 4, bold=head)
        most = max(most, len(parts))
        x = left + (column.width - INSET_MM if column.align == "right" else INSET_MM)
        for k, part in enumerate(parts):
            cells.append(Cell(x=x, drop=2.6 + 2.8 * k, text=part, height=size, align=column.align, bold=head))
        left += column.width
    return Row(height=ROW_MM + 2.8 * (most - 1), cells=tuple(cells), rule=head)


def _whole_words(text: str, width_mm: float) -> float:
    """The letter height [mm] at which no word of a heading is broken, as small as `LEAST_MM`."""
    return min(fitted(word, width_mm - HAIR_MM, TEXT_MM, LEAST_MM) for word in [*text.split(), ""])


def fitted(text: str, width_mm: float, height_mm: float, least_mm: float = TEXT_MM) -> float:
    """The greatest letter height [mm] up to `height_mm` at which `text` is at most `width_mm` wide."""
    wide = text_width(text, height_mm, bold=True)
    return max(least_mm, min(height_mm, height_mm * width_mm / wide if wide else height_mm))
