"""One storey designed: floors, pitches, circuits, outputs and flows, each from its own room of the package."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from ufh_core.basis.areas import Area
from ufh_core.basis.findings import Finding
from ufh_core.basis.message import Message, note
from ufh_core.building.types import Room
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.manifold_names import next_number
from ufh_core.circuits.remarks import layout_findings
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.design_result import CircuitDesign, ManifoldDesign, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.floor import floor_findings, screed_area, with_pipe
from ufh_core.floor.types import BuildUp
from ufh_core.hydraulics import circuit_flow, flow_findings
from ufh_core.joints.storey import crossed_joints
from ufh_core.panels import panel_findings, storey_panels
from ufh_core.settings.types import Settings
from ufh_core.storeys.answers import answer_findings, kept_findings, lay_as_wished, place_findings, room_answers
from ufh_core.storeys.asked import Brief, planned_storey
from ufh_core.storeys.cooling import cooling_findings, with_cooling
from ufh_core.storeys.doorway_floors import doorway_floors
from ufh_core.storeys.floor_surface import storey_surface
from ufh_core.storeys.real_floor import LEAST_SHORT_W, StoreyHeat, booked, heat_as_laid
from ufh_core.storeys.screed_joints import joints_of, parted_levels
from ufh_core.storeys.tail_remarks import tail_findings
from ufh_core.storeys.warm_up import warm_up_findings, with_warm_ups
from ufh_core.storeys.water import water, with_networks
from ufh_core.thermal_output import design_outputs
from ufh_core.thermal_output.types import LaidField, RoomOutput, RoomRequest
from ufh_core.zones.level_plan import Level
from ufh_core.zones.partners import partners_of

WATER_ROUNDS = 2
TAILS_GUESS_M = 15.0
MOST_CIRCUITS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyOutcome:
    """The storey's design and what there is to say of it."""

    design: StoreyDesign
    findings: tuple[Finding, ...]


def design_storey(brief: Brief) -> StoreyOutcome:
    """Design one storey from its heat demand to its valve settings."""
    settings, before = brief.settings, planned_storey(brief)
    build_ups, requests, joints = before.build_ups, before.requests, joints_of(brief, before.build_ups)
    levels = parted_levels(before.levels, joints)
    planned = design_outputs(requests, settings)
    laid = _laid_for_water(levels, planned.rooms, requests, brief)
    surface, hot = storey_surface(levels, requests, laid.heat.outputs, _pipes(laid.layouts), settings)
    laid = _with_heat(laid, booked(laid.heat, surface, requests), settings)
    answers = room_answers(brief.wishes, laid.layouts)
    made = [replace(_room(r, brief, build_ups, laid), answers=answers.get(r.ifc_guid, ())) for r in brief.storey.rooms]
    rooms = with_cooling(with_warm_ups(made, settings), requests, laid.circuits, settings)
    manifolds, network_remarks = with_networks(laid.manifolds, laid.circuits, settings)
    axes = [c.laid.axis for c in laid.circuits]
    panels = storey_panels(levels, build_ups, axes, settings)
    doorways = doorway_floors(levels, build_ups, joints.fields, axes, settings)
    joints, joint_findings = crossed_joints(joints, brief.storey, _pipes(laid.layouts), settings)
    findings = (
        *floor_findings(list(build_ups.values()), brief.storey, laid.heat.outputs.flow_c, settings),
        *([laid.heat.governing] if laid.heat.governing else []),
        *laid.heat.outputs.findings,
        *flow_findings({c.laid.number: c.flow for c in laid.circuits}, settings),
        *network_remarks,
        *warm_up_findings(rooms),
        *cooling_findings(rooms, requests, settings),
        *layout_findings(laid.layouts),
        *tail_findings(requests, _outlines(levels), _pipes(laid.layouts), laid.heat.outputs.flow_c, settings),
        *answer_findings(brief.storey.rooms, answers),
        *place_findings(brief.wishes, laid.layouts, settings),
        *kept_findings(brief.wishes, laid.layouts),
        *hot,
        *panel_findings(panels, brief.storey.rooms),
        *joint_findings,
    )
    design = StoreyDesign(
        storey=brief.storey.ifc_guid,
        rooms=rooms,
        manifolds=manifolds,
        circuits=laid.circuits,
        failed=tuple(failed for layout in laid.layouts for failed in layout.failed),
        surface=surface,
        panels=panels,
        joints=joints,
        doorways=doorways,
        findings=findings,
    )
    return StoreyOutcome(design=design, findings=findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """A storey as laid, with its heat and water."""

    layouts: tuple[LevelLayout, ...]
    heat: StoreyHeat
    circuits: tuple[CircuitDesign, ...]
    manifolds: tuple[ManifoldDesign, ...]


def _laid_for_water(
    levels: Sequence[Level], planned: Mapping[str, RoomOutput], requests: Sequence[RoomRequest], brief: Brief
) -> _Laid:
    """Lay the storey; rooms whose circuits lose too much pressure get one circuit more and it is laid again."""
    counts = {r.room: _count_for_water(r, planned, brief.settings) for r in requests}
    pitches = {guid: output.pitch_m for guid, output in planned.items()}
    laid = _lay(levels, pitches, requests, brief, counts)
    for _ in range(WATER_ROUNDS):
        limit = brief.settings.hydraulics.greatest_pressure_drop_pa
        rooms = {c.laid.rooms[0] for c in laid.circuits if c.flow.pressure_drop_pa > limit} - set(brief.wishes.circuits)
        if not rooms:
            break
        more = {room: sum(c.laid.rooms[0] == room for c in laid.circuits) + 1 for room in sorted(rooms)}
        again = _lay(levels, pitches, requests, brief, counts | more)
        if _failures(again) > _failures(laid):
            break
        counts, laid = counts | more, again
    return laid


def _count_for_water(request: RoomRequest, planned: Mapping[str, RoomOutput], settings: Settings) -> int:
    """Circuits that carry a room's planned flow within the pressure drop, tails taken as `TAILS_GUESS_M`."""
    output = planned[request.room]
    mean_c = (output.flow_c + output.return_c) / 2
    for count in range(1, MOST_CIRCUITS):
        length = output.heated_area_m2 / output.pitch_m / count + TAILS_GUESS_M
        flow = circuit_flow(output.mass_flow / count, mean_c, length, (), settings)
        if flow.pressure_drop_pa <= settings.hydraulics.greatest_pressure_drop_pa:
            return count
    return 1


def _failures(laid: _Laid) -> int:
    return sum(len(layout.failed) for layout in laid.layouts)


def _lay(
    levels: Sequence[Level],
    pitches: Mapping[str, float],
    requests: Sequence[RoomRequest],
    brief: Brief,
    counts: Mapping[str, int],
) -> _Laid:
    settings = brief.settings
    layouts: list[LevelLayout] = []
    for level in levels:
        laid = [m.name for done in layouts for m in done.manifolds]
        number = next_number(brief.first_manifold, laid, brief.wishes.kept_names)
        one = LevelBrief(
            level=level,
            pitches=pitches,
            settings=settings,
            first_manifold=number,
            tell=brief.tell,
            least_counts=counts,
            wishes=brief.wishes,
            partners=partners_of(level, {r.room: r.indoor_c for r in requests}, brief.wishes, settings),
            fields=brief.fields,
        )
        layouts.append(lay_as_wished(one))
    circuits = _pipes(layouts)
    fields = [
        LaidField(circuit=c.number, room=f.room, area_m2=f.area_m2, pitch_m=c.pitch_of(f), edge=f.edge)
        for c in circuits
        for f in c.fields
    ]
    outlines = _outlines(levels)
    seen = [_as_laid(r, fields, outlines[r.room].area) for r in requests]
    heat = heat_as_laid(levels, seen, circuits, fields, settings)
    return _with_heat(_Laid(layouts=tuple(layouts), heat=heat, circuits=(), manifolds=()), heat, settings)


def _with_heat(laid: _Laid, heat: StoreyHeat, settings: Settings) -> _Laid:
    """The same layout with the water that its heat asks for."""
    designs, manifolds = water(laid.layouts, heat.outputs, settings)
    return replace(laid, heat=heat, circuits=tuple(designs), manifolds=tuple(manifolds))


def _pipes(layouts: Iterable[LevelLayout]) -> list[LaidCircuit]:
    return [circuit for layout in layouts for circuit in layout.circuits]


def _outlines(levels: Iterable[Level]) -> dict[str, Area]:
    return {r.ifc_guid: r.outline for level in levels for r in level.rooms}


def _as_laid(request: RoomRequest, fields: Iterable[LaidField], floor_m2: float) -> RoomRequest:
    """What is asked of a room, with the share of its floor that is laid."""
    laid = sum(f.area_m2 for f in fields if f.room == request.room)
    return replace(request, floor_share=laid / floor_m2)


def _room(room: Room, brief: Brief, build_ups: Mapping[str, BuildUp], laid: _Laid) -> RoomDesign:
    guid = room.ifc_guid
    if guid not in build_ups:
        return RoomDesign(room=guid, status=RoomStatus.NOT_HEATED, reason=brief.selection[guid].reason)
    fields = [f for c in laid.circuits for f in c.laid.fields if f.room == guid]
    pipe = sum(float(shapely.intersection(c.laid.axis.line(), room.outline).length) for c in laid.circuits)
    status, reason = _status(guid, bool(fields), laid)
    return RoomDesign(
        room=guid,
        status=status,
        reason=reason,
        demand=brief.demand.rooms[guid],
        output=laid.heat.outputs.rooms[guid],
        tail_output_w=laid.heat.tails_w[guid],
        bare_loss_w=laid.heat.bare_w.get(guid, 0.0),
        build_up=with_pipe(build_ups[guid], screed_area(room.outline, brief.settings), pipe, brief.settings),
        heated_area_m2=sum(f.area_m2 for f in fields),
    )


def _status(guid: str, has_field: bool, laid: _Laid) -> tuple[RoomStatus, str]:
    """What became of a room that should be heated, and why it is not as it should be."""
    output, tails_w = laid.heat.outputs.rooms[guid], laid.heat.tails_w[guid]
    if not has_field:
        reasons = [f.reason for layout in laid.layouts for f in layout.failed if f.room == guid]
        if output.shortfall_w <= LEAST_SHORT_W and tails_w > 0:
            return RoomStatus.HEATED, Message("the tails of other circuits warm it with {tails:.0f} W", tails=tails_w)
        if any(guid in layout.tail_warmed for layout in laid.layouts):
            words = note(
                "the tails of other circuits take its floor and warm it with {tails:.0f} W, {short:.0f} W too little"
            )
            return RoomStatus.FAILED, Message(words, tails=tails_w, short=output.shortfall_w)
        return RoomStatus.FAILED, reasons[0] if reasons else Message("no circuit could be laid")
    if output.shortfall_w > LEAST_SHORT_W:
        return RoomStatus.SHORT, Message(
            "short by {short:.0f} W ({why})", short=output.shortfall_w, why=output.limited_by
        )
    return RoomStatus.HEATED, ""
