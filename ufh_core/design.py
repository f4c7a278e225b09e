"""The design of a building: the rooms of this package called in turn.

Building → selection → heat demand → storey by storey (floors, pitches, circuits, outputs, flows) →
order list. Nothing is calculated here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from ufh_core import __version__
from ufh_core.basis.errors import ModelReadError, NoSolution, SettingsError
from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Building, Room
from ufh_core.circuits.manifold_names import next_number
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.earlier_storeys import EarlierStoreys
from ufh_core.floor import coil_plan, deliveries, take_off
from ufh_core.floor.types import CoilPlan
from ufh_core.heat_demand import HeatDemand, RoomCondition, heat_demand
from ufh_core.joints.order import joint_order
from ufh_core.joints.pours import pour_days
from ufh_core.settings import Settings, settings_digest
from ufh_core.settings.earlier_run import EarlierCircuit
from ufh_core.storeys.asked import Brief, storey_requests
from ufh_core.storeys.floor_parts import floor_parts, with_joints
from ufh_core.storeys.pour_plan import pour_plan
from ufh_core.storeys.storey import design_storey
from ufh_core.storeys.water import whole_water
from ufh_core.thermal_output.types import RoomRequest
from ufh_core.zones.floor_answers import floor_answers, with_floor_answers
from ufh_core.zones.given_places import given_places
from ufh_core.zones.kept_frame import in_kept_frame
from ufh_core.zones.kept_pipes import kept_names, kept_pipes
from ufh_core.zones.selection import Selection, indoor_temperature, override_findings, select_rooms
from ufh_core.zones.wishes import wishes_of

WIDEST_ROOM_M = 400.0


def design_building(
    building: Building,
    settings: Settings,
    progress: Callable[[str, float], None] = lambda what, share: None,
    storeys: Sequence[str] = (),
    earlier: Design | None = None,
    stay: Sequence[EarlierCircuit] = (),
) -> Design:
    """Design every storey of a building, or those named in `storeys`.

    `progress` is told what is being done and the share that is done, 0 to 1. Storeys of an `earlier` design that
    another place of a manifold elsewhere cannot have changed are taken from it as they are (`earlier_storeys.py`).
    Circuits that `stay` are kept as those of the settings' `circuits.keep` are.

    Raises: ModelReadError where there is no room to heat; SettingsError where a storey, or what the
    settings give as a manifold's place, is not there.
    """
    building = in_kept_frame(building, settings)
    selection = select_rooms(building, settings)
    areas = floor_answers(building, selection)
    building, floor_findings = with_floor_answers(building, selection)
    places = given_places(building, selection, settings)
    kept = kept_pipes(building, settings, stay)
    names = kept_names(kept)
    known = EarlierStoreys(earlier, building, settings, places, kept)
    chosen = _chosen(building, storeys)
    _something_to_heat(chosen, selection)
    demand = _demand(building, selection, settings)
    designs: list[StoreyDesign] = []
    findings: list[Finding] = [*building.findings, *override_findings(building, settings), *floor_findings]
    findings += demand.findings
    for k, storey in enumerate(chosen.storeys):
        wishes, wish_findings = wishes_of(storey, selection, places[storey.ifc_guid], kept[storey.ifc_guid])
        share = k / len(chosen.storeys)
        brief = Brief(
            storey=storey,
            selection=selection,
            demand=demand,
            settings=settings,
            first_manifold=next_number(1, [m.manifold.name for s in designs for m in s.manifolds], names),
            tell=partial(_tell, progress, share),
            wishes=replace(wishes, areas=areas, kept_names=names),
        )
        design = known.same(storey, designs) or design_storey(brief).design
        designs.append(design)
        findings += [*wish_findings, *design.findings]
    vessel, water_remarks = whole_water(designs, settings)
    coils, coil_remarks = _coils(designs, settings)
    parts, pours = floor_parts(building, designs), pour_plan(building, designs, settings)
    return Design(
        building=building,
        settings=settings,
        storeys=tuple(designs),
        findings=(*findings, *water_remarks, *coil_remarks),
        take_off=(
            *take_off(parts, _lengths(designs), settings, coils),
            *joint_order([s.joints for s in designs], settings),
        ),
        software_version=__version__,
        settings_digest=settings_digest(settings),
        vessel=vessel,
        coils=coils,
        pours=pours,
        pour_days=pour_days(pours, settings),
        deliveries=with_joints(deliveries(parts, settings), designs, settings),
    )


def room_requests(building: Building, settings: Settings, storeys: Sequence[str] = ()) -> list[RoomRequest]:
    """What is asked of the floor of every room to heat, of all storeys or those named; nothing is laid.

    Raises: as `design_building`.
    """
    selection = select_rooms(building, settings)
    building, _ = with_floor_answers(building, selection)
    chosen = _chosen(building, storeys)
    _something_to_heat(chosen, selection)
    demand = _demand(building, selection, settings)
    briefs = [
        Brief(
            storey=storey, selection=selection, demand=demand, settings=settings, first_manifold=1, tell=lambda _: None
        )
        for storey in chosen.storeys
    ]
    return [request for brief in briefs for request in storey_requests(brief)]


def building_demand(building: Building, settings: Settings) -> HeatDemand:
    """The heat demand of every room to heat; none where there is none."""
    return _demand(building, select_rooms(building, settings), settings)


def _tell(progress: Callable[[str, float], None], share: float, what: str) -> None:
    progress(what, share)


def _chosen(building: Building, names: Sequence[str]) -> Building:
    known = {s.name for s in building.storeys}
    for name in names:
        if name not in known:
            listed = ", ".join(f'"{n}"' for n in sorted(known))
            raise SettingsError(f'there is no storey "{name}" in the model; its storeys are {listed}')
    return replace(building, storeys=tuple(s for s in building.storeys if not names or s.name in names))


def _something_to_heat(building: Building, selection: dict[str, Selection]) -> None:
    rooms = [r for s in building.storeys for r in s.rooms]
    if not rooms:
        raise ModelReadError("the model holds no rooms and no closed walls: ask the architect for IfcSpaces")
    for room in rooms:
        left, low, right, high = room.outline.bounds or (0.0, 0.0, 0.0, 0.0)
        if selection[room.ifc_guid].heat and max(right - left, high - low) > WIDEST_ROOM_M:
            raise ModelReadError(
                f"room {room.label} ({room.ifc_guid}) is {max(right - left, high - low):.0f} m wide: "
                "the file's length unit cannot be right; ask the architect to export it again, or leave the room out"
            )
    if not any(selection[r.ifc_guid].heat for r in rooms):
        reasons = sorted({selection[r.ifc_guid].reason for r in rooms})
        raise ModelReadError(
            f"none of the {len(rooms)} rooms is to be heated ({'; '.join(reasons)}): name rooms to heat in the settings"
        )


def _demand(building: Building, selection: dict[str, Selection], settings: Settings) -> HeatDemand:
    rooms = [r for s in building.storeys for r in s.rooms]
    return heat_demand(building, {r.ifc_guid: _condition(r, selection, settings) for r in rooms}, settings)


def _condition(room: Room, selection: dict[str, Selection], settings: Settings) -> RoomCondition:
    chosen = selection[room.ifc_guid]
    return RoomCondition(
        indoor_c=indoor_temperature(room, chosen.kind, settings, chosen.override),
        heated=chosen.heat,
        stated_demand_w=chosen.override.demand_w if chosen.override else None,
        kind=chosen.kind,
    )


def _lengths(storeys: Sequence[StoreyDesign]) -> dict[str, float]:
    """Pipe of every circuit by its number [m]."""
    return {c.laid.number: c.laid.length_m for s in storeys for c in s.circuits}


def _coils(storeys: Sequence[StoreyDesign], settings: Settings) -> tuple[CoilPlan | None, tuple[Finding, ...]]:
    """What every circuit is cut from; None, and why, where no coil is long enough."""
    try:
        return coil_plan(_lengths(storeys), settings.pipe.coil_lengths_m, settings.pipe.spare), ()
    except NoSolution as error:
        return None, (
            Finding(code="floor.coil-too-short", severity=Severity.WARNING, message=error.message, source="EN 1264-4"),
        )
