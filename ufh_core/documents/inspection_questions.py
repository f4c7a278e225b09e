"""What to ask the architect for, in whole sentences, most important first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from shapely import union_all

from ufh_core.building.types import Building, Construction, Room, RoomKind, Storey
from ufh_core.zones.selection import Selection

LEAST_BUILD_UP_M = 0.10  # insulation, pipe and 45 mm of screed over it take about this much; common practice
MOST_BUILD_UP_M = 0.30
_WET = (RoomKind.BATH, RoomKind.WC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing to ask for; `topic` is stable, `ifc_guids` are the rooms or elements meant."""

    topic: str
    text: str
    ifc_guids: tuple[str, ...] = ()


def questions(building: Building, selection: Mapping[str, Selection]) -> tuple[Question, ...]:
    """Put the questions in order of what they change: rooms, levels, ways for pipes, heat, fittings."""
    heated = [(s, r) for s in building.storeys for r in s.rooms if selection[r.ifc_guid].heat]
    rooms = [room for _, room in heated]
    return (
        *_about_rooms(rooms, selection),
        *_about_levels(building, rooms),
        *_about_ways(building, rooms),
        *_about_demand(building, rooms),
        *_about_fittings(heated, selection),
        *_about_temperatures(rooms),
    )


def _about_rooms(rooms: Sequence[Room], selection: Mapping[str, Selection]) -> Iterator[Question]:
    """Missing rooms and missing uses."""
    derived = [room for room in rooms if room.derived]
    if derived:
        yield _ask(
            "rooms",
            f"Please add rooms (IfcSpace) with name and use: the model has none, and {len(derived)} were found from "
            "the walls alone. Which of them are heated?",
            derived,
        )
        return
    nameless = [room for room in rooms if selection[room.ifc_guid].kind == RoomKind.OTHER]
    if nameless:
        yield _ask(
            "room-use",
            f"What {_are(nameless)} {_names(nameless)} used for? The name does not tell; till then the default "
            "temperature and floor finish count.",
            nameless,
        )


def _about_levels(building: Building, rooms: Sequence[Room]) -> Iterator[Question]:
    """Missing slabs and heights for the build-up."""
    if not any(storey.slabs for storey in building.storeys):
        yield _ask("slabs", "Please add the floor slabs: without them the height for the build-up is unknown.", ())
        return
    without = [room for room in rooms if room.slab_top_m is None]
    if without:
        yield _ask("slab-below", f"Which slab, at which level, lies under {_names(without)}?", without)
    heights = [(room, room.floor_m - room.slab_top_m) for room in rooms if room.slab_top_m is not None]
    low = [room for room, height in heights if height < LEAST_BUILD_UP_M]
    if low:
        least, most = _millimetres([height for room, height in heights if room in low])
        yield _ask(
            "build-up",
            f"How high is the floor build-up over the bare slab in {_names(low)}? The model leaves "
            f"{least if least == most else f'{least} to {most}'} mm; a heated floor takes about "
            f"{1000 * LEAST_BUILD_UP_M:.0f} to 170 mm.",
            low,
        )
    high = [room for room, height in heights if height > MOST_BUILD_UP_M]
    if high:
        yield _ask(
            "build-up-high",
            f"Is the floor of {_names(high)} really more than {1000 * MOST_BUILD_UP_M:.0f} mm over its slab?",
            high,
        )


def _about_ways(building: Building, rooms: Sequence[Room]) -> Iterator[Question]:
    """Rooms that no door leads to."""
    joined = {guid for storey in building.storeys for passage in storey.passages for guid in passage.rooms}
    lonely = {s.rooms[0].ifc_guid for s in building.storeys if len(s.rooms) == 1}  # no other room to reach
    closed = [room for room in rooms if room.ifc_guid not in joined | lonely]
    if closed:
        yield _ask(
            "doors",
            f"Where {_are(closed, 'is the door', 'are the doors')} of {_names(closed)}? None leads there in the model; "
            "the pipes would have to go through a wall.",
            closed,
        )


def _about_demand(building: Building, rooms: Sequence[Room]) -> Iterator[Question]:
    """Heat loads, or else the U-values that they are calculated from."""
    without_load = [room for room in rooms if room.heat_load_w is None]
    if not without_load:
        return
    lacking = list(_without_u_value(building))
    if lacking:
        parts = ", ".join(f"{len(guids)} {one if len(guids) == 1 else many}" for (one, many), guids in lacking)
        guids = tuple(guid for _, found in lacking for guid in found)
        yield Question(
            topic="u-values",
            text=f"Please state U-values (ThermalTransmittance), or layers with conductivities, of {parts}; or send "
            "the room heat loads by EN 12831-1. Till then general values count.",
            ifc_guids=guids,
        )
    else:
        yield _ask(
            "heat-loads",
            f"Are there room heat loads by EN 12831-1 for {_names(without_load)}? If not, a simplified calculation "
            "from the model counts.",
            without_load,
        )


def _without_u_value(building: Building) -> Iterator[tuple[tuple[str, str], list[str]]]:
    """Elements of the envelope with no way to a U-value, by sort."""
    walls = {w.ifc_guid: w for s in building.storeys for w in s.walls if w.construction.external is not False}
    flagged = [w for w in walls.values() if w.construction.external]
    outer = flagged or list(walls.values())
    slabs = {s.ifc_guid: s for storey in building.storeys for s in storey.slabs if s.kind in ("roof", "base")}
    openings = {o.ifc_guid: o for s in building.storeys for o in s.openings}
    windows = [o for o in openings.values() if o.kind == "window"]
    doors = [o for o in openings.values() if o.kind == "door" and o.construction.external]
    sorts = (
        (
            ("outer wall", "outer walls") if flagged else ("wall", "walls"),
            [(w.ifc_guid, w.construction) for w in outer],
        ),
        (("window", "windows"), [(o.ifc_guid, o.construction) for o in windows]),
        (("outer door", "outer doors"), [(o.ifc_guid, o.construction) for o in doors]),
        (("roof or base slab", "roofs and base slabs"), [(s.ifc_guid, s.construction) for s in slabs.values()]),
    )
    for name, found in sorts:
        lacking = [guid for guid, construction in found if not _has_u_value(construction)]
        if lacking:
            yield name, lacking


def _has_u_value(construction: Construction) -> bool:
    """Whether a U-value is stated or can be calculated."""
    layers = construction.layers
    return construction.u_value is not None or bool(layers and all(layer.conductivity for layer in layers))


def _about_fittings(heated: Sequence[tuple[Storey, Room]], selection: Mapping[str, Selection]) -> Iterator[Question]:
    """Kitchen units, baths and trays that keep pipes out."""
    kinds = {room.ifc_guid: selection[room.ifc_guid].kind for _, room in heated}
    kitchens = [r for s, r in heated if kinds[r.ifc_guid] == RoomKind.KITCHEN and not _holds(s, r, "furniture")]
    wet = [r for s, r in heated if kinds[r.ifc_guid] in _WET and not _holds(s, r, "sanitary")]
    if kitchens:
        yield _ask("kitchen-units", f"Where do the kitchen units stand in {_names(kitchens)}?", kitchens)
    if wet:
        yield _ask("sanitary-ware", f"Where do bath, shower tray and WC stand in {_names(wet)}?", wet)


def _holds(storey: Storey, room: Room, kind: str) -> bool:
    """Whether an object of a kind that stays in its place stands in a room."""
    outlines = [o.outline for o in storey.obstacles if o.kind == kind and not o.movable]
    return bool(outlines) and bool(room.outline.convex_hull.intersection(union_all(outlines)).area > 0.02)


def _about_temperatures(rooms: Sequence[Room]) -> Iterator[Question]:
    """Indoor temperatures that the model does not state."""
    without = [room for room in rooms if room.indoor_c is None]
    if without:
        which = f"the {len(without)} of {len(rooms)} heated rooms for which the model states none"
        if len(without) == len(rooms):
            which = f"all {len(rooms)} heated rooms" if len(rooms) > 1 else without[0].label
        yield _ask(
            "temperatures",
            f"Which indoor temperatures are agreed for {which}? Till then those of the settings count, by kind of "
            "room.",
            without,
        )


def _ask(topic: str, text: str, rooms: Sequence[Room]) -> Question:
    """A question about rooms."""
    return Question(topic=topic, text=text, ifc_guids=tuple(room.ifc_guid for room in rooms))


def _names(rooms: Sequence[Room]) -> str:
    """The first rooms by name and how many more."""
    shown = [room.label for room in rooms[:4]]
    rest = len(rooms) - len(shown)
    if rest:
        return ", ".join(shown) + f" and {rest} more"
    return " and ".join([", ".join(shown[:-1]), shown[-1]]) if len(shown) > 1 else shown[0]


def _are(rooms: Sequence[Room], one: str = "is", several: str = "are") -> str:
    """The verb for one or several rooms."""
    return one if len(rooms) == 1 else several


def _millimetres(heights: Sequence[float]) -> tuple[int, int]:
    """Least and greatest of heights, in whole millimetres."""
    return round(1000 * min(heights)), round(1000 * max(heights))
