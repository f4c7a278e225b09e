"""A building in another plan frame is the same building in the world."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from revision_models import Changes, dwelling

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.read import read_building
from ufh_core.building.reframing import in_frame, lifted
from ufh_core.building.types import Building
from ufh_core.settings import Settings
from ufh_core.settings.steering import KeptCircuits
from ufh_core.settings.types import CircuitSettings
from ufh_core.zones.kept_frame import in_kept_frame

FRAME = LocalFrame(origin=(12.0, -3.5, 0.0), rotation=0.7)


@pytest.fixture(scope="module")
def building(tmp_path_factory: pytest.TempPathFactory) -> Building:
    model = dwelling(tmp_path_factory.mktemp("frames"), "house", Changes(turn=0.2, place=(30.0, 5.0, 1.0)))
    return read_building(model, Settings())


def in_world(building: Building, shape: shapely.Geometry) -> np.ndarray:
    return building.frame.to_world(shapely.get_coordinates(shape))


def test_every_shape_stays_where_it_is_in_the_world(building: Building) -> None:
    other = in_frame(building, FRAME)
    (before,), (after,) = building.storeys, other.storeys
    groups = ("rooms", "walls", "openings", "passages", "slabs")
    for group in groups:
        assert getattr(before, group)
        for one, same in zip(getattr(before, group), getattr(after, group), strict=True):
            assert np.abs(in_world(building, one.outline) - in_world(other, same.outline)).max() < 1e-9
    assert in_frame(building, building.frame) is building


def test_directions_and_north_turn_with_the_frame(building: Building) -> None:
    other = in_frame(building, FRAME)
    for one, same in zip(building.storeys[0].passages, other.storeys[0].passages, strict=True):
        way = math.atan2(*one.direction[::-1]) + building.frame.rotation
        assert math.cos(way - math.atan2(*same.direction[::-1]) - FRAME.rotation) == pytest.approx(1.0)


def test_lifting_moves_heights_alone(building: Building) -> None:
    (before,), (after,) = building.storeys, lifted(building, 0.5).storeys
    assert after.elevation_m == before.elevation_m + 0.5
    assert [r.floor_m - 0.5 for r in after.rooms] == pytest.approx([r.floor_m for r in before.rooms])
    assert [w.top_m - 0.5 for w in after.walls] == pytest.approx([w.top_m for w in before.walls])
    assert after.rooms[0].outline == before.rooms[0].outline


@pytest.mark.parametrize(
    ("turn", "at", "used"),
    [(0.0, 40.0, True), (math.pi / 2, 40.0, True), (2e-6, 40.0, True), (0.01, 40.0, False), (0.0, 50_000.0, False)],
)
def test_a_run_that_keeps_circuits_takes_the_earlier_frame_where_its_walls_suit_it(
    building: Building, tmp_path: Path, turn: float, at: float, *, used: bool
) -> None:
    row = f'{{"origin_m": [{at}, 2.25, 0.0], "rotation_rad": {building.frame.rotation + turn!r}}}'
    file = tmp_path / "design.json"
    file.write_text(f'{{"model": {{"plan_frame": {row}}}, "storeys": []}}', encoding="utf-8")
    settings = Settings(circuits=CircuitSettings(keep=(KeptCircuits(file=str(file)),)))
    frame = in_kept_frame(building, settings).frame
    assert (frame.origin == (at, 2.25, 0.0)) is used
    quarter = round((frame.rotation - building.frame.rotation) / (math.pi / 2)) * math.pi / 2
    assert frame.rotation == pytest.approx(building.frame.rotation + quarter, abs=1e-15)  # walls along the axes


def test_a_file_that_says_no_frame_changes_nothing(building: Building, tmp_path: Path) -> None:
    file = tmp_path / "design.json"
    file.write_text('{"storeys": []}', encoding="utf-8")
    settings = Settings(circuits=CircuitSettings(keep=(KeptCircuits(file=str(file)),)))
    assert in_kept_frame(building, settings) is building is in_kept_frame(building, Settings())
