"""Pipes in the floor against the building: walls, columns, shafts and fixed units."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import shapely

from ufh_core.basis.areas import Area, along, joined
from ufh_core.basis.findings import Finding
from ufh_core.building.types import Obstacle, Wall
from ufh_core.coordination.pipe_runs import PipeRuns
from ufh_core.coordination.rules import Place, broken, listed, middle_of
from ufh_core.coordination.scene import FloorScene, called, near, shafts, wall_called
from ufh_core.coordination.types import CabinetPart, SleevePart
from ufh_core.settings.types import LayoutSettings

LEAST_M = 0.012  # of a pipe in a body before it counts
SLACK_M = 0.008  # by which a clearance may be missed: rounded bends, drawn outlines
JAMB_M = 0.20  # round doorways and sleeves, jambs bind instead of the clearance
PORT_M = 0.30  # round a cabinet, its pipes stand close
SLEEVE_M = 0.02
RISER_M = 0.15  # a riser stands this near to its cabinet
OUTSIDE_M = 0.05


@dataclass(slots=True)
class Met:
    """What pipes have met of one element: circuits, their elements, lengths in it and distances to it [m]."""

    circuits: set[str] = field(default_factory=set)
    guids: set[str] = field(default_factory=set)
    long_m: float = 0.0
    near_m: float = 1e9
    at: tuple[float, float] | None = None

    def add(self, runs: PipeRuns, where: shapely.Geometry, near_m: float = 0.0) -> None:
        """Count a pipe that meets the element."""
        self.circuits.add(runs.part.number)
        self.guids.add(runs.part.ifc_guid)
        self.long_m += float(where.length)
        if near_m < self.near_m or self.at is None:
            self.at = middle_of(where)
        self.near_m = min(self.near_m, near_m)


class Book:
    """Rules that pipes of one floor break, each element once with all circuits that meet it."""

    def __init__(self, storey: str) -> None:
        """Begin with nothing met."""
        self._storey = storey
        self._met: dict[tuple[str, str, str], Met] = defaultdict(Met)

    def met(self, rule: str, guid: str, what: str) -> Met:
        """What is met of an element under a rule."""
        return self._met[rule, guid, what]

    def findings(self, wanted: Mapping[str, float]) -> Iterator[Finding]:
        """The findings; `wanted` are the clearances [m] by rule."""
        for (rule, guid, what), met in sorted(self._met.items(), key=lambda row: row[0]):
            place = Place(ifc_guids=(guid, *sorted(met.guids)), storey=self._storey, at=met.at)
            yield broken(
                rule,
                place,
                pipes=listed(met.circuits),
                what=what,
                long_mm=1000 * met.long_m,
                near_mm=1000 * max(0.0, met.near_m),
                wanted_mm=1000 * wanted.get(rule, 0.0),
            )


def pipe_findings(
    pipes: Sequence[PipeRuns],
    scene: FloorScene,
    sleeves: Sequence[SleevePart],
    cabinets: Sequence[CabinetPart],
    layout: LayoutSettings,
) -> Iterator[Finding]:
    """What is wrong with the pipes of one floor as they lie."""
    book = Book(scene.storey.ifc_guid)
    holes = joined(s.outline.buffer(SLEEVE_M) for s in sleeves)
    at_home = shapely.union_all([c.outline for c in cabinets])
    spared = joined([scene.doorways.buffer(JAMB_M), holes.buffer(JAMB_M), at_home.buffer(PORT_M)])
    for runs in pipes:
        core = runs.line.difference(spared)
        _walls(book, runs, core, scene, holes, layout.wall_clearance_m)
        _columns(book, runs, core, scene, layout.wall_clearance_m)
        _shafts(book, runs, scene)
        for thing in scene.obstacles:
            _thing(book, runs, core, thing, scene.floor_m, layout)
        _outside(book, runs, scene, holes)
        _rises(book, runs, cabinets)
    clear = layout.wall_clearance_m
    wanted = {"pipe-near-wall": clear, "pipe-near-column": clear, "pipe-at-sanitary": clear}
    yield from book.findings({**wanted, "pipe-at-hearth": layout.hearth_clearance_m})


# --- walls --------------------------------------------------------------------------------------


def _walls(book: Book, runs: PipeRuns, core: shapely.Geometry, scene: FloorScene, holes: Area, clear_m: float) -> None:
    """Pipes through walls, through sleeves in walls that must not be drilled, and too near to walls."""
    solids = [solid for _, solid in scene.walls]
    for k in near(solids, runs.line, clear_m):
        wall, solid = scene.walls[k]
        inside = along(runs.line, solid)
        bare = inside.difference(holes)
        if bare.length > LEAST_M:
            book.met("pipe-in-wall", wall.ifc_guid, wall_called(wall)).add(runs, bare)
            continue
        if inside.length - bare.length > LEAST_M and (rule := _sleeved(wall)):
            book.met(rule, wall.ifc_guid, wall_called(wall)).add(runs, inside)
        gap = core.distance(solid) if not core.is_empty else clear_m
        if gap < clear_m - SLACK_M:
            close = core.intersection(solid.buffer(clear_m - SLACK_M / 2))
            book.met("pipe-near-wall", wall.ifc_guid, wall_called(wall)).add(runs, close, gap)
    for line, low, high in runs.rises:
        for wall in scene.storey.walls:
            inside = line.intersection(wall.outline)
            if wall.bottom_m < high and wall.top_m > low and inside.length > LEAST_M:
                book.met("pipe-in-wall", wall.ifc_guid, wall_called(wall)).add(runs, inside)


def _sleeved(wall: Wall) -> str:
    """The rule that a sleeve through a wall breaks, or none."""
    if wall.construction.load_bearing:
        return "sleeve-in-bearing-wall"
    return "sleeve-in-fire-wall" if wall.construction.fire_rating or wall.construction.compartment else ""


# --- what stands on the floor -------------------------------------------------------------------


def _columns(book: Book, runs: PipeRuns, core: shapely.Geometry, scene: FloorScene, clear_m: float) -> None:
    """Pipes through columns or too near to them."""
    for column in scene.columns:
        name = called("column", column.name, column.ifc_guid)
        inside = runs.line.intersection(column.outline)
        if inside.length > LEAST_M:
            book.met("pipe-in-column", column.ifc_guid, name).add(runs, inside)
        elif not core.is_empty and (gap := core.distance(column.outline)) < clear_m - SLACK_M:
            close = core.intersection(column.outline.buffer(clear_m - SLACK_M / 2))
            book.met("pipe-near-column", column.ifc_guid, name).add(runs, close, gap)


def _shafts(book: Book, runs: PipeRuns, scene: FloorScene) -> None:
    """Pipes that run into rooms that are shafts."""
    for room in shafts(scene.storey.rooms):
        inside = runs.line.intersection(room.outline)
        if inside.length > LEAST_M:
            book.met("pipe-in-shaft", room.ifc_guid, f"shaft {room.label} ({room.ifc_guid})").add(runs, inside)


def _thing(
    book: Book, runs: PipeRuns, core: shapely.Geometry, thing: Obstacle, floor_m: float, layout: LayoutSettings
) -> None:
    """Pipes under one thing that stands on the floor, or too near to it."""
    standing = thing.bottom_m < floor_m + 0.25 and thing.top_m > floor_m - 0.5
    if thing.movable or not standing:
        return
    rule, reach = _thing_rule(thing, layout)
    name = called("opening in the floor" if thing.kind == "void" else thing.kind, thing.name, thing.ifc_guid)
    under = runs.line.intersection(thing.outline)
    if under.length > LEAST_M:
        book.met(rule, thing.ifc_guid, name).add(runs, under)
    elif reach > 0 and not core.is_empty and (gap := core.distance(thing.outline)) < reach - SLACK_M:
        close = core.intersection(thing.outline.buffer(reach - SLACK_M / 2))
        book.met(rule, thing.ifc_guid, name).add(runs, close, gap)


def _thing_rule(thing: Obstacle, layout: LayoutSettings) -> tuple[str, float]:
    """(rule, clearance [m], 0 where only lying under it counts) of a kind of thing."""
    rules = {
        "void": ("pipe-in-shaft", 0.0),
        "hearth": ("pipe-at-hearth", layout.hearth_clearance_m),
        "stair": ("pipe-under-stair", 0.0),
        "sanitary": ("pipe-at-sanitary", layout.wall_clearance_m),
    }
    return rules.get(thing.kind, ("pipe-under-unit", 0.0))


# --- where no floor is ------------------------------------------------------------------------


def _outside(book: Book, runs: PipeRuns, scene: FloorScene, holes: Area) -> None:
    """Pipes outside every room, doorway, wall and sleeve."""
    rooms = [r.outline.buffer(OUTSIDE_M / 2) for r in scene.rooms]
    known: list[Area] = [*rooms, scene.doorways, holes, *(s for _, s in scene.walls)]
    rest = runs.line.difference(joined(known).buffer(OUTSIDE_M / 2))
    if rest.length > OUTSIDE_M:
        storey = scene.storey
        name = called("storey", storey.name, storey.ifc_guid)
        book.met("pipe-outside-rooms", storey.ifc_guid, name).add(runs, rest)


def _rises(book: Book, runs: PipeRuns, cabinets: Sequence[CabinetPart]) -> None:
    """Pipes that leave the floor away from every cabinet."""
    homes = shapely.union_all([c.outline for c in cabinets]).buffer(RISER_M)
    for line, _, _ in runs.rises:
        away = line.difference(homes)
        if not away.is_empty:
            book.met("pipe-leaves-floor", "", "").add(runs, away)
