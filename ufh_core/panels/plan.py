"""The laying plan of a storey's panels: floors, layings, cuts, numbers.

Floors of a storey are cut together in groups of `TOGETHER`, since nobody carries an off-cut through a whole hospital.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.panels.choice import Option, options, settled, turned
from ufh_core.panels.cut_up import is_whole
from ufh_core.panels.cutting import Numbered, cut_panels, cutting_list, in_order, metres, room_shares, useful_m2
from ufh_core.panels.packing import Packed, as_packed
from ufh_core.panels.types import PanelArea, PanelFloor, PanelPlan, PanelSize, Piece

TOGETHER = 12
LETTERS = "ABCDEFGHIJKLMNOPQRSUVWXYZ"  # T marks thresholds
SAME = 1e-3
SMALL = 0.04  # studs²

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """The way from the plan [m] to a floor's own studs, pipes half-way between whole numbers, and back."""

    angle: float
    stud_m: float
    quarter: int

    def studs(self, shape: Area) -> Area:
        """A shape of the plan in studs, not yet turned by quarters."""
        made: Area = shapely.transform(shape, lambda p: p @ _turn(-self.angle).T / self.stud_m + 0.5)
        return made

    def plan(self, shape: Polygon) -> Polygon:
        """A shape as it was laid, in the plan."""
        upright = turned(shape, -self.quarter)
        made: Polygon = shapely.transform(upright, lambda p: (p - 0.5) * self.stud_m @ _turn(self.angle).T)
        return made

    def direction(self, along: Point) -> Point:
        """A direction of the plan as seen by the layer."""
        x, y = _turn(-self.angle) @ np.array(along)
        seen = shapely.get_coordinates(turned(shapely.Point(x, y), self.quarter))[0]
        return float(seen[0]), float(seen[1])


def _turn(angle: float) -> Matrix:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s], [s, c]])


def panel_plan(
    floors: Sequence[PanelFloor],
    rooms: Mapping[str, Area],
    size: PanelSize,
    *,
    pin_below_m2: float,
    off_grid_m: tuple[tuple[str, float], ...] = (),
) -> PanelPlan:
    """Lay floors with panels.

    `rooms` are the floors of the rooms by GlobalId [m]; pieces that cover less than `pin_below_m2` [m²] are marked.
    """
    laid: dict[int, tuple[PanelFloor, Option, tuple[int, list[tuple[int, int, int]]]]] = {}
    cuts: list[Packed] = []
    for group in _groups(floors):
        chosen, cut = _settled([floors[k] for k in group], size)
        cut_from = iter(cut.places)
        for k, option in zip(group, chosen, strict=True):
            laid[k] = (floors[k], option, (len(cuts), [next(cut_from) for _ in option.laid.boxes]))
        cuts.append(cut)
    in_turn = [laid[k] for k in range(len(floors))]
    done = in_order(cuts, [(job, place[0]) for _, _, (job, places) in in_turn for place in places])
    names = _names(floors, [len(places) for _, _, (_, places) in in_turn])
    areas = []
    for (floor, option, (job, places)), numbers in zip(in_turn, names, strict=True):
        numbered = [(done[job].numbers[panel], kx, ky) for panel, kx, ky in places]
        pieces = _pieces(floor, option, numbered, rooms, size, pin_below_m2, numbers)
        areas.append(_area(floor, option, size, pieces))
    return _plan(tuple(areas), done, rooms, size, off_grid_m)


def _plan(
    areas: tuple[PanelArea, ...],
    done: Sequence[Numbered],
    rooms: Mapping[str, Area],
    size: PanelSize,
    off_grid_m: tuple[tuple[str, float], ...],
) -> PanelPlan:
    pieces = [piece for area in areas for piece in area.pieces]
    left = useful_m2(done, size)
    return PanelPlan(
        size=size,
        areas=areas,
        rooms=room_shares(list(rooms), pieces, left, size),
        panels=sum(d.packed.panels for d in done),
        cut_panels=cut_panels(pieces, done, size),
        cutting_list=cutting_list(pieces),
        left_m2=sum(left.values()),
        off_grid_m=off_grid_m,
        slivers=tuple(number for area in areas for number in _slivers(area, size)),
    )


def _groups(floors: Sequence[PanelFloor]) -> list[list[int]]:
    """Floors that are cut together by their places: `TOGETHER` of them, thresholds with the first of their rooms."""
    inner = [k for k, floor in enumerate(floors) if not floor.lap_along]
    groups = [inner[first : first + TOGETHER] for first in range(0, len(inner), TOGETHER)] or [[]]
    of = {room: group for group in groups for k in group for room in floors[k].rooms}
    for k, floor in enumerate(floors):
        if floor.lap_along:
            of.get(floor.rooms[0], groups[-1]).append(k)
    return groups


def _settled(group: Sequence[PanelFloor], size: PanelSize) -> tuple[list[Option], Packed]:
    """The layings of some floors that are cut together."""
    tried = []
    for floor in group:
        frame = _Frame(angle=floor.angle_rad, stud_m=size.stud_m, quarter=0)
        along = frame.direction(floor.lap_along) if floor.lap_along else None
        tried.append(options(frame.studs(floor.outline), size, along))
    chosen, cut = settled(tried, [_room(floor) for floor in group], size)
    return chosen, as_packed(cut)


def _room(floor: PanelFloor) -> str:
    """The room to which a floor counts: a threshold to its first one, rooms that are open to each other to all."""
    return floor.rooms[0] if floor.lap_along else " ".join(floor.rooms)


def _names(floors: Sequence[PanelFloor], counts: Sequence[int]) -> list[list[str]]:
    """Numbers of pieces in the order of laying: A1, A2 ..., B1 ... by floor; thresholds T1, T2 ... all through."""
    letters, doors, found = _letters(), 0, []
    for floor, count in zip(floors, counts, strict=True):
        letter = "T" if floor.lap_along else next(letters)
        first = doors if floor.lap_along else 0
        doors += count if floor.lap_along else 0
        found.append([f"{letter}{first + k}" for k in range(1, count + 1)])
    return found


def _letters() -> Iterator[str]:
    """A to Z, then AA, AB and so on."""
    for length in range(1, 4):
        for letters in product(LETTERS, repeat=length):
            yield "".join(letters)


def _pieces(
    floor: PanelFloor,
    option: Option,
    places: Sequence[tuple[int, int, int]],
    rooms: Mapping[str, Area],
    size: PanelSize,
    pin_below_m2: float,
    numbers: Sequence[str],
) -> tuple[Piece, ...]:
    frame = _Frame(angle=floor.angle_rad, stud_m=size.stud_m, quarter=option.quarter)
    found = []
    for k, (panel, kx, ky) in enumerate(places):
        box, seen = option.laid.boxes[k].tolist(), option.laid.outlines[k]
        west, south, east, north = seen.bounds
        shaped = seen.area < (east - west) * (north - south) - SMALL
        outline = frame.plan(seen)
        found.append(
            Piece(
                number=numbers[k],
                room=_room_of(outline, floor, rooms),
                outline=outline,
                from_panel=panel,
                cut_m=metres((box[0] + kx, box[1] + ky, box[2] + kx, box[3] + ky), size),
                lap_m=metres((west - box[0], south - box[1], box[2] - east, box[3] - north), size),
                length_m=round((box[2] - box[0]) * size.stud_m, 4),
                width_m=round((box[3] - box[1]) * size.stud_m, 4),
                whole=is_whole(box, size) and not shaped,
                trimmed=shaped,
                pin=outline.area < pin_below_m2,
            )
        )
    return tuple(found)


def _room_of(outline: Polygon, floor: PanelFloor, rooms: Mapping[str, Area]) -> str:
    """The room in which most of a piece lies."""
    if len(floor.rooms) == 1 or floor.lap_along:
        return floor.rooms[0]
    return max(floor.rooms, key=lambda guid: float(shapely.intersection(rooms[guid], outline).area))


def _area(floor: PanelFloor, option: Option, size: PanelSize, pieces: tuple[Piece, ...]) -> PanelArea:
    """A floor with its pieces; it begins at the corner of the first one."""
    frame = _Frame(angle=floor.angle_rad, stud_m=size.stud_m, quarter=option.quarter)
    first = shapely.get_coordinates(option.laid.outlines[0])
    corner = first[int(np.argmin(first.sum(axis=1)))]
    east = (corner[0] + 1.0, corner[1])
    start, on = shapely.get_coordinates(frame.plan(shapely.LineString([corner, east])))
    return PanelArea(
        letter=pieces[0].number.rstrip("0123456789"),
        rooms=floor.rooms,
        threshold=floor.lap_along is not None,
        outline=floor.outline,
        angle_rad=floor.angle_rad,
        corner=(float(start[0]), float(start[1])),
        heading=(float(on[0] - start[0]) / size.stud_m, float(on[1] - start[1]) / size.stud_m),
        pieces=pieces,
    )


def _slivers(area: PanelArea, size: PanelSize) -> list[str]:
    """Pieces that are narrower than the least although the floor under them is not."""
    half = size.least * size.stud_m / 2
    thin = [p for p in area.pieces if p.outline.buffer(-half + SAME, join_style="mitre").is_empty]
    if not thin:
        return []
    wide = area.outline.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
    return [p.number for p in thin if shapely.intersection(p.outline, wide).area > p.outline.area / 2]
