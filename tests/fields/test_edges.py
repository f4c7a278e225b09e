"""Edge zones inside one field: closer runs along the outer wall, flow first, and nothing told that is not laid."""

from __future__ import annotations

from dataclasses import replace

import field_checks
import field_rooms
import numpy as np
import pytest
import shapely
from shapely.geometry import LineString
from test_lay import OTHERS, RECTANGLES
from test_meander import SIDES, from_flow, walls_to

from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import NO_AREA, FieldRequest, FieldResult, Pattern

ROOM, EDGE = 0.3, 0.15


def with_zone(asked: FieldRequest, *sides: tuple[int, int], pitch: float = EDGE) -> FieldRequest:
    walls = tuple(w for side in sides for w in walls_to(asked.floor, side))
    strips = [w.buffer(1.0, cap_style="flat", single_sided=True) for w in walls]
    floor = asked.floor.intersection(shapely.union_all(strips))
    return replace(asked, cold_walls=walls, edge_floor=floor, edge_depth_m=1.0, edge_pitch_m=pitch)


def laid(asked: FieldRequest) -> FieldResult:
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    plain = replace(asked, edge_floor=NO_AREA, separation_share=0.5)  # half the pitch is kept everywhere
    assert field_checks.faults(plain, result) == []
    return result


def runs_crossed(result: FieldResult, line: LineString) -> np.ndarray:
    """Distances between neighbouring runs where a straight line crosses them [m]."""
    met = LineString(result.corners).intersection(line)
    return np.diff(np.sort([line.project(p) for p in shapely.get_parts(met) if p.geom_type == "Point"]))


def living_room(side: tuple[int, int], pitch: float = EDGE) -> FieldRequest:
    return with_zone(field_rooms.request(*RECTANGLES["living room"], ROOM), side, pitch=pitch)


def test_runs_lie_closer_in_the_zone_than_in_the_room() -> None:
    """Measured square to the far wall of a room of 4 x 5 m, through its middle."""
    result = laid(living_room((0, 1)))
    zone = runs_crossed(result, LineString([(2.33, 4.05), (2.33, 5.0)]))
    inner = runs_crossed(result, LineString([(1.87, 0.4), (1.87, 3.6)]))
    assert len(zone) >= 4
    assert zone.max() == pytest.approx(EDGE, abs=1e-6)
    assert np.median(inner) >= 0.25


@pytest.mark.parametrize("side", SIDES.values(), ids=SIDES)
def test_the_zone_told_has_the_pipe_that_its_pitch_asks(side: tuple[int, int]) -> None:
    asked = living_room(side)
    result = laid(asked)
    zone = result.edge_floor
    assert zone.area >= 0.6 * asked.edge_floor.area
    assert zone.difference(asked.edge_floor.buffer(1e-6)).area < 1e-6
    length = LineString(result.corners).intersection(zone).length
    assert length * EDGE / zone.area == pytest.approx(1, abs=0.12)
    assert result.heated.area >= 0.97 * asked.floor.area


@pytest.mark.parametrize("side", [(0, 1), (1, 0)])
def test_the_flow_comes_to_the_zone_first(side: tuple[int, int]) -> None:
    asked = living_room(side)
    result = laid(asked)
    places = from_flow(asked, result)
    inside = shapely.contains_xy(result.edge_floor, places)
    share = np.linspace(0, 1, len(places))
    assert share[inside].mean() < share[~inside].mean()


@pytest.mark.parametrize("room", ["L", "U", "bay", "oblique", "T"])
def test_awkward_rooms_with_a_zone_keep_the_rules_and_are_warm(room: str) -> None:
    asked = with_zone(field_rooms.request(*OTHERS[room], 0.25), (0, 1))
    assert laid(replace(asked, thorough=False)).heated.area >= 0.95 * asked.floor.area


def test_zones_on_two_sides() -> None:
    asked = with_zone(field_rooms.request(*RECTANGLES["living room"], ROOM), (0, 1), (-1, 0))
    result = laid(asked)
    assert result.edge_floor.area >= 0.5 * asked.edge_floor.area
    share = LineString(result.corners).intersection(result.edge_floor).length * EDGE / result.edge_floor.area
    assert share == pytest.approx(1, abs=0.15)


def test_a_meander_has_its_zone_too() -> None:
    asked = replace(living_room((0, 1)), pattern=Pattern.FACADE_MEANDER)
    assert laid(asked).edge_floor.area >= 0.8 * asked.edge_floor.area


def test_without_a_zone_nothing_changes() -> None:
    asked = living_room((0, 1))
    plain = field_rooms.request(*RECTANGLES["living room"], ROOM)
    assert lay_field(replace(asked, edge_floor=NO_AREA, cold_walls=())) == lay_field(plain)
    assert lay_field(plain).edge_floor.is_empty
