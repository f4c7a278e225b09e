"""Who is booked with which heat: rooms, circuits, tails, and floor without pipe; and that nothing is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box
from surface_field.floors import SECTION, floor, pipe, section, straight

from ufh_core.basis.pipe_axis import PipeAxis, rounded
from ufh_core.circuits.types import HeatedField
from ufh_core.surface_field import FloorPipe, RoomFloor, SurfaceField, floor_heat, floor_model, surface_field

WHOLE, HALF = box(0, 0, 4, 3), box(0, 0, 4, 1.5)
SNAKE = rounded([(0.1, 0.1), (3.9, 0.1), (3.9, 0.3), (0.3, 0.3), (0.3, 0.5), (3.9, 0.5), (3.9, 1.4), (0.3, 1.4)], 0.08)


def a_pipe(axis: PipeAxis, number: str, outline: object = None, room: str = "room", **more: float) -> FloorPipe:
    """A circuit with one field, or with none: a tail all along."""
    own = () if outline is None else ((HeatedField(room=room, circuit=number, outline=outline), 0.15),)  # type: ignore[arg-type]
    return replace(pipe(axis, number=number, **more), fields=own)


def solved(floors: list[RoomFloor], pipes: list[FloorPipe]) -> SurfaceField:
    field = surface_field(floors, pipes)
    assert field is not None
    return field


def test_rooms_and_circuits_add_up_to_the_same_heat() -> None:
    """Heat up into rooms is that of the circuits less what bare floor takes; all of it comes from the water."""
    floors = [
        floor(WHOLE, below_c=8.0),
        floor(box(4.1, 0, 7, 3), section(0.2, 0.02), room="s", indoor_c=24.0, below_c=2.0),
    ]
    pipes = [
        a_pipe(SNAKE, "M1.01", HALF, mass_flow=0.012, flow_c=38.0),
        a_pipe(straight((0.2, 2.5), (6.8, 2.5)), "M1.02", box(4.1, 2.0, 7, 3), room="s", mass_flow=0.004),
    ]
    field = solved(floors, pipes)
    up = sum(p.upward_w for p in field.pipes)
    bare = sum(h.bare_loss_w for h in field.heats)
    assert sum(h.upward_w for h in field.heats) == pytest.approx(up - bare, rel=1e-6)
    assert sum(h.upward_w + h.downward_w for h in field.heats) == pytest.approx(
        sum(p.heat_w for p in field.pipes), rel=1e-6
    )
    assert bare > 10
    for water, given in zip(field.pipes, pipes, strict=True):
        assert water.heat_w == pytest.approx(given.mass_flow * 4190 * (given.flow_c - water.return_c), rel=1e-9)


def test_bare_floor_takes_what_a_slab_loses() -> None:
    """By hand: U = 1 / (R_o + R_u) times 12 K times the area without field, R_o = 1/10.8 + R_λB + s_u/λ_E."""
    field = solved([floor(WHOLE, below_c=8.0)], [a_pipe(SNAKE, "M1.01", HALF, mass_flow=0.012)])
    (heat,) = field.heats
    above = 1 / 10.8 + SECTION.finish_r + SECTION.cover_m / SECTION.screed_conductivity
    assert heat.bare_loss_w == pytest.approx(12.0 / (above + SECTION.r_below) * (12.0 - 6.0), rel=0.01)
    assert heat.fields_w == pytest.approx(heat.upward_w + heat.bare_loss_w, rel=1e-9)
    assert heat.tails_w == 0.0


def test_tails_are_told_apart_for_room_and_water() -> None:
    """The same pipe once as a tail and once in a field: all of its heat is the tail's, or none of it."""
    axis, room = straight((0.5, 1.5), (3.5, 1.5)), [floor(WHOLE, below_c=20.0)]
    tail = solved(room, [a_pipe(axis, "M1.01", mass_flow=0.01)])
    laid = solved(room, [a_pipe(axis, "M1.01", WHOLE, mass_flow=0.01)])
    assert tail.pipes[0].tail_w == pytest.approx(tail.pipes[0].heat_w)
    assert tail.heats[0].tails_w == pytest.approx(tail.heats[0].upward_w, rel=1e-6)
    assert tail.heats[0].fields_w == pytest.approx(0.0, abs=1e-4)
    assert laid.pipes[0].tail_w == 0.0 == laid.heats[0].tails_w
    assert laid.heats[0].fields_w == pytest.approx(laid.heats[0].upward_w)


def test_a_trickle_beside_a_full_circuit_leaves_it_as_it_is() -> None:
    """Water of one pipe must not feel the numbers of another: a hundred transfer units beside a tenth."""
    full = a_pipe(SNAKE, "M1.01", HALF, mass_flow=0.03)
    far = floor(box(10, 0, 14, 3), room="far")
    other = straight((10.1, 1.0), (13.9, 1.0))
    alone = solved([floor(WHOLE), far], [full])
    for flow in (1e-5, 1e-4, 0.01):
        pair = solved([floor(WHOLE), far], [a_pipe(other, "M1.00", mass_flow=flow), full])
        assert pair.pipes[1].return_c == pytest.approx(alone.pipes[0].return_c, abs=1e-6)
        assert 19.999 < pair.pipes[0].return_c < 40.0


def test_a_model_is_solved_for_any_water() -> None:
    floors, pipes = [floor(WHOLE, below_c=8.0)], [a_pipe(SNAKE, "M1.01", HALF, mass_flow=0.012)]
    model = floor_model(floors, pipes)
    for flow in (0.012, 0.02):
        there = [replace(pipes[0], mass_flow=flow)]
        field = solved(floors, there)
        assert floor_heat(model, there) == (field.heats, field.pipes)


def test_a_fluid_that_carries_less_comes_back_cooler() -> None:
    floors, water = [floor(WHOLE)], a_pipe(SNAKE, "M1.01", HALF, mass_flow=0.012)
    thin = solved(floors, [replace(water, heat_capacity=3600.0)]).pipes[0]
    assert thin.return_c < solved(floors, [water]).pipes[0].return_c - 0.3
    assert thin.heat_w == pytest.approx(0.012 * 3600.0 * (40.0 - thin.return_c), rel=1e-9)
