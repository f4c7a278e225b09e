"""Any schema, unit, rotation and place gives the same building in the local frame."""

import math

import numpy as np
import pytest
import shapely
from building_sketch import two_rooms
from hypothesis import given
from hypothesis import strategies as st

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.plan_frame import main_direction
from ufh_core.building.read import read_building
from ufh_core.settings.types import Settings


def read(sketch, folder):
    return read_building(sketch.save(folder), Settings())


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3"])
@pytest.mark.parametrize("unit", ["m", "cm", "mm", "ft"])
def test_schemas_and_units(tmp_path, schema, unit):
    building = read(two_rooms(schema=schema, unit=unit)[0], tmp_path)
    storey = building.storeys[0]
    assert building.schema == schema
    assert building.length_unit_m == pytest.approx({"m": 1, "cm": 0.01, "mm": 0.001, "ft": 0.3048}[unit])
    assert [r.outline.area for r in storey.rooms] == pytest.approx([16.0, 16.0], abs=1e-6)
    assert [r.height_m for r in storey.rooms] == pytest.approx([2.5, 2.5])
    assert [r.slab_top_m for r in storey.rooms] == pytest.approx([-0.15, -0.15])
    assert len(storey.walls) == 5
    assert storey.passages[0].width_m == pytest.approx(0.9)


@pytest.mark.parametrize("degrees", [-142.0, 60.0, -2.4, 90.0, 45.0])
def test_turned_and_far_away(tmp_path, degrees):
    place = (1_534_000.25, -720_000.75, 12.0)
    sketch, _ = two_rooms(turn=math.radians(degrees), place=place, unit="mm")
    building = read(sketch, tmp_path)
    room = building.storeys[0].rooms[0]
    assert room.outline.area == pytest.approx(16.0, abs=1e-4)
    assert room.outline.area == pytest.approx(room.outline.envelope.area, abs=1e-3)  # along the axes
    assert np.abs(room.outline.bounds).max() < 30
    assert room.floor_m == pytest.approx(12.0)
    middle = building.frame.to_world(shapely.get_coordinates(room.outline.centroid))[0]
    turn = LocalFrame(origin=place, rotation=math.radians(degrees))
    assert middle == pytest.approx(turn.to_world(np.array([[2.0, 2.0]]))[0], abs=1e-3)
    assert all(float(v).is_integer() for v in building.frame.origin)
    assert any(f.code == "building.far-from-origin" for f in building.findings)


def test_true_north_is_told_in_the_local_frame(tmp_path):
    turn = math.radians(30)
    north = (math.sin(-0.3), math.cos(-0.3))  # 0.3 rad anticlockwise of world y
    building = read(two_rooms(turn=turn, north=north)[0], tmp_path)
    assert building.frame.rotation == pytest.approx(turn)
    assert building.north_rad == pytest.approx(0.3 - turn)
    assert read(two_rooms()[0], tmp_path).north_rad is None


@given(st.floats(-math.pi, math.pi), st.integers(3, 30))
def test_main_direction_is_that_of_the_majority(angle, count):
    rng = np.random.default_rng(count)
    main = angle + rng.integers(0, 4, 2 * count) * math.pi / 2
    others = rng.uniform(-math.pi, math.pi, count)
    found = main_direction(np.concatenate([main, others]), np.ones(3 * count))
    off = (found - angle + math.pi / 4) % (math.pi / 2) - math.pi / 4
    assert abs(off) < math.radians(0.35)
    assert -math.pi / 4 - 1e-9 < found <= math.pi / 4 + 1e-6


def test_main_direction_of_nothing():
    assert main_direction(np.zeros(0), np.zeros(0)) == 0.0
