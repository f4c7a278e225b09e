"""The twelve kinds of room as they are laid today, one SVG each: `python tests/pictures/draw.py` draws them again.

`test_pictures.py` draws them too and compares the geometry with the files beside this script. Where a
change is meant, look at the new drawings, run this script and commit what it wrote.
"""

# ruff: noqa: E402 (rooms and judge stand in the folder above)

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[n]) for n in (0, 1)]

import field_checks
import layout_checks
import path_judge
import pipe_drawing
import plan_sketch as sketch
import room_cases
from room_cases import Door, RoomCase
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from ufh_core.building.types import RoomKind
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldFailure
from ufh_core.settings.types import Settings

Vector = tuple[float, float]
SOUTH, NORTH, WEST, EAST = (0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0)
"""The wall of the door; the vector leads into the room."""


def main() -> None:
    """Draw all of them."""
    for name, draw in PICTURES.items():
        (HERE / f"{name}.svg").write_text(draw(), encoding="utf-8")
        print(HERE / f"{name}.svg")


def room(outline: Polygon, at: Vector, inward: Vector, pitch: float, *keep_outs: Polygon) -> str:
    """One room with one door."""
    door = Door(at=at, inward=inward, width_m=0.8)
    case = RoomCase(name="", kind="", outline=outline, keep_outs=keep_outs, door=door, pitch_m=pitch)
    laid = lay_field(room_cases.request(case))
    caption = f"{case.floor.area:.1f} m², pitch {1000 * pitch:.0f} mm"
    if isinstance(laid, FieldFailure):
        return pipe_drawing.room_sheet(case, None, caption=f"{caption}\nnot laid: {laid.reason}").text()
    verdict = path_judge.judge(case, laid.corners, laid.heated)
    line = field_checks.drawn(laid.corners, path_judge.RADIUS)
    length = f"{line.length:.1f} m of pipe" if line is not None else ""
    words = "\n".join([f"{caption}, {length}", *verdict.breaks])
    return pipe_drawing.room_sheet(case, line, verdict.cold, words).text()


def several_doors() -> str:
    """A hall, a living room with three doors, a bathroom that is entered through it."""
    rooms = [
        sketch.room("hall", box(0.03, 0.02, 7.03, 1.52), RoomKind.HALL),
        sketch.room("living", box(0.03, 1.64, 4.93, 5.84), RoomKind.LIVING),
        sketch.room("bath", box(5.05, 3.44, 7.03, 5.84), RoomKind.BATH),
        sketch.room("store", box(5.05, 1.64, 7.03, 3.32), RoomKind.STORE),
    ]
    doors = [
        sketch.door(box(0.6, 1.52, 1.5, 1.64), sketch.THROUGH_Y, "hall", "living"),
        sketch.door(box(3.9, 1.52, 4.8, 1.64), sketch.THROUGH_Y, "living", "hall"),
        sketch.door(box(4.93, 4.6, 5.05, 5.4), sketch.THROUGH_X, "living", "bath"),
        sketch.door(box(5.6, 1.52, 6.4, 1.64), sketch.THROUGH_Y, "hall", "store"),
    ]
    storey = sketch.storey(rooms, doors)
    pitches = {"hall": 0.2, "living": 0.2, "bath": 0.15, "store": 0.25}
    layout = lay_level(LevelBrief(level=sketch.level(storey), pitches=pitches, settings=Settings()))
    lines = [layout_checks.drawn(c.axis) for c in layout.circuits]
    words = layout_checks.faults(storey, layout, list(pitches)) + [f"{f.room}: {f.reason}" for f in layout.failed]
    caption = f"{len(layout.circuits)} circuits, {sum(c.length_m for c in layout.circuits):.1f} m of pipe"
    return pipe_drawing.level_sheet(storey, layout, lines, caption="\n".join([caption, *words])).text()


def _round_end(width: float, length: float) -> Polygon:
    return box(0, 0, length, width).union(Point(length, width / 2).buffer(width / 2, quad_segs=6))


L_ROOM = unary_union([box(0, 0, 6.1, 2.5), box(0, 0, 2.9, 5.2)])
T_ROOM = unary_union([box(0, 0, 6, 2.1), box(2, 0, 4.1, 4.7)])
U_ROOM = unary_union([box(0, 0, 5.5, 1.8), box(0, 0, 1.9, 4.3), box(3.4, 0, 5.5, 4.3)])
BAY = Polygon([(0, 0), (4.5, 0), (4.5, 3.5), (3.7, 3.5), (2.9, 4.3), (1.7, 4.3), (0.9, 3.5), (0, 3.5)])
ANGLED = Polygon([(0, 0), (5.2, 0), (4.4, 3.9), (0.0, 2.7)])

PICTURES: dict[str, Callable[[], str]] = {
    "rectangle": partial(room, box(0.013, 0.021, 3.93, 4.91), (2.0, 0.021), SOUTH, 0.2),
    "l": partial(room, L_ROOM, (4.5, 0), SOUTH, 0.25),
    "t": partial(room, T_ROOM, (6, 1.0), EAST, 0.2),
    "u": partial(room, U_ROOM, (0.8, 4.3), NORTH, 0.25),
    "column": partial(room, box(0, 0, 5, 4), (1, 4), NORTH, 0.2, Point(2.6, 1.8).buffer(0.22, quad_segs=4)),
    "island": partial(
        room, box(0, 0, 5.2, 4.6), (5.2, 3.8), EAST, 0.25, rotate(box(1.5, 1.8, 3.5, 2.7), math.degrees(0.2))
    ),
    "bay": partial(room, BAY, (1, 0), SOUTH, 0.2),
    "angled": partial(room, ANGLED, (1, 0), SOUTH, 0.2),
    "curved": partial(room, _round_end(3.6, 2.6), (0, 0.7), WEST, 0.2),
    "corridor": partial(room, box(0, 0, 9.4, 1.3), (4, 1.3), NORTH, 0.2),
    "wc": partial(room, box(0, 0, 1.0, 1.6), (0.45, 0), SOUTH, 0.1, box(0.3, 1.05, 0.68, 1.6)),
    "several-doors": several_doors,
}
"""File name and what draws it."""

if __name__ == "__main__":
    main()
