"""A design in a page: what a command line tells the designer, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.building.types import Building
from ufh_core.design_result import Design, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.documents.finding_groups import FindingGroup, grouped
from ufh_core.thermal_output.remarks import LIMIT_WORDS


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLine:
    """A room: powers [W], areas [m²]; None where there is nothing to say."""

    label: str
    status: RoomStatus
    area_m2: float
    heated_area_m2: float
    indoor_c: float | None
    demand_w: float | None
    output_w: float | None
    shortfall_w: float
    circuits: tuple[str, ...]
    pitch_m: float | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifoldLine:
    """A manifold: temperatures [°C], flow [m³/s], pump pressure [Pa], longest circuit [m]."""

    name: str
    circuits: int
    flow_c: float
    return_c: float
    volume_flow: float
    pump_pa: float
    longest_circuit_m: float
    pipe_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyLines:
    """A storey's rooms and manifolds."""

    name: str
    rooms: tuple[RoomLine, ...]
    manifolds: tuple[ManifoldLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """The whole: counts of rooms by status, totals, storeys, findings by code, gravest first."""

    counts: dict[RoomStatus, int]
    pipe_m: float
    circuits: int
    output_w: float
    shortfall_w: float
    storeys: tuple[StoreyLines, ...]
    findings: tuple[FindingGroup, ...]

    @property
    def headline(self) -> str:
        """One line: rooms and pipe."""
        words = {
            RoomStatus.HEATED: "heated",
            RoomStatus.SHORT: "short",
            RoomStatus.FAILED: "not laid",
            RoomStatus.NOT_HEATED: "without floor heating",
        }
        rooms = ", ".join(f"{self.counts[status]} {word}" for status, word in words.items() if self.counts[status])
        circuits = f"{self.circuits} circuit{'' if self.circuits == 1 else 's'}"
        return f"rooms: {rooms or 'none'}; {circuits}, {self.pipe_m:.0f} m of pipe, {self.output_w:.0f} W"


def summary(design: Design) -> Summary:
    """The summary of `design`."""
    rooms = [room for storey in design.storeys for room in storey.rooms]
    circuits = [circuit for storey in design.storeys for circuit in storey.circuits]
    labels = {room.ifc_guid: room.label for storey in design.building.storeys for room in storey.rooms}
    return Summary(
        counts={status: sum(room.status is status for room in rooms) for status in RoomStatus},
        pipe_m=sum(circuit.laid.length_m for circuit in circuits),
        circuits=len(circuits),
        output_w=sum(room.heat_w for room in rooms if room.output),
        shortfall_w=sum(room.output.shortfall_w for room in rooms if room.output),
        storeys=tuple(_storey_lines(design.building, storey) for storey in design.storeys),
        findings=grouped(design.findings, labels),
    )


def _storey_lines(building: Building, storey: StoreyDesign) -> StoreyLines:
    name = next((s.name for s in building.storeys if s.ifc_guid == storey.storey), storey.storey)
    manifolds = []
    for each in storey.manifolds:
        lengths = [c.laid.length_m for c in storey.circuits if c.laid.manifold == each.manifold.name]
        manifolds.append(
            ManifoldLine(
                name=each.manifold.name,
                circuits=len(lengths),
                flow_c=each.flow_c,
                return_c=each.return_c,
                volume_flow=each.pump.volume_flow,
                pump_pa=each.pump.pressure_pa,
                longest_circuit_m=max(lengths, default=0.0),
                pipe_m=sum(lengths),
            )
        )
    rooms = tuple(_room_line(building, storey, room) for room in storey.rooms)
    return StoreyLines(name=name, rooms=rooms, manifolds=tuple(manifolds))


def _room_line(building: Building, storey: StoreyDesign, result: RoomDesign) -> RoomLine:
    room = building.room(result.room)
    mine = [circuit for circuit in storey.circuits if result.room in circuit.laid.rooms]
    return RoomLine(
        label=room.label,
        status=result.status,
        area_m2=float(room.outline.area),
        heated_area_m2=result.heated_area_m2,
        indoor_c=result.demand.indoor_c if result.demand else None,
        demand_w=result.demand.demand_w if result.demand else None,
        output_w=result.heat_w if result.output else None,
        shortfall_w=result.output.shortfall_w if result.output else 0.0,
        circuits=tuple(circuit.laid.number for circuit in mine),
        pitch_m=mine[0].laid.pitch_m if mine else None,
        reason=why_not_carried(result),
    )


def why_not_carried(result: RoomDesign) -> str:
    """Why a room is short, not laid or not heated, in words without figures; empty where it is heated."""
    if result.status is RoomStatus.SHORT and result.output:
        return LIMIT_WORDS.get(result.output.limited_by, result.output.limited_by)
    return "" if result.status is RoomStatus.HEATED else result.reason
