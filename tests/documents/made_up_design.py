"""A small made-up storey, designed by hand, for the tests of the documents."""

from __future__ import annotations

import dataclasses

import numpy as np
from shapely.geometry import Polygon, box

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.pipe_axis import Point, rounded
from ufh_core.building.types import (
    Building,
    Column,
    Obstacle,
    Opening,
    Room,
    RoomKind,
    Storey,
    Wall,
)
from ufh_core.circuits.types import HeatedField, LaidCircuit, Manifold, Port
from ufh_core.design_result import CircuitDesign, Design, ManifoldDesign, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.heat_demand.types import DemandBasis, RoomDemand
from ufh_core.hydraulics.types import CircuitFlow, PressureEntry, PumpDuty
from ufh_core.settings.types import Settings
from ufh_core.thermal_output.types import RoomOutput

LIVING = Polygon([(5.2, 0), (10.5, 0), (10.5, 8), (3.2, 8), (3.2, 4.1), (5.2, 4.1)])
HALL, BATH = box(3.2, 0, 5.1, 4.0), box(0, 0, 3.1, 2.9)
BEDROOM, STORE = box(0, 4.1, 3.1, 8), box(0, 3.0, 3.1, 4.0)
IDENTITY = tuple(tuple(float(r == c) for c in range(4)) for r in range(4))


def counterflow(
    origin: Point, across: Point, ahead: Point, width: float, depth: float, pitch: float
) -> tuple[list[Point], Polygon]:
    """Corners of a double spiral that enters at `origin` going `ahead`, return beside it, and its field."""

    def inward(shift: float) -> list[Point]:
        rows: list[Point] = [(shift, 0.0)]
        k = 0
        while True:
            inset = 2 * k * pitch + shift
            left, right, low, high = inset, width - inset, inset, depth - inset
            if right - left < 2 * pitch or high - low < 2 * pitch:
                return rows
            rows += [(left, high), (right, high), (right, low), (left + 2 * pitch, low)]
            k += 1

    flow, back = inward(0.0), inward(pitch)
    if len(back) == len(flow) and len(flow) > 1:
        back = back[:-1]
    canonical = flow + back[::-1]
    matrix = np.array([across, ahead])
    place = lambda rows: [tuple(map(float, np.array(r) @ matrix + np.array(origin))) for r in rows]  # noqa: E731
    half = pitch / 2
    rim = [(-half, -half), (width + half, -half), (width + half, depth + half), (-half, depth + half)]
    return place(canonical), Polygon(place(rim))


def _laid(
    number: int, room: str, tails: tuple[list[Point], list[Point]], spiral: tuple, pitch: float, outline: Polygon
):
    corners, rim = spiral
    axis = rounded([*tails[0], *corners, *tails[1][::-1]], 0.075)
    name = f"M1.{number:02d}"
    field = rim.intersection(outline)
    return LaidCircuit(
        number=name, manifold="M1", port=number, rooms=(room,), axis=axis, pitch_m=pitch,
        fields=(HeatedField(room=room, circuit=name, outline=field),), tail_length_m=6.0, riser_length_m=1.0,
    )  # fmt: skip


def circuits() -> tuple[LaidCircuit, ...]:
    return (
        _laid(1, "bath", ([(3.75, 3.9), (3.75, 0.7)], [(3.70, 3.9), (3.70, 0.85)]),
              counterflow((3.0, 0.8 - 0.1), (0, 1), (-1, 0), 2.1, 2.9, 0.15), 0.15, BATH),
        _laid(2, "hall", ([(3.9, 3.9)], [(3.95, 3.9), (3.95, 3.4), (4.05, 3.4)]),
              counterflow((3.9, 1.3), (1, 0), (0, -1), 1.1, 1.2, 0.15), 0.15, HALL),
        _laid(3, "living", ([(4.25, 3.9), (4.25, 1.6)], [(4.20, 3.9), (4.20, 1.45)]),
              counterflow((5.3, 1.6), (0, -1), (1, 0), 1.5, 5.1, 0.15), 0.15, LIVING),
        _laid(4, "living", ([(4.40, 3.9), (4.40, 1.75)], [(4.45, 3.9), (4.45, 1.9)]),
              counterflow((5.7, 1.75), (0, 1), (1, 0), 2.25, 4.7, 0.15), 0.15, LIVING),
        _laid(5, "living", ([(4.65, 3.9), (4.65, 2.2), (5.3, 2.2)], [(4.60, 3.9), (4.60, 2.05), (5.5, 2.05)]),
              counterflow((5.3, 4.2), (1, 0), (0, 1), 5.1, 3.7, 0.2), 0.2, LIVING),
    )  # fmt: skip


def manifold() -> Manifold:
    starts = [(c.axis.start, c.axis.end, c.port) for c in circuits()]
    return Manifold(
        name="M1", storey="storey", room="hall", position=(4.05, 4.0), normal=(0, -1), width_m=1.6, depth_m=0.12,
        ports=tuple(Port(number=n, flow=a, return_=b) for a, b, n in starts),
        cabinet=box(3.25, 3.88, 4.85, 4.0), service_space=box(3.25, 3.18, 4.85, 3.88), station_side="left",
    )  # fmt: skip


def _room(guid: str, name: str, kind: RoomKind, outline: Polygon) -> Room:
    return Room(ifc_guid=guid, name=name, long_name=guid.title(), kind=kind, outline=outline, floor_m=0.0, height_m=2.5)


def _walls() -> tuple[Wall, ...]:
    boxes = [
        box(-0.3, -0.3, 10.8, 0), box(-0.3, 8, 10.8, 8.3), box(-0.3, 0, 0, 8), box(10.5, 0, 10.8, 8),
        box(3.1, 0, 3.2, 8), box(5.1, 0, 5.2, 4.1), box(0, 2.9, 3.1, 3.0), box(0, 4.0, 5.2, 4.1),
    ]  # fmt: skip
    return tuple(Wall(ifc_guid=f"wall{k}", name="", outline=b, bottom_m=0, top_m=2.5) for k, b in enumerate(boxes))


def _openings() -> tuple[Opening, ...]:
    rows = [
        ("door", box(3.1, 0.4, 3.2, 1.2), 0.8), ("door", box(5.1, 1.4, 5.2, 2.3), 0.9),
        ("door", box(3.8, -0.3, 4.8, 0), 1.0), ("door", box(3.1, 3.1, 3.2, 3.9), 0.8),
        ("window", box(10.5, 1, 10.8, 3), 2.0), ("window", box(10.5, 5, 10.8, 7), 2.0),
        ("window", box(0.6, 8, 2.2, 8.3), 1.6), ("window", box(-0.3, 1.2, 0, 1.8), 0.6),
    ]  # fmt: skip
    return tuple(
        Opening(ifc_guid=f"opening{k}", name="", kind=kind, outline=b, bottom_m=0, top_m=2, width_m=w)
        for k, (kind, b, w) in enumerate(rows)
    )


def _obstacles() -> tuple[Obstacle, ...]:
    rows = [
        ("sanitary", box(0.05, 0.0, 1.75, 0.7), False), ("furniture", box(3.2, 7.4, 5.2, 8.0), False),
        ("furniture", box(3.2, 5.0, 3.8, 7.4), False), ("furniture", box(7.0, 5.2, 8.6, 6.1), True),
    ]  # fmt: skip
    return tuple(
        Obstacle(ifc_guid=f"obstacle{k}", name="", kind=kind, outline=b, bottom_m=0, top_m=1, movable=m)
        for k, (kind, b, m) in enumerate(rows)
    )


def building(**changes: object) -> Building:
    storey = Storey(
        ifc_guid="storey", name="Ground floor", elevation_m=0.0, placement=IDENTITY,
        rooms=(
            _room("living", "1", RoomKind.LIVING, LIVING), _room("hall", "2", RoomKind.HALL, HALL),
            _room("bath", "3", RoomKind.BATH, BATH), _room("bedroom", "4", RoomKind.BEDROOM, BEDROOM),
            _room("store", "5", RoomKind.STORE, STORE),
        ),
        walls=_walls(), openings=_openings(), obstacles=_obstacles(),
        columns=(Column(ifc_guid="column", name="", outline=box(5.2, 3.9, 5.4, 4.1), bottom_m=0, top_m=2.5),),
    )  # fmt: skip
    values: dict = {
        "project_name": "Made-up house", "building_name": "House by the pond", "schema": "IFC4", "length_unit_m": 1.0,
        "frame": LocalFrame(), "north_rad": 0.5, "storeys": (storey,), "file_digest": "0123456789abcdef",
    }  # fmt: skip
    return Building(**{**values, **changes})


def _room_design(guid: str, kind_c: float, demand: float, gets: float, status: RoomStatus, area: float) -> RoomDesign:
    output = RoomOutput(
        room=guid, pitch_m=0.15, heated_area_m2=area, characteristic=5.0, heat_flux=gets / area, limit_flux=99.0,
        overtemperature_k=15.0, output_w=gets, shortfall_w=max(0.0, demand - gets), downward_flux=7.0, flow_c=38.0,
        return_c=32.0, spread_k=6.0, mass_flow=0.05, mean_surface_c=26.0, peak_surface_c=27.0,
        limited_by="surface" if status is RoomStatus.SHORT else "", advice="",
    )  # fmt: skip
    return RoomDesign(
        room=guid, status=status, output=output, heated_area_m2=area,
        demand=RoomDemand(room=guid, indoor_c=kind_c, demand_w=demand, basis=DemandBasis.CALCULATED),
    )  # fmt: skip


def _flow() -> CircuitFlow:
    return CircuitFlow(
        mass_flow=0.025, volume_flow=2.5e-5, velocity=0.2, reynolds=3000, regime="transition", pipe_drop_pa=9000,
        bend_drop_pa=100, valve_drop_pa=900, pressure_drop_pa=10000,
        least_drop_pa=6000, greatest_drop_pa=11000, valve_kv=1.0, throttle_pa=0,
    )  # fmt: skip


def design(**changes: object) -> Design:
    laid = tuple(
        CircuitDesign(
            laid=c, flow=_flow(), output_w=600, downward_w=80, flow_c=38, return_c=33, valve_setting="1.5 l/min"
        )
        for c in circuits()
    )
    pump = PumpDuty(
        mass_flow=0.12, volume_flow=1.2e-4, pressure_pa=14000, index_circuit="M1.05", water_content_m3=0.04,
        expansion_m3=0.0005, entries=(PressureEntry(name="entry", pressure_pa=3000),),
    )  # fmt: skip
    storey = StoreyDesign(
        storey="storey",
        rooms=(
            _room_design("living", 20, 2100, 2150, RoomStatus.HEATED, 36.0),
            _room_design("hall", 20, 180, 200, RoomStatus.HEATED, 1.7),
            _room_design("bath", 24, 640, 520, RoomStatus.SHORT, 6.4),
            RoomDesign(room="bedroom", status=RoomStatus.FAILED, reason="no door or opening leads to it"),
            RoomDesign(room="store", status=RoomStatus.NOT_HEATED, reason="store: left out by rooms.not_heated_kinds"),
        ),
        manifolds=(ManifoldDesign(manifold=manifold(), flow_c=38.0, return_c=33.0, pump=pump),),
        circuits=laid,
    )
    findings = (
        Finding(code="circuits.room-not-reached", severity=Severity.ERROR, ifc_guids=("bedroom",),
                message="4 Bedroom: no door or opening leads to it; add the door to the model or allow wall sleeves"),
        Finding(code="building.no-u-value", severity=Severity.NOTE, message="walls have no U-value; 0.28 assumed"),
    )  # fmt: skip
    values: dict = {
        "building": building(), "settings": Settings(), "storeys": (storey,), "findings": findings, "take_off": (),
        "software_version": "0.1.0", "settings_digest": "fedcba9876543210",
    }  # fmt: skip
    return Design(**{**values, **changes})


def with_names(storey_name: str, room_name: str, project: str = "Made-up house") -> Design:
    """The design with a storey name and the hall's name changed."""
    plain = design()
    storey = plain.building.storeys[0]
    rooms = tuple(dataclasses.replace(r, long_name=room_name) if r.ifc_guid == "hall" else r for r in storey.rooms)
    changed = dataclasses.replace(storey, name=storey_name, rooms=rooms)
    return dataclasses.replace(plain, building=building(storeys=(changed,), project_name=project))
