"""Heights of the floors of a storey: one height of the pipe for all rooms whose floors are level.

Where the model leaves the height, the top of the finish is the room's floor and the layers are
stacked down from it. Where it leaves less, they are stacked up from the slab and the finished
floor comes out higher. Rooms with equal floors get one height of the pipe (the median by floor
area), so that a circuit through several rooms stays level.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.building.types import Room
from ufh_core.floor.fixing import fixing_of
from ufh_core.settings.types import Settings

LEVEL_TOLERANCE_M = 0.01  # floors nearer than this are one level
GREATEST_RAISE_M = 0.20  # the pipe is kept within this of the room's floor
_INSULATION_STEP_M = 0.005
_BELIEVED_M = (-0.10, 0.60)  # a slab farther from the floor than this is not the slab of this floor


def insulation_thickness(below: str, settings: Settings) -> float:
    """Least thickness [m] of the insulation under the pipes, in steps of 5 mm.

    `below` is "heated", "unheated", "ground" or "outside". A panel's own base counts.
    Source: EN 1264-4, table 1 (least thermal resistance of the insulation).
    """
    floor = settings.floor
    least = {"heated": floor.insulation_r_heated_below, "outside": floor.insulation_r_outside}
    missing = least.get(below, floor.insulation_r_ground) - fixing_of(settings).base_r
    steps = max(0.0, missing) * floor.insulation_conductivity / _INSULATION_STEP_M
    return _INSULATION_STEP_M * int(-(-(steps - 1e-6) // 1))


def height_below_pipe(below: str, settings: Settings) -> float:
    """Height [m] from the base to the axis of the pipe: membrane, insulation, foil, panel or seat, half a pipe."""
    floor, fixing = settings.floor, fixing_of(settings)
    membrane = floor.membrane_thickness_m if below == "ground" else 0.0
    layers = membrane + insulation_thickness(below, settings) + floor.foil_thickness_m
    return layers + fixing.base_m + fixing.seat_m + settings.pipe.outside_diameter_m / 2


def height_over_pipe(settings: Settings) -> float:
    """Height [m] from the axis of the pipe to the top of the finish."""
    floor = settings.floor
    return settings.pipe.outside_diameter_m / 2 + floor.screed_cover_m + floor.finish_thickness_m


def available_height(room: Room) -> float | None:
    """Height [m] that the model leaves between slab and finished floor; None where it does not say.

    A "slab" over 0.10 m above or 0.60 m below the floor is not taken for the slab of this floor.
    """
    if room.slab_top_m is None:
        return None
    left = room.floor_m - room.slab_top_m
    return left if _BELIEVED_M[0] <= left <= _BELIEVED_M[1] else None


def pipe_levels(rooms: Sequence[Room], below: Mapping[str, str], settings: Settings) -> dict[str, float]:
    """World height [m] of the pipe's axis in each room, by GlobalId; level rooms share theirs.

    `below` says by GlobalId what lies under a room; rooms not named lie on the ground.
    """
    levels: dict[str, float] = {}
    for group in _level_groups(rooms):
        raised = _median([(_raise(room, below.get(room.ifc_guid, "ground"), settings), room) for room in group])
        base = min(room.floor_m for room in group) - height_over_pipe(settings)
        levels.update({room.ifc_guid: base + raised for room in group})
    return levels


def _level_groups(rooms: Sequence[Room]) -> list[list[Room]]:
    """Rooms by level: sorted by floor, split where the next is more than the tolerance over the first."""
    groups: list[list[Room]] = []
    for room in sorted(rooms, key=lambda room: (room.floor_m, room.ifc_guid)):
        if groups and room.floor_m - groups[-1][0].floor_m <= LEVEL_TOLERANCE_M:
            groups[-1].append(room)
        else:
            groups.append([room])
    return groups


def _raise(room: Room, below: str, settings: Settings) -> float:
    """By how much [m] the finished floor must come up for the layers to fit."""
    available = available_height(room)
    if available is None:
        return 0.0
    missing = height_below_pipe(below, settings) + height_over_pipe(settings) - available
    return min(max(0.0, missing), GREATEST_RAISE_M + height_over_pipe(settings))


def _median(values: list[tuple[float, Room]]) -> float:
    """Median weighted by floor area."""
    ordered = sorted(values, key=lambda pair: (pair[0], pair[1].ifc_guid))
    half = sum(room.outline.area for _, room in ordered) / 2
    passed = 0.0
    for value, room in ordered:
        passed += room.outline.area
        if passed >= half - 1e-9:
            return value
    return ordered[-1][0]
