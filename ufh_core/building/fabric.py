"""Walls, columns and slabs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ufh_core.basis.areas import joined
from ufh_core.building.bodies import PlanShape
from ufh_core.building.constructions import ConstructionReader
from ufh_core.building.elements import body_carriers
from ufh_core.building.types import Column, Slab, Wall

SLAB_KINDS = {"FLOOR": "floor", "BASESLAB": "base", "ROOF": "roof", "LANDING": "landing"}
STEEP = 1.2  # a "slab" higher than this from bottom to top is a pitched roof or the like [m]

Shapes = Mapping[int, PlanShape]


def shape_of(element: Any, shapes: Shapes) -> PlanShape | None:
    """The plan shape of an element from its own body or, where it has none, from its parts'."""
    own = [shapes[c.id()] for c in body_carriers(element) if c.id() in shapes]
    if not own:
        return None
    low, high = min(s.bottom_m for s in own), max(s.top_m for s in own)
    area = own[0].area if len(own) == 1 else joined(s.area for s in own)
    return PlanShape(element, area, low, high)


def read_walls(elements: Sequence[Any], shapes: Shapes, reader: ConstructionReader) -> tuple[Wall, ...]:
    """Walls and curtain walls that have a shape, one each, whatever parts they are made of."""
    found = [(e, shape_of(e, shapes)) for e in elements]
    return tuple(
        Wall(
            ifc_guid=element.GlobalId,
            name=element.Name or "",
            outline=shape.area,
            bottom_m=shape.bottom_m,
            top_m=shape.top_m,
            construction=reader.read(element),
            ifc_class=element.is_a(),
        )
        for element, shape in found
        if shape is not None
    )


def read_columns(elements: Sequence[Any], shapes: Shapes) -> tuple[Column, ...]:
    """Columns that have a shape."""
    found = [(e, shape_of(e, shapes)) for e in elements]
    return tuple(
        Column(
            ifc_guid=element.GlobalId,
            name=element.Name or "",
            outline=shape.area,
            bottom_m=shape.bottom_m,
            top_m=shape.top_m,
        )
        for element, shape in found
        if shape is not None
    )


def read_slabs(
    slabs: Sequence[Any], floorings: Sequence[Any], shapes: Shapes, reader: ConstructionReader
) -> tuple[Slab, ...]:
    """Slabs and roofs; the floorings stand in where the model has no slab at all."""
    found = [s for e in slabs if (s := shape_of(e, shapes)) is not None]
    if not found:
        found = [s for e in floorings if (s := shape_of(e, shapes)) is not None]
    return tuple(_slab(shape, reader) for shape in found)


def _slab(shape: PlanShape, reader: ConstructionReader) -> Slab:
    """One slab."""
    element = shape.entity
    return Slab(
        ifc_guid=element.GlobalId,
        name=element.Name or "",
        kind=_slab_kind(shape),
        outline=shape.area,
        bottom_m=shape.bottom_m,
        top_m=shape.top_m,
        construction=reader.read(element),
    )


def _slab_kind(shape: PlanShape) -> str:
    """Kind by class, predefined type, and steepness."""
    element = shape.entity
    if element.is_a("IfcRoof") or shape.top_m - shape.bottom_m > STEEP:
        return "roof"
    if element.is_a("IfcCovering"):
        return "floor"
    kind = str(getattr(element, "PredefinedType", None) or "")
    return SLAB_KINDS.get(kind, "floor" if kind in ("", "NOTDEFINED") else "other")
