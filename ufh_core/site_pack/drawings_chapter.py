"""The drawings of a design, in the order in which site needs them; a new kind of drawing is a line of the table."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from ufh_core.site_pack.blocks import Chapter, Drawing
from ufh_core.site_pack.source import SiteSource
from ufh_core.words import mark, say

DRAWINGS = (
    ("plan-*.svg", mark("Layout plan")),
    ("joints-*.svg", mark("Joints and pour fields")),
    ("panels-*.svg", mark("Laying plan of the panels")),
    ("surface-*.svg", mark("Surface temperatures")),
    ("floors-*.svg", mark("Section through the floor")),
    ("manifold-*.svg", mark("Manifold from the front")),
    ("schematic*.svg", mark("Hydraulic schematic")),
    ("pump-*.svg", mark("Pump and network")),
    ("first-heating.svg", mark("First heating")),
)
"""Files by pattern, with their titles."""
_MM = re.compile(r'<svg[^>]*?\bwidth="([\d.]+)mm"[^>]*?\bheight="([\d.]+)mm"')
_HEAD_CHARACTERS = 2000


def drawings_chapter(source: SiteSource) -> Chapter:
    """The chapter; a drawing that does not say its size in mm is left out."""
    return Chapter(key="drawings", title=say("Drawings"), blocks=tuple(drawings(source.folder)))


def drawings(folder: Path) -> Iterator[Drawing]:
    """The drawings in a folder, true to scale: each says how large it is [mm]."""
    for pattern, title in DRAWINGS:
        for path in sorted(folder.glob(pattern)):
            with path.open(encoding="utf-8") as file:
                size = _MM.search(file.read(_HEAD_CHARACTERS))
            if size:
                rest = path.stem.partition("-")[2].replace("-", " ") if "*" in pattern else ""
                name = say(title) + (f": {rest}" if rest else "")
                yield Drawing(file=path.name, title=name, width_mm=float(size[1]), height_mm=float(size[2]))
