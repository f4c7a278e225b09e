"""site-pack.html: everything for the site on one page that works on a phone without a network.

Plan and cards are those of the setting-out page; behind them stand the chapters of the pack, and forms whose
records stay on the phone until they are saved as a file for `warmloom record file`.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from pathlib import Path

from ufh_core.basis.whole_file import write_whole
from ufh_core.documents.lettering import clean
from ufh_core.documents.setting_out_page import More, setting_out_page
from ufh_core.site_pack.blocks import Block, Box, Chapter, Grid, Heading, Pack, Paragraph, Points
from ufh_core.site_pack.page_forms import record_forms
from ufh_core.site_pack.page_script import SCRIPT, STYLE
from ufh_core.site_pack.source import Source
from ufh_core.words import mark, said, say

FILE = "site-pack.html"
ON_PAPER = ("drawings", "cards")
"""Chapters that the page does not repeat: its plan and cards are theirs."""
RECORD = mark("Record")


def write_pack_page(pack: Pack, source: Source, path: Path) -> None:
    """Write the page. Raises `OutputError` where it cannot be written."""
    write_whole(path, pack_page(pack, source))


def pack_page(pack: Pack, source: Source) -> str:
    """The page as HTML."""
    chapters = [chapter for chapter in pack.chapters if chapter.key not in ON_PAPER]
    body = "".join(_chapter(chapter) for chapter in chapters)
    more = More(
        title=pack.title,
        links=_links(chapters) + f'<p class="state">{_text(pack.state)}</p>',
        chapters=body + record_forms(source.site, said(RECORD)),
        style=STYLE,
        script=SCRIPT,
    )
    return setting_out_page(source.design, more)


def _links(chapters: list[Chapter]) -> str:
    """Links to the chapters; a tap opens what it leads to."""
    targets = [
        ("plan", say("Setting-out cards by room")),
        *((c.key, c.title) for c in chapters),
        ("record", said(RECORD)),
    ]
    items = "".join(f'<li><a class="go" href="#{key}">{_text(title)}</a></li>' for key, title in targets)
    return f'<nav class="chapters" aria-label="{_text(say("Contents"))}"><ul>{items}</ul></nav>'


def _chapter(chapter: Chapter) -> str:
    """A chapter that opens and shuts."""
    body = "".join(html for block in chapter.blocks for html in _block(block))
    head = f"<summary><h2>{_text(chapter.title)}</h2></summary>"
    return f'<details class="chapter" id="{chapter.key}">{head}{body}</details>'


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        state = f' <span class="state">{_text(block.state)}</span>' if block.state else ""
        yield f"<h3>{_bdi(block.text)}{state}</h3>"
    elif isinstance(block, Paragraph):
        yield f"<p>{_bdi(block.text)}</p>"
    elif isinstance(block, Points):
        yield f"<ul>{_items(block.texts)}</ul>"
    elif isinstance(block, Box):
        yield f'<div class="caution"><strong>{_bdi(block.title)}</strong><ul>{_items(block.texts)}</ul></div>'
    elif isinstance(block, Grid):
        yield from _grid(block)


def _items(texts: tuple[str, ...]) -> str:
    return "".join(f"<li>{_bdi(text)}</li>" for text in texts)


def _grid(grid: Grid) -> Iterator[str]:
    """A table; on a phone each row is a card whose cells tell their headings."""
    yield '<table class="rows"><thead><tr>'
    yield from (f'<th scope="col">{_text(head)}</th>' if head else "<td></td>" for head in grid.heads)
    yield "</tr></thead><tbody>"
    for row in grid.rows:
        cells = [
            f'<td{_kind(k, text, grid)} data-h="{_text(head)}">{_bdi(text)}</td>'
            for k, (head, text) in enumerate(zip(grid.heads, row, strict=True))
        ]
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody></table>"


def _kind(column: int, text: str, grid: Grid) -> str:
    kinds = (["n"] if column in grid.right else []) + (["e"] if not text else [])
    return f' class="{" ".join(kinds)}"' if kinds else ""


def _bdi(text: str) -> str:
    return f"<bdi>{_text(text)}</bdi>" if text else ""


def _text(text: str) -> str:
    return escape(clean(text))
