"""The floor's surface temperature over the plan of a storey, from the pipes as laid.

Steady conduction in the plane of the screed, heat up to the room and down to what is below, and water that
cools along each pipe, solved together on cells of 25 mm.
"""

from ufh_core.surface_field.field import FloorModel, floor_heat, floor_model, surface_field
from ufh_core.surface_field.reading import limit_findings
from ufh_core.surface_field.types import FloorPipe, HotPlace, PipeWater, RoomFloor, RoomHeat, RoomSurface, SurfaceField

__all__ = [
    "FloorModel",
    "FloorPipe",
    "HotPlace",
    "PipeWater",
    "RoomFloor",
    "RoomHeat",
    "RoomSurface",
    "SurfaceField",
    "floor_heat",
    "floor_model",
    "limit_findings",
    "surface_field",
]
