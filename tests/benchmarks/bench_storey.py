"""Lanes of whole storeys: `python tests/benchmarks/bench_storey.py [ROOMS...] [--all]`. Run by hand; asserts nothing.

A storey is offices and treatment rooms along corridors, back to back, the corridors joined by a cross
corridor at one end. Prints for each number of rooms (25, 50 and 100 unless told): circuits, manifolds,
territories without a lane, length of all lanes over the sum of their shortest ways, and seconds of the
processor for the lanes; with --all, the whole layout too, with its first fault.
"""

# ruff: noqa: E402 (the plans and the checks stand in the folder above)

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

import layout_checks
import plan_sketch
import shapely
from shapely.geometry import box

from ufh_core.building.types import Passage, Room, RoomKind, Storey
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.lanes.level import route_lanes
from ufh_core.settings.types import Settings
from ufh_core.zones.territories import territories

PER_SIDE = 13
WALL = plan_sketch.INNER_WALL
CORRIDOR_M = 2.2
KINDS = (RoomKind.OFFICE, RoomKind.OFFICE, RoomKind.TREATMENT, RoomKind.WAITING)
PITCH = 0.2


def main() -> None:
    """Lay the storeys asked for."""
    sizes = [int(a) for a in sys.argv[1:] if a.isdigit()] or [25, 50, 100]
    for rooms in sizes:
        lanes_of(rooms)
        if "--all" in sys.argv:
            whole(rooms)


def lanes_of(rooms: int, seed: int = 7) -> None:
    """Lead all lanes of one storey and print what came of it."""
    settings = Settings()
    level = plan_sketch.level(corridor_storey(seed, rooms))
    counts = {g: max(1, round(level.floors[g].area / PITCH / 100)) for g in sorted(level.heated)}
    parts = territories(level, counts, dict.fromkeys(counts, PITCH), settings)
    start = time.process_time()
    made = route_lanes(level, parts, settings)
    seconds = time.process_time() - start
    length = sum(shapely.LineString(lane.corners).length for lane in made.lanes)
    shortest = sum(_shortest(level, settings, lane.corners[0], lane.corners[-1]) for lane in made.lanes)
    print(
        f"{rooms:4d} rooms {len(parts):4d} circuits {len(made.sites):3d} manifolds {len(made.unreached):3d} unreached  "
        f"lanes {length:6.0f} m = {length / max(shortest, 1e-9):.3f} of shortest  {seconds:7.2f} s",
        flush=True,
    )
    for why in sorted(set(made.unreached.values())):
        print("      ", why)


def whole(rooms: int, seed: int = 7) -> None:
    """Lay a whole storey and check it."""
    storey = corridor_storey(seed, rooms)
    heated = [r.ifc_guid for r in storey.rooms]
    start = time.process_time()
    layout = lay_level(
        LevelBrief(level=plan_sketch.level(storey), pitches=dict.fromkeys(heated, PITCH), settings=Settings())
    )
    seconds = time.process_time() - start
    faults = layout_checks.faults(storey, layout, heated)
    print(
        f"{rooms:4d} rooms {len(layout.circuits):4d} circuits {len(layout.failed):3d} failed  "
        f"whole layout {seconds:7.2f} s  {faults[0] if faults else 'legal'}",
        flush=True,
    )


def _shortest(
    level: plan_sketch.Level, settings: Settings, start: tuple[float, float], end: tuple[float, float]
) -> float:
    """Shortest way along axes between two points, as the crow flies round nothing: a lower bound [m]."""
    return abs(start[0] - end[0]) + abs(start[1] - end[1])


def corridor_storey(seed: int, rooms: int) -> Storey:
    """A storey of about `rooms` rooms: wings of a corridor with up to 13 rooms a side, and a cross corridor."""
    draw = random.Random(seed)
    found: list[Room] = []
    doors: list[Passage] = []
    wings = max(1, round(rooms / (2 * PER_SIDE)))
    y = 0.03
    left = 0.02 + CORRIDOR_M + WALL
    for wing in range(wings):
        sides = [rooms // (2 * wings) + (wing * 2 + s < rooms % (2 * wings)) for s in (0, 1)]
        depths = [draw.uniform(3.6, 5.2) for _ in sides]
        corridor = (round(y + depths[0] + WALL, 3), round(y + depths[0] + WALL + CORRIDOR_M, 3))
        hall = f"hall{wing}"
        ends = []
        for side, count in enumerate(sides):
            low, high = (y, corridor[0] - WALL) if side == 0 else (corridor[1] + WALL, corridor[1] + WALL + depths[1])
            wall = (low - WALL, low) if side else (high, high + WALL)
            x = left
            for k in range(count):
                wide = draw.uniform(2.8, 5.0)
                guid = f"R{wing}{'SN'[side]}{k:02d}"
                found.append(plan_sketch.room(guid, _box(x, low, x + wide, high), draw.choice(KINDS)))
                at = x + draw.uniform(0.15, wide - 1.15)
                doors.append(plan_sketch.door(_box(at, wall[0], at + 0.9, wall[1]), plan_sketch.THROUGH_Y, hall, guid))
                x += wide + WALL
            ends.append(x - WALL)
        found.append(plan_sketch.room(hall, _box(left, corridor[0], max(ends), corridor[1]), RoomKind.HALL))
        if wings > 1:
            inner = _box(left - WALL, corridor[0] + 0.4, left, corridor[1] - 0.4)
            doors.append(plan_sketch.door(inner, plan_sketch.THROUGH_X, "cross", hall))
        y = corridor[1] + WALL + depths[1] + WALL
    if wings > 1:
        found.append(plan_sketch.room("cross", _box(0.02, 0.03, left - WALL, y - WALL), RoomKind.HALL))
    return plan_sketch.storey(found, doors)


def _box(left: float, low: float, right: float, high: float) -> shapely.Polygon:
    return box(round(left, 3), round(low, 3), round(right, 3), round(high, 3))


if __name__ == "__main__":
    main()
