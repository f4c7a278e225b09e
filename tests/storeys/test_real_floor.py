"""Flows for the floor as laid: rooms get their demand there, and water, rooms and circuits agree."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import plan_sketch
import pytest
from building_sketch import two_rooms
from shapely.geometry import box

from ufh_core.basis.errors import NoSolution
from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.design_result import Design, RoomStatus
from ufh_core.settings.types import Settings
from ufh_core.storeys import floor_surface, real_floor
from ufh_core.thermal_output.types import LaidField, RoomRequest

SETTINGS = Settings()


def designed(folder: Path, **output: float) -> Design:
    """Two rooms of 16 m² on ground, with outer walls all round."""
    sketch, _ = two_rooms()
    settings = replace(SETTINGS, output=replace(SETTINGS.output, **output))
    return design_building(read_building(sketch.save(folder), settings), settings)


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Design:
    return designed(tmp_path_factory.mktemp("two"))


def test_rooms_get_their_demand_from_the_floor_as_laid(design: Design) -> None:
    (storey,) = design.storeys
    assert storey.surface is not None
    heats = {heat.room: heat for heat in storey.surface.heats}
    for room in storey.rooms:
        assert room.status is RoomStatus.HEATED and room.demand is not None and room.output is not None
        assert heats[room.room].upward_w == pytest.approx(room.demand.demand_w, rel=0.004)
        assert room.heat_w == pytest.approx(heats[room.room].upward_w, rel=1e-9)


def test_the_governing_room_has_its_spread_and_no_circuit_more_than_allowed(design: Design) -> None:
    """EN 1264-3: 5 K at most in the room that sets the flow temperature; tails and rims in the real water."""
    (storey,) = design.storeys
    spreads = [circuit.flow_c - circuit.return_c for circuit in storey.circuits]
    assert min(spreads) == pytest.approx(SETTINGS.output.spread_k, abs=0.5)
    assert max(spreads) <= SETTINGS.output.greatest_spread_k


def test_water_gives_what_rooms_and_ground_take(design: Design) -> None:
    (storey,) = design.storeys
    for circuit in storey.circuits:
        water_w = circuit.flow.mass_flow * 4190 * (circuit.flow_c - circuit.return_c)
        assert circuit.output_w + circuit.downward_w == pytest.approx(water_w, rel=1e-9)
    up = sum(circuit.output_w for circuit in storey.circuits)
    assert sum(r.heat_w + r.bare_loss_w for r in storey.rooms) == pytest.approx(up, rel=1e-6)
    assert all(room.bare_loss_w > 0 for room in storey.rooms)


def test_a_room_that_the_water_cannot_carry_is_short_by_what_the_field_lacks(tmp_path: Path) -> None:
    (storey,) = designed(tmp_path, flow_c=28.0).storeys
    for room in storey.rooms:
        assert room.status is RoomStatus.SHORT and room.demand is not None and room.output is not None
        assert room.output.shortfall_w == pytest.approx(room.demand.demand_w - room.heat_w, abs=0.1)
        assert room.output.limited_by == "flow temperature"


def test_without_an_answer_of_the_field_the_standard_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object, **__: object) -> None:
        raise NoSolution("no field today")

    monkeypatch.setattr(real_floor, "floor_heat", none)
    monkeypatch.setattr(floor_surface, "surface_field", none)
    found = designed(tmp_path)
    (storey,) = found.storeys
    assert storey.surface is None
    assert [f.code for f in found.findings if f.code.startswith("surface.")] == ["surface.none"]
    for room in storey.rooms:
        assert room.demand is not None and room.output is not None
        assert room.bare_loss_w == 0.0
        assert room.output.output_w + room.tail_output_w == pytest.approx(room.demand.demand_w, rel=0.01)


def test_guests_on_a_neighbour_s_circuit_do_not_set_the_flow_temperature() -> None:
    def asked(room: str) -> RoomRequest:
        return RoomRequest(
            room=room, kind="living", indoor_c=20.0, demand_w=500.0, heatable_area_m2=10.0, finish_r=0.1, r_below=1.4,
            below_c=10.0,
        )  # fmt: skip

    def laid(circuit: str, room: str) -> LaidField:
        return LaidField(circuit=circuit, room=room, area_m2=5.0, pitch_m=0.15)

    rooms = [asked("host"), asked("guest"), asked("both")]
    fields = [laid("1", "host"), laid("1", "guest"), laid("2", "both"), laid("1", "both")]
    assert [r.room for r in real_floor._hosts(rooms, fields)] == ["host", "both"]
    assert real_floor._hosts(rooms[1:2], fields[1:2]) == rooms[1:2]
    assert real_floor._hosts(rooms[1:2], fields[:2]) == rooms[1:2]


def test_a_stair_and_an_opening_are_no_floor() -> None:
    """By hand: 5 x 4 m less a stair of 1 x 3 m; a unit stays floor; a stair from the storey above is not here."""
    room = plan_sketch.room("r", box(0, 0, 5, 4))
    stair = plan_sketch.unit_in(box(0, 0, 1, 3), kind="stair", top_m=2.7)
    above = plan_sketch.unit_in(box(3, 0, 5, 3), kind="stair", bottom_m=2.7, top_m=5.4)
    unit = plan_sketch.unit_in(box(3, 3, 5, 4))
    assert floor_surface._walked_on(room, [stair, above, unit]).area == pytest.approx(17.0)
    assert floor_surface._walked_on(room, [unit]) == room.outline
    everywhere = plan_sketch.unit_in(box(-1, -1, 6, 6), kind="void")
    assert floor_surface._walked_on(room, [everywhere]) == room.outline
