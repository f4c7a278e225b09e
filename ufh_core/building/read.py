"""Reading the architect's model into a `Building`: the one public way in.

In order: open and check the file; choose the elements that matter; make all their bodies once
and lay them flat in a local frame; walls, columns, slabs and openings; spaces become rooms (or, in a
file without spaces, rooms are found from the walls); repeated rooms and area schemes are told apart; dwellings;
passages between rooms; obstacles; and all of it storey by storey. What is odd becomes a finding.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ufh_core.basis.errors import ModelReadError
from ufh_core.basis.findings import Finding
from ufh_core.building.checks import model_findings, room_findings
from ufh_core.building.constructions import ConstructionReader
from ufh_core.building.derived_rooms import find_rooms
from ufh_core.building.door_swings import with_swings
from ufh_core.building.dwellings import dwellings
from ufh_core.building.elements import Elements, Plan, choose_elements, read_plan
from ufh_core.building.fabric import read_columns, read_slabs, read_walls
from ufh_core.building.model_file import ModelFile, open_model
from ufh_core.building.obstacles import Obstacles, obstacles_on, read_obstacles
from ufh_core.building.openings import read_wall_holes
from ufh_core.building.passages import read_passages
from ufh_core.building.plan_frame import map_conversion, north_angle, placing_findings
from ufh_core.building.properties import figures, first_number
from ufh_core.building.repeated_rooms import without_repeats
from ufh_core.building.rooms import RoomRead, read_rooms
from ufh_core.building.solids import Fabric, make_fabric
from ufh_core.building.storeys import (
    StoreyPlace,
    contained_guids,
    levels_of,
    read_places,
    stand_in_places,
    storey,
    storey_height,
    storey_of,
)
from ufh_core.building.types import Building, Passage, Room, Slab, Storey
from ufh_core.settings.types import Settings

OUTDOOR_RANGE = (-60.0, 20.0)  # °C


@dataclass(frozen=True, slots=True)
class _Parts:
    """What was read of the whole building, not yet by storey."""

    elements: Elements
    plan: Plan
    fabric: Fabric
    slabs: tuple[Slab, ...]
    obstacles: Obstacles


def read_building(path: Path, settings: Settings) -> Building:
    """The building in an .ifc or .ifczip file.

    Raises `ModelReadError` where the file cannot be read or holds neither rooms nor walls.
    """
    source = open_model(Path(path))
    reader = ConstructionReader(source)
    parts = _read_parts(source, reader)
    reads = read_rooms(source, parts.elements.spaces, parts.plan.shapes, parts.fabric, parts.slabs)
    rooms, repeat_findings = without_repeats(reads)
    homes = dwellings(source, [r.room for r in rooms])
    rooms = tuple(replace(r, room=replace(r.room, dwelling=homes.get(r.room.ifc_guid))) for r in rooms)
    by_storey, places = _rooms_by_storey(source, parts, rooms)
    everywhere = [r for place in places for r in by_storey[place.ifc_guid]]
    if not everywhere:
        raise ModelReadError(_nothing(source, parts))
    passages = read_passages(everywhere, parts.fabric)
    plain = tuple(_storey(p, places, by_storey[p.ifc_guid], parts, passages) for p in places)
    storeys = with_swings(plain, source, parts.plan.frame)
    findings = (
        *model_findings(source, parts.elements, parts.plan, parts.slabs, storeys),
        *placing_findings(source.model, parts.plan.frame),
        *repeat_findings,
        *room_findings(rooms, everywhere),
        *reader.findings(),
        *(source.choices.findings if settings.rooms.model_choices else ()),
    )
    return _building(source, parts.plan, storeys, findings)


def _read_parts(source: ModelFile, reader: ConstructionReader) -> _Parts:
    """Bodies, fabric, slabs and obstacles."""
    elements = choose_elements(source)
    plan = read_plan(source, elements)
    walls = read_walls(elements.walls, plan.shapes, reader)
    columns = read_columns(elements.columns, plan.shapes)
    holes = read_wall_holes(source, elements.wall_holes, walls, plan.shapes, plan.frame, reader)
    slabs = read_slabs(elements.slabs, elements.floorings, plan.shapes, reader)
    return _Parts(elements, plan, make_fabric(walls, columns, holes), slabs, read_obstacles(elements, plan.shapes))


def _rooms_by_storey(
    source: ModelFile, parts: _Parts, rooms: Sequence[RoomRead]
) -> tuple[dict[str, list[Room]], tuple[StoreyPlace, ...]]:
    """Rooms by the GlobalId of their storey, and the storeys."""
    project = source.model.by_type("IfcProject")[0].GlobalId
    plain = [r.room for r in rooms]
    places = read_places(source) or stand_in_places(plain, parts.fabric.walls, project)
    found: dict[str, list[Room]] = {p.ifc_guid: [] for p in places}
    for read in rooms:
        found[storey_of(read.space, read.room, places).ifc_guid].append(read.room)
    if not parts.elements.spaces:
        for place in places:
            found[place.ifc_guid].extend(_derived(place, places, parts))
    return found, places


def _derived(place: StoreyPlace, places: Sequence[StoreyPlace], parts: _Parts) -> tuple[Room, ...]:
    """Rooms found from the walls of one storey."""
    fabric = parts.fabric
    floor = _floor_of(place, parts.slabs)
    height = max(1.8, storey_height(place, places, fabric.walls) - (floor - place.elevation_m))
    levels = levels_of(replace(place, elevation_m=floor), (), height)
    walls = levels.walls(fabric.walls)
    if len(walls) < 3:
        return ()
    openings = levels.openings([h.opening for h in fabric.holes], ())
    slabs = levels.slabs(parts.slabs, contained_guids(place.entity))
    return find_rooms(place.ifc_guid, floor, height, walls, levels.columns(fabric.columns), openings, slabs)


def _floor_of(place: StoreyPlace, slabs: Sequence[Slab]) -> float:
    """Floor height of a storey without spaces: the top of most of the slabs near it, else its elevation."""
    near = [s for s in slabs if s.kind != "roof" and abs(s.top_m - place.elevation_m) <= 0.6]
    areas: dict[float, float] = {}
    for slab in near:
        key = round(slab.top_m, 2)
        areas[key] = areas.get(key, 0.0) + slab.outline.area
    return max(areas, key=lambda z: (areas[z], z)) if areas else place.elevation_m


def _storey(
    place: StoreyPlace, places: Sequence[StoreyPlace], rooms: Sequence[Room], parts: _Parts, passages: Sequence[Passage]
) -> Storey:
    """One storey with what stands on it."""
    fabric = parts.fabric
    levels = levels_of(place, rooms, storey_height(place, places, fabric.walls))
    guids = {r.ifc_guid for r in rooms}
    return replace(
        storey(place, rooms),
        walls=levels.walls(fabric.walls),
        columns=levels.columns(fabric.columns),
        openings=levels.openings([h.opening for h in fabric.holes], rooms),
        passages=tuple(p for p in passages if guids & set(p.rooms)),
        obstacles=obstacles_on(rooms, parts.obstacles),
        slabs=levels.slabs(parts.slabs, contained_guids(place.entity)),
    )


def _nothing(source: ModelFile, parts: _Parts) -> str:
    """Why there is no floor to heat."""
    if parts.elements.spaces:
        what = f"its {len(parts.elements.spaces)} rooms (IfcSpace) have no usable shape"
    elif parts.fabric.walls:
        what = f"it has no rooms (IfcSpace) and its {len(parts.fabric.walls)} walls enclose none"
    else:
        what = "it has no rooms (IfcSpace) and no walls"
    return f"{source.path}: {what}; ask the architect for a model with rooms"


def _building(source: ModelFile, plan: Plan, storeys: tuple[Storey, ...], findings: tuple[Finding, ...]) -> Building:
    """The building with what the file says of the whole."""
    buildings = source.of_class("IfcBuilding")
    project = source.model.by_type("IfcProject")[0]
    outdoor = first_number(figures(buildings[0]), ("heatingdrybulb",)) if buildings else None
    if outdoor is not None and outdoor > 200:
        outdoor -= 273.15
    if outdoor is not None and not OUTDOOR_RANGE[0] <= outdoor <= OUTDOOR_RANGE[1]:
        outdoor = None
    return Building(
        project_name=project.Name or project.LongName or "",
        building_name=(buildings[0].Name or buildings[0].LongName or "") if buildings else "",
        schema=source.schema,
        length_unit_m=source.scale,
        frame=plan.frame,
        north_rad=north_angle(source.model, plan.frame),
        storeys=storeys,
        findings=findings,
        file_digest=source.digest,
        outdoor_c=outdoor,
        georeference=map_conversion(source.model),
        project_guid=project.GlobalId,
        choices=source.choices.rooms,
        places=source.choices.places,
    )
