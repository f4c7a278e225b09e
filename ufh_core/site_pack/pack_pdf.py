"""site-pack.pdf: the chapters typeset, drawings as vectors on pages of their own size.

All text goes to the typesetter as data, in a JSON file of its own, so that no name can become markup.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from types import MappingProxyType
from typing import Any

import reportlab
import typst

from ufh_core.basis.errors import OutputError
from ufh_core.documents.lettering import clean
from ufh_core.site_pack.blocks import Block, Drawing, Grid, Pack
from ufh_core.words import language, say

FILE = "site-pack.pdf"
TEMPLATE = Path(__file__).with_name("pack.typ")
FACES = Path(reportlab.__file__).parent / "fonts"
_LONG_WORD = re.compile(r"\S{25,}")
_PART = 12
LETTERS, LETTERS_WIDE = 92, 140
"""Letters that fit in a line of a table, upright and across."""
_BREAK = "\u200b"


def write_pack_pdf(pack: Pack, drawings: Path, path: Path, drawn: Mapping[str, str] = MappingProxyType({})) -> None:
    """Write the pack; `drawings` is the folder with the files that it names, `drawn` are drawings by such names.

    Raises: OutputError, one line, where it cannot be typeset or written.
    """
    with tempfile.TemporaryDirectory(prefix="warmloom-") as name:
        room = Path(name)
        data = json.dumps(_data(pack), ensure_ascii=False)
        (room / "pack.json").write_text(data, encoding="utf-8")
        _lay_out(pack, room, drawings, drawn)
        (room / "pack.typ").write_bytes(TEMPLATE.read_bytes())
        try:
            content = typst.compile(room / "pack.typ", root=room, font_paths=[FACES], format="pdf")
        except RuntimeError as error:
            raise OutputError(f"{path.name}: cannot be typeset: {' '.join(str(error).split())[:300]}") from None
    try:
        path.write_bytes(bytes(content))
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror or error}") from None


def _lay_out(pack: Pack, room: Path, drawings: Path, drawn: Mapping[str, str]) -> None:
    """Put the drawings beside the text."""
    for block in (block for chapter in pack.chapters for block in chapter.blocks):
        if isinstance(block, Drawing):
            made = drawn.get(block.file)
            content = (drawings / block.file).read_bytes() if made is None else made.encode()
            (room / block.file).write_bytes(content)


def _data(pack: Pack) -> dict[str, Any]:
    """The pack as plain values."""
    chapters = [
        {"title": soft(c.title), "wide": c.wide, "blocks": [_row(block, c.wide) for block in c.blocks]}
        for c in pack.chapters
    ]
    head = {key: soft(getattr(pack, key)) for key in ("title", "project", "state", "foot")}
    words = {"contents": say("Contents"), "page": say("page {page} of {pages}", page="\u0001", pages="\u0002")}
    return head | {"language": language(), "words": words, "chapters": chapters}


def _row(block: Block, wide: bool) -> dict[str, Any]:
    row = {key: _softened(value) for key, value in asdict(block).items()} | {"kind": type(block).__name__.lower()}
    if isinstance(block, Drawing):
        row["file"] = block.file
    if isinstance(block, Grid):
        row["widths"] = _widths(block, LETTERS_WIDE if wide else LETTERS)
    return row


def _widths(grid: Grid, letters: int) -> list[float]:
    """The columns' shares of a line of so many letters, none narrower than its longest word."""
    wanted = grid.widths or (1.0,) * len(grid.heads)
    whole = sum(wanted)
    return [
        max(width / whole, _longest_word((head, *(row[k] for row in grid.rows))) / letters)
        for k, (width, head) in enumerate(zip(wanted, grid.heads, strict=True))
    ]


def _longest_word(texts: tuple[str, ...]) -> float:
    """Letters of the longest piece that is not broken, with room for the cell's rim."""
    pieces = (piece for text in texts for word in text.split() for piece in soft(word).split(_BREAK))
    return max(map(len, pieces), default=0) + 3


def _softened(value: Any) -> Any:
    if isinstance(value, str):
        return soft(value)
    return [_softened(each) for each in value] if isinstance(value, tuple | list) else value


def soft(text: str) -> str:
    """A text on one line, with places at which long words may break."""
    return _LONG_WORD.sub(lambda word: _BREAK.join(_parts(word[0])), clean(text))


def _parts(word: str) -> Iterator[str]:
    for k in range(0, len(word), _PART):
        yield word[k : k + _PART]
