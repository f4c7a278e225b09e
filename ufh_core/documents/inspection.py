"""The inspection page: what was understood of a model, what was assumed, what to ask the architect for."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Building, Room, Storey
from ufh_core.documents.inspection_page import page_lines
from ufh_core.documents.inspection_questions import Question, questions
from ufh_core.heat_demand import HeatDemand
from ufh_core.zones.selection import Selection


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomFacts:
    """One row of the rooms' table. `build_up_m` is the height between slab and finished floor where a slab is known."""

    ifc_guid: str
    label: str
    kind: str
    area_m2: float
    height_m: float
    build_up_m: float | None
    ways_in: int
    heated: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyFacts:
    """A storey: its rooms and how many elements of each sort stand on it."""

    ifc_guid: str
    name: str
    elevation_m: float
    elements: dict[str, int]
    rooms: tuple[RoomFacts, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandFacts:
    """The heat demand of a room to heat [W]: the model's own load, the calculated one, and the one that a design takes.

    None where the model states none, or nothing can be calculated; `basis` says which is taken.
    """

    ifc_guid: str
    label: str
    model_w: float | None
    calculated_w: float | None
    taken_w: float
    taken_w_m2: float
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionReport:
    """What is known of a model before a design. `facts` are label and value for people."""

    title: str
    facts: tuple[tuple[str, str], ...]
    storeys: tuple[StoreyFacts, ...]
    demands: tuple[DemandFacts, ...]
    outdoor_c: float | None
    assumed: tuple[Finding, ...]
    questions: tuple[Question, ...]

    def lines(self) -> list[str]:
        """Write the page as plain lines of at most 100 columns."""
        return page_lines(self)

    def to_json(self) -> dict[str, Any]:
        """Turn the report into plain dictionaries and lists; lengths in m, areas in m²."""
        return {
            "title": self.title,
            "facts": dict(self.facts),
            "storeys": [asdict(storey) for storey in self.storeys],
            "heat_demand": [asdict(demand) for demand in self.demands],
            "assumed": [asdict(f) | {"severity": f.severity.value} for f in self.assumed],
            "questions": [asdict(question) for question in self.questions],
        }


def inspection_report(
    building: Building,
    selection: Mapping[str, Selection],
    findings: Sequence[Finding] = (),
    demand: HeatDemand | None = None,
) -> InspectionReport:
    """Sum up a building and what is heated of it; `findings` are added to the building's own."""
    order = list(Severity)
    assumed = sorted((*building.findings, *findings), key=lambda f: order.index(f.severity))
    return InspectionReport(
        title=" · ".join(dict.fromkeys(n for n in (building.project_name, building.building_name) if n)) or "no name",
        facts=tuple(_facts(building, selection)),
        storeys=tuple(_storey_facts(storey, selection) for storey in building.storeys),
        demands=tuple(_demand_facts(building, demand)) if demand is not None else (),
        outdoor_c=demand.outdoor_c if demand is not None else None,
        assumed=tuple(assumed),
        questions=questions(building, selection),
    )


def _demand_facts(building: Building, demand: HeatDemand) -> Iterator[DemandFacts]:
    """One row for each room to heat, in the building's order."""
    for storey in building.storeys:
        for room in storey.rooms:
            found = demand.rooms.get(room.ifc_guid)
            if found is not None:
                yield DemandFacts(
                    ifc_guid=room.ifc_guid,
                    label=room.label,
                    model_w=found.model_w,
                    calculated_w=found.calculated_w,
                    taken_w=found.demand_w,
                    taken_w_m2=found.demand_w / room.outline.area,
                    basis=found.basis.value,
                )


def _facts(building: Building, selection: Mapping[str, Selection]) -> Iterator[tuple[str, str]]:
    """What holds for the whole model."""
    rooms = [room for storey in building.storeys for room in storey.rooms]
    heated = [room for room in rooms if selection[room.ifc_guid].heat]
    yield "file", f"{building.schema}, lengths in {_unit(building.length_unit_m)}"
    yield "place", _place(building)
    yield "true north", _north(building.north_rad)
    area = f"{sum(r.outline.area for r in heated):.0f} m²"
    which = f"all to be heated, {area}" if len(heated) == len(rooms) else f"{len(heated)} to be heated, {area}"
    yield "rooms", f"{len(rooms)}, {which}" if rooms else "none"
    if building.outdoor_c is not None:
        yield "outdoors", f"{building.outdoor_c:g} °C for the design, as the model states"


def _unit(metres: float) -> str:
    """Name a length unit."""
    names = {1.0: "m", 0.001: "mm", 0.01: "cm", 0.3048: "feet", 0.0254: "inches"}
    return names.get(round(metres, 6), f"units of {metres:g} m")


def _place(building: Building) -> str:
    """Say where the plan lies in the model's world."""
    x, y, _ = building.frame.origin
    turn = math.degrees(building.frame.rotation)
    if abs(turn) < 0.05 and max(abs(x), abs(y)) < 0.5:
        return "as in the model"
    turned = f"turned by {turn:+.1f}° in the model" if abs(turn) >= 0.05 else "square to the model's axes"
    at = f", at x {x:.0f} m, y {y:.0f} m" if max(abs(x), abs(y)) >= 0.5 else ""
    return f"{turned}{at}; plans are drawn square, heating.ifc keeps the place"


def _north(north_rad: float | None) -> str:
    """Say where true north is on the plan."""
    if north_rad is None:
        return "not stated"
    degrees = (math.degrees(north_rad) + 180) % 360 - 180
    if abs(degrees) < 0.05:
        return "up the plan"
    return f"{abs(degrees):.1f}° to the {'left' if degrees > 0 else 'right'} of up on the plan"


def _storey_facts(storey: Storey, selection: Mapping[str, Selection]) -> StoreyFacts:
    """Sum up a storey."""
    kinds = Counter(opening.kind for opening in storey.openings)
    elements = {
        "walls": len(storey.walls),
        "columns": len(storey.columns),
        "doors": kinds["door"],
        "windows": kinds["window"],
        "open ways": sum(p.kind != "door" for p in storey.passages),
        "slabs": len(storey.slabs),
        "stairs": sum(o.kind == "stair" for o in storey.obstacles),
        "furniture": sum(o.kind == "furniture" for o in storey.obstacles),
        "sanitary ware": sum(o.kind == "sanitary" for o in storey.obstacles),
    }
    return StoreyFacts(
        ifc_guid=storey.ifc_guid,
        name=storey.name,
        elevation_m=storey.elevation_m,
        elements={name: count for name, count in elements.items() if count},
        rooms=tuple(_room_facts(storey, room, selection[room.ifc_guid]) for room in storey.rooms),
    )


def _room_facts(storey: Storey, room: Room, chosen: Selection) -> RoomFacts:
    """One row."""
    return RoomFacts(
        ifc_guid=room.ifc_guid,
        label=room.label,
        kind=chosen.kind.value,
        area_m2=room.outline.area,
        height_m=room.height_m,
        build_up_m=None if room.slab_top_m is None else room.floor_m - room.slab_top_m,
        ways_in=sum(room.ifc_guid in passage.rooms for passage in storey.passages),
        heated=chosen.heat,
        reason=chosen.reason,
    )
