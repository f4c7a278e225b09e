"""A design in a page: what a command line tells the designer, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Building
from ufh_core.design_result import Design, RoomDesign, RoomStatus, StoreyDesign


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
class FindingGroup:
    """Findings of one code: the first one's message stands for all."""

    code: str
    severity: Severity
    count: int
    message: str


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
        words = {"heated": "heated", "short": "short", "failed": "not laid", "not_heated": "left out"}
        rooms = ", ".join(f"{self.counts[status]} {words[status]}" for status in RoomStatus if self.counts[status])
        return f"rooms: {rooms or 'none'}; {self.circuits} circuits, {self.pipe_m:.0f} m of pipe, {self.output_w:.0f} W"


def summary(design: Design) -> Summary:
    """The summary of `design`."""
    rooms = [room for storey in design.storeys for room in storey.rooms]
    circuits = [circuit for storey in design.storeys for circuit in storey.circuits]
    return Summary(
        counts={status: sum(room.status is status for room in rooms) for status in RoomStatus},
        pipe_m=sum(circuit.laid.length_m for circuit in circuits),
        circuits=len(circuits),
        output_w=sum(room.output.output_w for room in rooms if room.output),
        shortfall_w=sum(room.output.shortfall_w for room in rooms if room.output),
        storeys=tuple(_storey_lines(design.building, storey) for storey in design.storeys),
        findings=_grouped(design.findings),
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
        output_w=result.output.output_w if result.output else None,
        shortfall_w=result.output.shortfall_w if result.output else 0.0,
        circuits=tuple(circuit.laid.number for circuit in mine),
        pitch_m=mine[0].laid.pitch_m if mine else None,
        reason=result.reason,
    )


def _grouped(findings: tuple[Finding, ...]) -> tuple[FindingGroup, ...]:
    groups: dict[tuple[Severity, str], list[Finding]] = {}
    for finding in findings:
        groups.setdefault((finding.severity, finding.code), []).append(finding)
    rank = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}
    lines = [
        FindingGroup(code=code, severity=severity, count=len(group), message=group[0].message)
        for (severity, code), group in groups.items()
    ]
    return tuple(sorted(lines, key=lambda group: rank[group.severity]))
