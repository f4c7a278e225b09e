"""Floors and pipes for the tests of the surface field."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import shapely
from shapely.geometry import Polygon, box

from ufh_core.basis.pipe_axis import PipeAxis, Point, Straight
from ufh_core.circuits.types import HeatedField
from ufh_core.floor.types import FloorSection
from ufh_core.surface_field import FloorPipe, RoomFloor

SECTION = FloorSection(
    pitch_m=0.15,
    cover_m=0.045,
    screed_conductivity=1.2,
    finish_r=0.10,
    pipe_diameter_m=0.016,
    pipe_wall_m=0.002,
    pipe_conductivity=0.35,
    r_below=1.42,
)
PLENTY = 1e4  # [kg/s]: water that does not cool


def section(pitch_m: float, finish_r: float = 0.10, **other: float) -> FloorSection:
    return replace(SECTION, pitch_m=pitch_m, finish_r=finish_r, **other)


def floor(outline: Polygon, of: FloorSection = SECTION, room: str = "room", **other: Any) -> RoomFloor:
    """A floor over rooms as warm as itself, with the limits of a living room."""
    given = {"indoor_c": 20.0, "below_c": 20.0, "limit_k": 9.0, "edge_limit_k": 15.0, "tail_spacing_m": 0.05} | other
    return RoomFloor(room=room, outline=outline, section=of, **given)


def straight(start: Point, end: Point) -> PipeAxis:
    return PipeAxis((Straight(start, end),))


def pipe(
    axis: PipeAxis,
    pitch_m: float = 0.15,
    flow_c: float = 40.0,
    mass_flow: float = PLENTY,
    *,
    number: str = "M1.01",
    field: Polygon | None = None,
    room: str = "room",
    edge: bool = False,
) -> FloorPipe:
    """A pipe whose pitch is that of its field, by default the whole plane."""
    outline = box(-99, -99, 99, 99) if field is None else field
    own = HeatedField(room=room, circuit=number, outline=outline, edge=edge)
    return FloorPipe(number=number, axis=axis, flow_c=flow_c, mass_flow=mass_flow, fields=((own, pitch_m),))


def row(pitch_m: float, width: float, depth: float, **other: Any) -> tuple[Polygon, list[FloorPipe]]:
    """Pipes side by side, half a pitch off both walls: with strips at the walls, part of an endless row."""
    count = round(width / pitch_m)
    outline = box(0.0, 0.0, count * pitch_m, depth)
    axes = [straight(((k + 0.5) * pitch_m, 0.0), ((k + 0.5) * pitch_m, depth)) for k in range(count)]
    return outline, [pipe(axis, pitch_m, number=f"M1.{k:02d}", **other) for k, axis in enumerate(axes)]


def turned_row(pitch_m: float, size: float, angle: float) -> tuple[Polygon, list[FloorPipe]]:
    """A square of side `size` crossed by pipes at an angle [degrees], as an endless row would."""
    outline = box(0.0, 0.0, size, size)
    half = round(1.5 * size / pitch_m)
    pipes = []
    for k in range(-half, half):
        line = shapely.LineString([(-2 * size, (k + 0.37) * pitch_m), (2 * size, (k + 0.37) * pitch_m)])
        line = shapely.affinity.translate(shapely.affinity.rotate(line, angle, origin=(0, 0)), size / 2, size / 2)
        inside = line.intersection(outline)
        if inside.length > 0.001:
            a, b = inside.coords
            pipes.append(pipe(straight(a, b), pitch_m, number=f"M1.{k}"))
    return outline, pipes
