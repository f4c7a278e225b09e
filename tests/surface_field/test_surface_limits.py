"""Places over their limit are found, where they are, and not where there are none."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import box
from surface_field.floors import floor, pipe, row, section, straight

from ufh_core.surface_field import SurfaceField, limit_findings, surface_field
from ufh_core.surface_field.types import FloorPipe


def _field(pipes: list[FloorPipe], outline: object = None, **other: float) -> SurfaceField:
    whole = box(0, 0, 2.4, 2.0) if outline is None else outline
    found = surface_field([floor(whole, section(0.15, 0.0), **other)], pipes)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_floor_within_its_limit_has_no_finding() -> None:
    outline, pipes = row(0.15, 2.4, 2.0, flow_c=35.0)
    field = _field(pipes, outline)
    assert field.hot_places == ()
    assert limit_findings(field.hot_places, {}) == ()
    assert field.rooms[0].over_m2 == 0.0
    assert field.rooms[0].peak_c < field.rooms[0].limit_c


def test_floor_over_its_limit_has_a_finding() -> None:
    outline, pipes = row(0.15, 2.4, 2.0, flow_c=42.0)
    field = _field(pipes, outline)
    (finding,) = limit_findings(field.hot_places, {"room": "Living"})
    assert (finding.code, finding.severity, finding.ifc_guids) == ("surface.limit", "warning", ("room",))
    assert finding.message.startswith("Living: the surface reaches ")
    assert "over its limit of 29.0 °C" in finding.message
    assert field.rooms[0].over_m2 == pytest.approx(4.8, rel=0.01)


def test_each_hot_place_is_told_with_its_own_point() -> None:
    lanes = [pipe(straight((x, 0.0), (x, 2.0)), 0.05, 60.0, number=f"M1.{x}") for x in (0.3, 0.35, 2.0, 2.05)]
    field = _field(lanes)
    assert len(field.hot_places) == 2
    assert sorted(round(place.at[0], 1) for place in field.hot_places) == [0.3, 2.0]
    assert all(place.area_m2 < 1.0 for place in field.hot_places)


def test_edge_zone_has_its_own_limit_and_bathrooms_have_none() -> None:
    outline, pipes = row(0.15, 2.4, 2.0, flow_c=42.0)
    edge = box(-1, 0, 3, 2.0)
    zone = [pipe(p.axis, 0.15, 42.0, number=p.number, field=edge, edge=True) for p in pipes]
    assert _field(zone, outline).hot_places == ()
    bath = _field(zone, outline, edge_limit_k=9.0)
    assert len(bath.hot_places) == 1 and not bath.hot_places[0].edge


def test_field_says_where_it_is() -> None:
    field = _field([pipe(straight((0.3, 0.0), (0.3, 2.0)), flow_c=45.0)])
    (own,) = field.rooms
    assert math.isclose(own.peak_at[0], 0.3, abs_tol=0.02)
    assert own.coldest_at[0] > 2.3
    row_number = int((own.peak_at[1] - field.corner[1]) / field.cell_m)
    column = int((own.peak_at[0] - field.corner[0]) / field.cell_m)
    assert field.surface_c[row_number, column] == pytest.approx(own.peak_c, abs=1e-4)
    assert field.room_index[row_number, column] == 0
