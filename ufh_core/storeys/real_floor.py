"""Heat and water of a storey on its floor as laid: flows that carry the rooms there.

EN 1264 answers for a floor of endless parallel pipes. A laid one has rims and bends, tails that cool on their way,
flow beside return, and places without pipe. So the standard's outputs are corrected by what the surface field gives
less or more at the same flows, room by room, and temperatures and flows are sought again until both agree: a fixed
point, on coarse cells. In the end the field on fine cells says what every room and circuit is booked with.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding
from ufh_core.circuits.types import LaidCircuit
from ufh_core.settings.types import Settings
from ufh_core.storeys.floor_surface import floor_pipes, room_floors
from ufh_core.storeys.tail_heat import tail_heat, tail_length
from ufh_core.surface_field import RoomHeat, SurfaceField, floor_heat, floor_model
from ufh_core.thermal_output import laid_flow_temperature, laid_outputs
from ufh_core.thermal_output.remarks import room_remarks
from ufh_core.thermal_output.types import AsLaid, LaidField, LaidOutput, RoomOutput, RoomRequest
from ufh_core.zones.level_plan import Level

TAIL_ROUNDS, ROUNDS = 3, 5
COARSE_M = 0.05
FLOWS_AGREE, FLOWS_AGREE_K = 0.005, 0.02
NEARLY = 0.98  # of its demand, with which a room counts as carried: no nearer is the field to the layered floor
LEAST_SHORT_W = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyHeat:
    """Rooms and circuits with their heat; `tails_w` comes up from tails, `bare_w` is lost by floor without pipe [W]."""

    outputs: LaidOutput
    governing: Finding | None
    tails_w: Mapping[str, float]
    bare_w: Mapping[str, float] = field(default_factory=dict)


def heat_as_laid(
    levels: Sequence[Level],
    requests: Sequence[RoomRequest],
    circuits: Sequence[LaidCircuit],
    fields: Sequence[LaidField],
    settings: Settings,
) -> StoreyHeat:
    """The flow temperature, and the flows of all circuits, with which the floor as laid carries its rooms.

    By the standard alone where the surface field has no answer.
    """
    heat = _by_standard(levels, requests, circuits, fields, settings)
    if not circuits:
        return heat
    try:
        floors = room_floors(levels, requests, heat.outputs.rooms, settings)
        model = floor_model(floors, floor_pipes(circuits, heat.outputs, settings), COARSE_M)
        real = AsLaid()
        for _ in range(ROUNDS):
            before = heat.outputs
            rooms, waters = floor_heat(model, floor_pipes(circuits, before, settings))
            tails = {water.number: water.tail_w for water in waters}
            real = AsLaid(lost_w=_lost(before, rooms, real.lost_w), tails_w=tails)
            heat = _again(requests, fields, rooms, real, settings)
            if _agree(before, heat.outputs):
                break
    except NoSolution:
        return heat
    return heat


def _by_standard(
    levels: Sequence[Level],
    requests: Sequence[RoomRequest],
    circuits: Sequence[LaidCircuit],
    fields: Sequence[LaidField],
    settings: Settings,
) -> StoreyHeat:
    """The standard's answer, tails credited to the rooms that they cross by an estimate."""
    outlines = {r.ifc_guid: r.outline for level in levels for r in level.rooms}
    flow_c, governing = laid_flow_temperature(_hosts(requests, fields), fields, settings)
    lengths = {r.room: tail_length(outlines[r.room], circuits) for r in requests}
    asked, tails = list(requests), dict[str, float]()
    for _ in range(TAIL_ROUNDS):
        tails = {r.room: tail_heat(r, lengths[r.room], flow_c, settings) for r in requests}
        asked = [replace(r, demand_w=max(0.0, r.demand_w - tails[r.room])) for r in requests]
        flow_c, governing = laid_flow_temperature(_hosts(asked, fields), fields, settings)
    return StoreyHeat(outputs=laid_outputs(asked, fields, flow_c, settings), governing=governing, tails_w=tails)


def _lost(outputs: LaidOutput, rooms: Iterable[RoomHeat], before: Mapping[str, float]) -> dict[str, float]:
    """What each room's fields give less than by the standard at the same flows [W]."""
    laid = [room for room in rooms if outputs.rooms[room.room].heated_area_m2 > 0]
    standard = {guid: output.output_w + before.get(guid, 0.0) for guid, output in outputs.rooms.items()}
    return {room.room: standard[room.room] - room.fields_w for room in laid}


def _again(
    requests: Sequence[RoomRequest],
    fields: Sequence[LaidField],
    rooms: Iterable[RoomHeat],
    real: AsLaid,
    settings: Settings,
) -> StoreyHeat:
    """Temperatures and flows for what is left of the demand beside tails and bare floor."""
    tails, bare = _tails_and_bare(rooms)
    asked = [
        replace(r, demand_w=max(0.0, r.demand_w - tails.get(r.room, 0.0) + bare.get(r.room, 0.0))) for r in requests
    ]
    flow_c, governing = laid_flow_temperature(_hosts(asked, fields), fields, settings, real)
    outputs = laid_outputs(asked, fields, flow_c, settings, real)
    return StoreyHeat(outputs=outputs, governing=governing, tails_w=tails, bare_w=bare)


def _hosts(requests: Sequence[RoomRequest], fields: Sequence[LaidField]) -> list[RoomRequest]:
    """Rooms that may set the flow temperature: those with a circuit of their own, which begins in them.

    A small room at the end of a neighbour's circuit has no control of its own; the whole house shall not run warmer
    for it.
    """
    first: dict[str, str] = {}
    for laid in fields:
        first.setdefault(laid.circuit, laid.room)
    own = set(first.values())
    return [r for r in requests if r.room in own] or list(requests)


def _tails_and_bare(rooms: Iterable[RoomHeat]) -> tuple[dict[str, float], dict[str, float]]:
    """By room, what comes up from tails and what bare floor takes [W]."""
    heats = list(rooms)
    return {r.room: r.tails_w for r in heats}, {r.room: r.bare_loss_w for r in heats}


def _agree(one: LaidOutput, other: LaidOutput) -> bool:
    """Whether two rounds have the same temperatures and flows."""
    flows = [(one.circuits[n].mass_flow, other.circuits[n].mass_flow) for n in one.circuits]
    same = all(abs(a - b) <= FLOWS_AGREE * max(a, b, 1e-6) for a, b in flows)
    return same and abs(one.flow_c - other.flow_c) <= FLOWS_AGREE_K


def booked(heat: StoreyHeat, surface: SurfaceField | None, requests: Sequence[RoomRequest]) -> StoreyHeat:
    """The same with the heat that the surface field has found, room by room and circuit by circuit.

    Then the water's heat is what goes up and down, to the last watt. Unchanged without a field.
    """
    if surface is None:
        return heat
    tails, bare = _tails_and_bare(surface.heats)
    given = {r.room: r for r in surface.heats}
    asked = {r.room: r.demand_w for r in requests}
    rooms = {
        room: _booked_room(output, given[room], asked[room]) if room in given else output
        for room, output in heat.outputs.rooms.items()
    }
    circuits = dict(heat.outputs.circuits)
    for water in surface.pipes:
        if water.number in circuits:
            circuits[water.number] = replace(
                circuits[water.number],
                output_w=water.upward_w,
                downward_w=water.heat_w - water.upward_w,
                tail_w=water.tail_w,
                return_c=water.return_c,
            )
    findings = tuple(remark for r in requests for remark in room_remarks(r, rooms[r.room]))
    outputs = replace(heat.outputs, rooms=rooms, circuits=circuits, findings=findings)
    return replace(heat, outputs=outputs, tails_w={**heat.tails_w, **tails}, bare_w=bare)


def _booked_room(output: RoomOutput, heat: RoomHeat, demand_w: float) -> RoomOutput:
    """A room's output with what its fields give; what is missing of the demand beside tails and bare floor."""
    short = demand_w - heat.upward_w
    if heat.upward_w >= NEARLY * demand_w or short <= LEAST_SHORT_W:
        limited_by = output.limited_by if output.limited_by == "spread" else ""
        return replace(output, output_w=heat.fields_w, shortfall_w=0.0, advice="", remedies=(), limited_by=limited_by)
    return replace(output, output_w=heat.fields_w, shortfall_w=short)
