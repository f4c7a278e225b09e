"""A design made by hand for the made-up house: one counterflow circuit in each of the two rooms."""

from __future__ import annotations

import math
from pathlib import Path

import made_up_house as house
import numpy as np
from shapely.geometry import LineString, Polygon, box

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.pipe_axis import PipeAxis, rounded
from ufh_core.building.types import Building, Passage, Room, RoomKind, Storey, Wall
from ufh_core.circuits.types import HeatedField, LaidCircuit, Manifold, Port
from ufh_core.design_result import (
    CircuitDesign,
    Design,
    ManifoldDesign,
    RoomDesign,
    RoomStatus,
    StoreyDesign,
    TakeOffLine,
)
from ufh_core.floor.types import BuildUp, Layer
from ufh_core.heat_demand.types import DemandBasis, DemandTerm, RoomDemand
from ufh_core.hydraulics.types import CircuitFlow, PressureEntry, PumpDuty
from ufh_core.settings.types import Settings
from ufh_core.thermal_output.types import RoomOutput

PITCH, RADIUS = 0.2, 0.08
LAYERS = (
    ("membrane", "polyethylene sheet", 0.001, 0.0),
    ("insulation", "expanded polystyrene", 0.0438, 1.25),
    ("foil", "polyethylene foil", 0.0002, 0.0),
    ("panel", "moulded polystyrene", 0.011, 0.314),
    ("screed", "cement screed", 0.061, 0.05),
    ("finish", "parquet", 0.015, 0.1),
)
THICKNESS = sum(layer[2] for layer in LAYERS)


def room_guid(name: str) -> str:
    """The architect's id of a room."""
    return house.guid_of(f"IfcSpace {name}")


STOREY_GUID = house.guid_of("IfcBuildingStorey storey")


def make_pair(place: house.Place, folder: Path) -> tuple[Path, Design]:
    """The architect's file in a folder, and a design for it."""
    path = folder / "architect.ifc"
    house.write_house(place, path)
    return path, made_up_design(place)


# --- building -----------------------------------------------------------------------------------


def placement(place: house.Place) -> tuple[tuple[float, ...], ...]:
    """The storey's world placement [m]."""
    c, s = math.cos(place.angle), math.sin(place.angle)
    x, y = place.origin
    return ((c, -s, 0, x), (s, c, 0, y), (0, 0, 1, place.storey_z), (0, 0, 0, 1))


def made_up_building(place: house.Place) -> Building:
    """The house as it is read; the local frame is the house's own, moved by a metre."""
    x, y = place.origin
    shift = np.array([[math.cos(place.angle), -math.sin(place.angle)], [math.sin(place.angle), math.cos(place.angle)]])
    corner = shift @ np.array([-1.0, -1.0])
    frame = LocalFrame(origin=(x + corner[0], y + corner[1], 0.0), rotation=place.angle)
    return Building(
        project_name="Made up",
        building_name="House",
        schema=place.schema[:6].rstrip("_"),
        length_unit_m=place.unit_m,
        frame=frame,
        north_rad=None,
        storeys=(_storey(place),),
        file_digest="0" * 64,
    )


def local(bounds: tuple[float, ...]) -> Polygon:
    """A box of the house in the local frame."""
    return box(*(c + 1.0 for c in bounds))


def _storey(place: house.Place) -> Storey:
    floor = place.storey_z
    rooms = tuple(
        Room(
            ifc_guid=room_guid(name),
            name=name,
            long_name=house.LONG_NAMES[name],
            kind=RoomKind.HALL if name == "hall" else RoomKind.LIVING,
            outline=local(bounds),
            floor_m=floor,
            height_m=house.HEIGHT,
        )
        for name, bounds in house.ROOMS.items()
    )
    walls = tuple(
        Wall(ifc_guid=house.guid_of(f"IfcWall {n}"), name=n, outline=local(b), bottom_m=floor, top_m=floor + 2.5)
        for n, b in house.BOXES.items()
    )
    passages = tuple(
        Passage(
            ifc_guid=house.guid_of(f"IfcDoor {n}"),
            kind="door",
            outline=local(house.DOORS[n]),
            direction=(1.0, 0.0),
            width_m=0.9,
            rooms=(room_guid(n), room_guid("hall")),
            bottom_m=floor,
            top_m=floor + 2.0,
        )
        for n in place.doors
    )
    return Storey(
        ifc_guid=STOREY_GUID,
        name="Ground",
        elevation_m=floor,
        placement=placement(place),
        rooms=rooms,
        walls=walls,
        passages=passages,
    )


# --- circuits -----------------------------------------------------------------------------------


def _spiral(lead: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """A spine that winds into a room of 4 x 3 m from its lower left; the pipe pair lies half a pitch to each side."""
    x0, x1, y0, y1 = 0.2, 3.8, 0.25, 2.65
    spine = [*lead, (x1, y0)]
    step = 2 * PITCH
    while x1 - x0 > step and y1 - y0 > 1e-9:
        spine += [(x1, y1), (x0, y1), (x0, y0 + step)]
        x0, x1, y0, y1 = x0 + step, x1 - step, y0 + step, y1 - step
        spine.append((x1, y0))
        if y1 - y0 < step:
            break
    return spine


def _pair_along(spine: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Out along one side of the spine and back along the other."""
    line = LineString(spine)
    sides = [line.offset_curve(side * PITCH / 2, join_style="mitre", mitre_limit=10) for side in (1, -1)]
    return [*sides[0].coords, *list(sides[1].coords)[::-1]]


def room_axis(name: str) -> PipeAxis:
    """The circuit of a room, in the local frame."""
    if name == "B":
        corners = [(x + 6.24, y) for x, y in _pair_along(_spiral([(-0.74, 2.94), (-0.74, 0.25)]))]
    else:
        corners = [(4.0 - x, y) for x, y in _pair_along(_spiral([(-0.7, 2.94), (-0.7, 0.25)]))]
    return rounded([(float(x) + 1.0, float(y) + 1.0) for x, y in corners], RADIUS)


def _laid(name: str, number: int, sleeves: int) -> LaidCircuit:
    label = f"M1.{number:02d}"
    field = HeatedField(room=room_guid(name), circuit=label, outline=local(house.ROOMS[name]))
    return LaidCircuit(
        number=label,
        manifold="M1",
        port=number,
        rooms=(room_guid(name),),
        axis=room_axis(name),
        pitch_m=PITCH,
        fields=(field,),
        tail_length_m=6.0,
        riser_length_m=1.1,
        sleeves=sleeves,
    )


def _circuit(name: str, number: int, sleeves: int) -> CircuitDesign:
    flow = CircuitFlow(
        mass_flow=0.025,
        volume_flow=2.52e-5,
        velocity=0.223,
        reynolds=4100.0,
        regime="turbulent",
        pipe_drop_pa=6000.0,
        bend_drop_pa=300.0,
        valve_drop_pa=800.0,
        pressure_drop_pa=7100.0,
        least_drop_pa=7100.0,
        greatest_drop_pa=7100.0,
        valve_kv=0.9,
        throttle_pa=250.0,
    )
    return CircuitDesign(
        laid=_laid(name, number, sleeves),
        flow=flow,
        output_w=620.0,
        downward_w=55.0,
        flow_c=35.0,
        return_c=29.0,
        valve_setting="1.5 l/min",
    )


def made_up_manifold(circuits: list[CircuitDesign]) -> ManifoldDesign:
    """The manifold on the hall's north wall."""
    ports = tuple(Port(number=c.laid.port, flow=c.laid.axis.start, return_=c.laid.axis.end) for c in circuits)
    manifold = Manifold(
        name="M1",
        storey=STOREY_GUID,
        room=room_guid("hall"),
        position=(6.12, 4.0),
        normal=(0.0, -1.0),
        width_m=1.6,
        depth_m=0.12,
        ports=ports,
        cabinet=local((4.3, 2.88, 6.1, 3.0)),
        service_space=local((4.3, 2.18, 6.1, 2.88)),
        station_side="right",
    )
    duty = PumpDuty(
        mass_flow=0.05,
        volume_flow=5.04e-5,
        pressure_pa=10_100.0,
        index_circuit="M1.01",
        water_content_m3=0.009,
        expansion_m3=0.0001,
        entries=(PressureEntry(name="entry", pressure_pa=3000.0),),
    )
    return ManifoldDesign(manifold=manifold, flow_c=35.0, return_c=29.0, pump=duty)


# --- rooms and the whole ------------------------------------------------------------------------


def build_up(room: Room) -> BuildUp:
    """The floor of a room, its finish level with the room's floor."""
    layers, low = [], room.floor_m - THICKNESS
    for role, material, thickness, r_value in LAYERS:
        layers.append(Layer(role=role, material=material, bottom_m=low, top_m=low + thickness, r_value=r_value))
        low += thickness
    return BuildUp(
        room=room.ifc_guid,
        layers=tuple(layers),
        pipe_axis_m=layers[4].bottom_m + 0.008,
        below="ground",
        r_below=1.56,
        available_m=None,
        missing_height_m=0.0,
        screed_volume_m3=0.67,
        edge_strip_m=float(room.outline.length),
        mass_kg_m2=128.0,
    )


def _room(room: Room) -> RoomDesign:
    if room.kind is RoomKind.HALL:
        return RoomDesign(room=room.ifc_guid, status=RoomStatus.NOT_HEATED, reason="left out by the settings")
    demand = RoomDemand(
        room=room.ifc_guid,
        indoor_c=20.0,
        demand_w=640.0,
        basis=DemandBasis.CALCULATED,
        terms=(DemandTerm(kind="wall", loss_w=640.0, area_m2=10.0, u_value=2.0, factor=1.0),),
    )
    output = RoomOutput(
        room=room.ifc_guid,
        pitch_m=PITCH,
        heated_area_m2=12.0,
        characteristic=4.5,
        heat_flux=51.7,
        limit_flux=90.0,
        overtemperature_k=11.5,
        output_w=620.0,
        shortfall_w=20.0,
        downward_flux=4.6,
        flow_c=35.0,
        return_c=29.0,
        spread_k=6.0,
        mass_flow=0.025,
        mean_surface_c=24.9,
        peak_surface_c=26.0,
    )
    return RoomDesign(
        room=room.ifc_guid,
        status=RoomStatus.SHORT,
        reason="20 W short",
        demand=demand,
        output=output,
        build_up=build_up(room),
        heated_area_m2=12.0,
    )


def made_up_design(place: house.Place) -> Design:
    """The design of the house; a room without a door is reached through its wall in sleeves."""
    building = made_up_building(place)
    circuits = [_circuit(n, k, 0 if n in place.doors else 2) for k, n in enumerate(("A", "B"), start=1)]
    storey = StoreyDesign(
        storey=STOREY_GUID,
        rooms=tuple(_room(room) for room in building.storeys[0].rooms),
        manifolds=(made_up_manifold(circuits),),
        circuits=tuple(circuits),
    )
    finding = Finding(
        code="made-up.short",
        severity=Severity.WARNING,
        message="Living is 20 W short",
        ifc_guids=(room_guid("A"),),
        at=(2.0, 2.0),
    )
    return Design(
        building=building,
        settings=Settings(),
        storeys=(storey,),
        findings=(finding,),
        take_off=(TakeOffLine(item="pipe 16 x 2", quantity=140.0, unit="m", note="3 % spare"),),
        software_version="0.1.0",
        settings_digest="f" * 64,
    )
