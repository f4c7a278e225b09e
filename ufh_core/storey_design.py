"""One storey designed: floors, pitches, circuits, outputs and flows, each from its own room of the package."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import shapely

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.pipe_axis import Arc
from ufh_core.building.types import Room, Storey
from ufh_core.circuits.level_layout import LevelLayout, lay_level
from ufh_core.circuits.types import LaidCircuit
from ufh_core.design_result import CircuitDesign, ManifoldDesign, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.floor import design_build_up, floor_findings, pipe_levels, with_pipe
from ufh_core.floor.types import BuildUp
from ufh_core.heat_demand import HeatDemand, slab_below
from ufh_core.hydraulics import balance, circuit_flow, flow_findings
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import design_outputs, laid_flow_temperature, laid_outputs
from ufh_core.thermal_output.types import LaidField, LaidOutput, RoomRequest
from ufh_core.zones.level_plan import Level, levels_of
from ufh_core.zones.selection import Selection

PLANNED_SHARE = 0.93  # of a room's free floor is heated in the end, as a first guess; the laid area counts
LEFT_OUT_SHARE = 0.15  # of a room's free floor may stay cold before the designer is told


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """What is asked of a storey."""

    storey: Storey
    selection: Mapping[str, Selection]
    demand: HeatDemand
    settings: Settings
    first_manifold: int
    tell: Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyOutcome:
    """The storey's design and what there is to say of it."""

    design: StoreyDesign
    findings: tuple[Finding, ...]


def design_storey(brief: Brief) -> StoreyOutcome:
    """Design one storey from its heat demand to its valve settings."""
    settings = brief.settings
    heated = [r for r in brief.storey.rooms if brief.selection[r.ifc_guid].heat]
    build_ups = _build_ups(heated, brief)
    levels = levels_of(brief.storey, frozenset(r.ifc_guid for r in heated), settings)
    free = {guid: level.floors[guid].area for level in levels for guid in level.heated}
    requests = [_request(r, build_ups[r.ifc_guid], free[r.ifc_guid], brief) for r in heated]
    planned = design_outputs(requests, settings)
    pitches = {guid: output.pitch_m for guid, output in planned.rooms.items()}
    layouts = _lay(levels, pitches, brief)
    circuits = [c for layout in layouts for c in layout.circuits]
    fields = [
        LaidField(circuit=c.number, room=f.room, area_m2=f.area_m2, pitch_m=c.pitch_m)
        for c in circuits
        for f in c.fields
    ]
    flow_c, governing = laid_flow_temperature(requests, fields, settings)
    outputs = laid_outputs(requests, fields, flow_c, settings)
    circuit_designs, manifolds, water = _water(layouts, outputs, settings)
    rooms = tuple(_room(r, brief, build_ups, outputs, layouts, circuits) for r in brief.storey.rooms)
    findings = (
        *floor_findings(list(build_ups.values()), heated),
        *([governing] if governing else []),
        *outputs.findings,
        *water,
        *_layout_findings(layouts, circuits),
    )
    design = StoreyDesign(
        storey=brief.storey.ifc_guid, rooms=rooms, manifolds=tuple(manifolds), circuits=tuple(circuit_designs)
    )
    return StoreyOutcome(design=design, findings=findings)


def _build_ups(heated: list[Room], brief: Brief) -> dict[str, BuildUp]:
    below = {r.ifc_guid: brief.demand.rooms[r.ifc_guid].below for r in heated}
    levels = pipe_levels(heated, below, brief.settings)
    return {
        r.ifc_guid: design_build_up(
            r,
            below[r.ifc_guid],
            brief.settings,
            _finish_r(r, brief),
            pipe_axis_m=levels[r.ifc_guid],
            slab=slab_below(r, brief.storey.slabs),
        )
        for r in heated
    }


def _finish_r(room: Room, brief: Brief) -> float:
    selection = brief.selection[room.ifc_guid]
    if selection.override is not None and selection.override.finish_r is not None:
        return selection.override.finish_r
    return brief.settings.floor.finish_r_by_kind.get(selection.kind.value, brief.settings.floor.finish_r)


def _request(room: Room, build_up: BuildUp, free_m2: float, brief: Brief) -> RoomRequest:
    demand = brief.demand.rooms[room.ifc_guid]
    selection = brief.selection[room.ifc_guid]
    return RoomRequest(
        room=room.ifc_guid,
        kind=selection.kind,
        indoor_c=demand.indoor_c,
        demand_w=demand.demand_w,
        heatable_area_m2=PLANNED_SHARE * free_m2,
        finish_r=_finish_r(room, brief),
        r_below=build_up.r_below,
        below_c=demand.below_c,
        fixed_pitch_m=selection.override.pitch_m if selection.override else None,
        label=room.label,
    )


def _lay(levels: Iterable[Level], pitches: Mapping[str, float], brief: Brief) -> list[LevelLayout]:
    layouts: list[LevelLayout] = []
    for level in levels:
        number = brief.first_manifold + sum(len(done.manifolds) for done in layouts)
        layouts.append(lay_level(level, pitches, brief.settings, number, brief.tell))
    return layouts


def _water(
    layouts: Iterable[LevelLayout], outputs: LaidOutput, settings: Settings
) -> tuple[list[CircuitDesign], list[ManifoldDesign], tuple[Finding, ...]]:
    """Flows, settings and pumps, manifold by manifold."""
    designs: list[CircuitDesign] = []
    manifolds: list[ManifoldDesign] = []
    flows: dict[str, CircuitFlow] = {}
    for layout in layouts:
        for manifold in layout.manifolds:
            mine = [c for c in layout.circuits if c.manifold == manifold.name]
            if not mine:
                continue
            open_ = {c.number: _flow(c, outputs, settings) for c in mine}
            balanced, pump = balance(open_, {c.number: c.length_m for c in mine}, settings)
            flows |= balanced
            designs += [_circuit(c, balanced[c.number], outputs) for c in mine]
            back = sum(outputs.circuits[c.number].return_c * balanced[c.number].mass_flow for c in mine)
            total = sum(f.mass_flow for f in balanced.values())
            return_c = back / total if total > 0 else outputs.flow_c
            manifolds.append(
                ManifoldDesign(manifold=manifold, flow_c=outputs.flow_c, return_c=return_c, pump=pump)
            )
    return designs, manifolds, flow_findings(flows, settings)


def _flow(circuit: LaidCircuit, outputs: LaidOutput, settings: Settings) -> CircuitFlow:
    output = outputs.circuits[circuit.number]
    arcs = [p for p in circuit.axis.pieces if isinstance(p, Arc)]
    mean_c = (output.flow_c + output.return_c) / 2
    return circuit_flow(output.mass_flow, mean_c, circuit.length_m, arcs, settings)


def _circuit(circuit: LaidCircuit, flow: CircuitFlow, outputs: LaidOutput) -> CircuitDesign:
    output = outputs.circuits[circuit.number]
    litres = flow.volume_flow * 60_000
    return CircuitDesign(
        laid=circuit,
        flow=flow,
        output_w=output.output_w,
        downward_w=output.downward_w,
        flow_c=output.flow_c,
        return_c=output.return_c,
        valve_setting=f"{litres:.2f} l/min",
    )


def _room(
    room: Room,
    brief: Brief,
    build_ups: Mapping[str, BuildUp],
    outputs: LaidOutput,
    layouts: Iterable[LevelLayout],
    circuits: Iterable[LaidCircuit],
) -> RoomDesign:
    guid = room.ifc_guid
    if guid not in build_ups:
        return RoomDesign(room=guid, status=RoomStatus.NOT_HEATED, reason=brief.selection[guid].reason)
    outlines = [(c, f.outline) for c in circuits for f in c.fields if f.room == guid]
    area = float(sum(outline.area for _, outline in outlines))
    pipe = sum(float(shapely.intersection(c.axis.line(), room.outline).length) for c in circuits)
    reasons = [f.reason for layout in layouts for f in layout.failed if f.room == guid]
    output = outputs.rooms[guid]
    status, reason = RoomStatus.HEATED, ""
    if not outlines:
        status, reason = RoomStatus.FAILED, reasons[0] if reasons else "no circuit could be laid"
    elif output.shortfall_w > 0.5:
        status = RoomStatus.SHORT
        reason = f"short by {output.shortfall_w:.0f} W ({output.limited_by})"
    return RoomDesign(
        room=guid,
        status=status,
        reason=reason,
        demand=brief.demand.rooms[guid],
        output=output,
        build_up=with_pipe(build_ups[guid], room.outline.area, pipe, brief.settings),
        heated_area_m2=area,
    )


def _layout_findings(layouts: Iterable[LevelLayout], circuits: list[LaidCircuit]) -> list[Finding]:
    found = []
    for layout in layouts:
        for failure in layout.failed:
            room = layout.level.room(failure.room)
            found.append(
                Finding(
                    code="layout.not-laid",
                    severity=Severity.ERROR,
                    message=f"{room.label}: a circuit could not be laid, {failure.reason}",
                    ifc_guids=(room.ifc_guid,),
                )
            )
        found += _left_out(layout)
    found += [_sleeved(c) for c in circuits if c.sleeves]
    return found


def _left_out(layout: LevelLayout) -> list[Finding]:
    """Rooms of which much floor stays without pipe."""
    found = []
    for guid in sorted(layout.level.heated):
        free = layout.level.floors[guid].area
        laid = sum(f.area_m2 for c in layout.circuits for f in c.fields if f.room == guid)
        if 0 < laid < (1 - LEFT_OUT_SHARE) * free:
            room = layout.level.room(guid)
            text = f"{room.label}: {laid:.1f} m² of {free:.1f} m² free floor are heated, the rest goes to tails or is out of reach"
            found.append(
                Finding(code="layout.floor-left-out", severity=Severity.NOTE, message=text, ifc_guids=(guid,))
            )
    return found


def _sleeved(circuit: LaidCircuit) -> Finding:
    return Finding(
        code="layout.wall-sleeves",
        severity=Severity.WARNING,
        message=(
            f"circuit {circuit.number}: no door leads to its room, so its pipes go straight through walls in "
            f"{circuit.sleeves} sleeves; have each hole agreed before it is drilled"
        ),
        ifc_guids=circuit.rooms,
    )
