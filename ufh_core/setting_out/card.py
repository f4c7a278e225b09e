"""The card of a circuit: steps from port to port, marks to check on the way, every bend."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ufh_core.building.types import Building
from ufh_core.circuits.types import LaidCircuit
from ufh_core.design_result import StoreyDesign
from ufh_core.floor.types import CoilPlan
from ufh_core.setting_out.ground import Ground, ground_of
from ufh_core.setting_out.steps import circuit_steps
from ufh_core.setting_out.types import BendLine, CheckMark, CircuitCard, CoilCut
from ufh_core.setting_out.visits import Visit, room_at, visits
from ufh_core.setting_out.way import PipeWay
from ufh_core.settings.types import Settings

CHECK_EVERY_M = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rises:
    """Pipe from the bars down to the plan axis [m], at the flow end and at the return end."""

    flow_m: float
    return_m: float


def circuit_cards(
    building: Building, storey: StoreyDesign, settings: Settings, coils: CoilPlan | None, rises: Mapping[str, Rises]
) -> tuple[CircuitCard, ...]:
    """A card for each circuit of a storey, in the order of the design; `rises` by circuit number."""
    own = next(s for s in building.storeys if s.ifc_guid == storey.storey)
    laid = [circuit.laid for circuit in storey.circuits if circuit.laid.axis.pieces]
    ground = ground_of(
        own, [circuit.axis for circuit in laid], [room.room for room in storey.rooms], storey.joints.crossings, settings
    )
    return tuple(_card(circuit, ground, settings, coils, rises[circuit.number], storey.storey) for circuit in laid)


def _card(
    laid: LaidCircuit, ground: Ground, settings: Settings, coils: CoilPlan | None, rises: Rises, storey: str
) -> CircuitCard:
    way = PipeWay(laid.axis)
    stays = visits(way, ground.floors)
    steps = circuit_steps(laid, way, stays, ground)
    length = rises.flow_m + way.length_m + rises.return_m
    last = replace(steps[-1], at_m=length)
    moved = tuple(replace(step, at_m=step.at_m + rises.flow_m) for step in steps[1:-1])
    return CircuitCard(
        number=laid.number,
        storey=storey,
        manifold=laid.manifold,
        port=laid.port,
        rooms=laid.rooms,
        length_m=length,
        rise_m=rises.flow_m,
        steps=(steps[0], *moved, last),
        checks=_checks(way, stays, ground, rises.flow_m),
        bends=_bends(way, stays, ground, rises.flow_m),
        coil=_coil(laid.number, coils),
    )


def _checks(way: PipeWay, stays: Sequence[Visit], ground: Ground, rise_m: float) -> tuple[CheckMark, ...]:
    """Every whole ten metres that lie on the floor."""
    found = []
    for k in range(1, math.floor((rise_m + way.length_m) / CHECK_EVERY_M) + 1):
        at = k * CHECK_EVERY_M - rise_m
        room, point = room_at(stays, at), way.at(at)
        walls = ground.walls(room).nearest_two(point, way.heading(at)) if room else ()
        found.append(CheckMark(at_m=k * CHECK_EVERY_M, point=point, room=room, walls=walls))
    return tuple(found)


def _bends(way: PipeWay, stays: Sequence[Visit], ground: Ground, rise_m: float) -> tuple[BendLine, ...]:
    """Every bend, with the straight before it."""
    found, before = [], 0.0
    for bend in way.bends:
        room = room_at(stays, bend.start_m)
        counted = ground.grid(room).inside_bend(bend.arcs, ground.pipe_m)
        found.append(
            BendLine(
                at_m=bend.start_m + rise_m,
                run_m=bend.start_m - before,
                turn_deg=bend.turn_deg,
                radius_m=min(arc.radius_m for arc in bend.arcs),
                room=room,
                studs=None if counted is None else counted[0],
                over=None if counted is None else counted[1],
            )
        )
        before = bend.end_m
    return tuple(found)


def _coil(number: str, coils: CoilPlan | None) -> CoilCut | None:
    for k, coil in enumerate(coils.coils if coils else (), 1):
        if number in coil.circuits:
            cut = coil.circuits.index(number)
            return CoilCut(
                coil=k,
                coil_m=coil.length_m,
                cut=cut + 1,
                cuts=len(coil.circuits),
                before_m=sum(coil.cuts_m[:cut]),
                cut_m=coil.cuts_m[cut],
            )
    return None
