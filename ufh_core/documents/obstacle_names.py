"""Short words for what stands on the floor."""

from __future__ import annotations

import re
from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from ufh_core.building.types import Obstacle
from ufh_core.documents.lettering import clean
from ufh_core.documents.pen import united
from ufh_core.words import mark, said

LONGEST = 24
_KIND_WORDS = {
    "stair": mark("stair"),
    "void": mark("void"),
    "hearth": mark("hearth"),
    "sanitary": mark("sanitary ware"),
    "furniture": mark("unit"),
}
_OF_KIND = ("stair", "void")  # their names are those of building parts and say less than their kind
_CATALOGUE_PREFIX = re.compile(r"^[A-Z0-9]{1,4}_")
_TOGETHER_M = 0.05


def short_name(obstacle: Obstacle) -> str:
    """What to call an obstacle on a plan: its name without type, size and number, or the word for its kind.

    A name of the form "family:type:number" is cut at the first colon, a catalogue's prefix and what
    follows a dash are dropped.
    """
    word = said(_KIND_WORDS.get(obstacle.kind, ""))
    if obstacle.kind in _OF_KIND:
        return word
    name = _CATALOGUE_PREFIX.sub("", clean(obstacle.name).split(":")[0]).replace("_", " ")
    name = re.split(r"\s*[-(]", name)[0].strip()
    readable = 2 <= len(name) <= LONGEST and sum(c.isalpha() for c in name) > len(name) / 2
    return name if readable else word


def named_obstacles(obstacles: Sequence[Obstacle]) -> list[tuple[str, BaseGeometry]]:
    """Names and areas of what keeps pipes out; parts of one name that stand together have it once."""
    by_name: dict[str, list[BaseGeometry]] = {}
    for obstacle in obstacles:
        if not obstacle.movable and (name := short_name(obstacle)):
            by_name.setdefault(name, []).append(obstacle.outline)
    return [(name, group) for name, outlines in by_name.items() for group in _groups(outlines)]


def _groups(outlines: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    joined = united(outlines).buffer(_TOGETHER_M, join_style="mitre").buffer(-_TOGETHER_M, join_style="mitre")
    return [part for part in shapely.get_parts(joined) if part.geom_type == "Polygon" and part.area > 0]
