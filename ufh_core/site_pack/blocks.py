"""What a chapter is made of, in no form yet: the PDF and the page write the same blocks."""

from __future__ import annotations

from dataclasses import dataclass

Cells = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading within a chapter; `state` is a word behind it, as how a hold point stands; `minor` below another."""

    text: str
    state: str = ""
    minor: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """A paragraph."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """A list; `numbered` where its order counts."""

    texts: Cells
    numbered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """Something that must not be overlooked: a title and what to keep to."""

    title: str
    texts: Cells


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table: headings, rows, and the columns' widths as shares; `right` columns hold figures.

    An empty cell is a place to write in.
    """

    heads: Cells
    rows: tuple[Cells, ...]
    widths: tuple[float, ...] = ()
    right: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing by its file in the folder, on a page of its own size [mm]."""

    file: str
    title: str
    width_mm: float
    height_mm: float


Block = Heading | Paragraph | Points | Box | Grid | Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A chapter; `key` is its name in links, `wide` ones lie across the sheet."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    wide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A whole pack: `foot` stands on every page, `state` says of which design and records it is."""

    title: str
    project: str
    state: str
    foot: str
    chapters: tuple[Chapter, ...]
