"""What is read from real models that nobody here wrote (regression; skipped where they are absent)."""

import os
from pathlib import Path

import pytest
import shapely

from ufh_core.building.read import read_building
from ufh_core.settings.types import Settings

MODELS = Path(os.environ.get("WARMLOOM_MODELS", Path(__file__).parents[3] / "shared" / "models"))
NAMES = (
    "house-ifc4-m", "duplex-ifc2x3-m", "split-level-ifc4-m", "rooms-ifc2x3-mm", "no-spaces-ifc2x3-mm",
    "georeferenced-ifc4x3-mm", "raised-floor-ifc4-m",
)  # fmt: skip
_read: dict[str, object] = {}


def model(name):
    path = MODELS / f"{name}.ifc"
    if not path.exists():
        pytest.skip(f"{path.name} is not in the folder of shared models (WARMLOOM_MODELS)")
    if name not in _read:
        _read[name] = read_building(path, Settings())
    return _read[name]


def storey(building, name):
    return next(s for s in building.storeys if s.name == name)


def joins(a_storey):
    """Pairs of room labels that passages join, and the kinds of the passages."""
    labels = {r.ifc_guid: r.label for r in a_storey.rooms}
    return {(p.kind, *sorted(labels[g] for g in p.rooms)) for p in a_storey.passages}


@pytest.mark.parametrize("name", NAMES)
def test_rooms_and_passages_keep_out_of_walls(name):
    building = model(name)
    for s in building.storeys:
        rooms = shapely.union_all([r.outline for r in s.rooms])
        for room in s.rooms:
            standing = [
                w.outline for w in s.walls if w.bottom_m < room.floor_m + 0.25 and w.top_m > room.floor_m + 0.02
            ]
            assert room.outline.is_valid
            assert room.outline.intersection(shapely.union_all(standing)).area < 0.01
        for passage in s.passages:
            assert passage.outline.is_valid
            assert passage.outline.intersects(rooms)
            assert 0.3 <= passage.width_m < 8


@pytest.mark.parametrize("name", NAMES)
def test_what_is_listed_once_is_there_once(name):
    building = model(name)
    guids = [r.ifc_guid for s in building.storeys for r in s.rooms]
    assert guids
    assert len(guids) == len(set(guids))
    for s in building.storeys:
        for things in (s.walls, s.columns, s.openings, s.obstacles, s.slabs):
            assert len({t.ifc_guid for t in things}) == len(things)


def test_house():
    building = model("house-ifc4-m")
    ground, attic = building.storeys
    assert joins(ground) == {
        ("door", "1 Flur", "2 Buero"), ("door", "1 Flur", "3 Bad"), ("door", "1 Flur", "4 Schlafzimmer"),
        ("door", "1 Flur"), ("door", "5 Wohnen"),
        ("open", "1 Flur", "5 Wohnen"), ("open", "1 Flur", "6 Küche"), ("open", "5 Wohnen", "6 Küche"),
    }  # fmt: skip
    assert {r.name: r.indoor_c for r in ground.rooms} == {"1": 15, "2": 20, "3": 24, "4": 20, "5": 20, "6": 20}
    assert {o.kind for o in ground.obstacles} == {"stair"}
    assert {o.kind for o in attic.obstacles} == {"void"}
    assert len(ground.walls) == 9
    assert sum(o.kind == "window" for o in ground.openings) == 9
    assert all(w.construction.u_value is not None for w in ground.walls)
    assert building.north_rad == pytest.approx(-0.8726646, abs=1e-6)


def test_duplex():
    building = model("duplex-ifc2x3-m")
    assert [len(s.rooms) for s in building.storeys] == [0, 10, 10, 1]
    low, high = storey(building, "Level 1"), storey(building, "Level 2")
    assert ("open", "A102 Living Room", "A103 Kitchen") in joins(low)
    assert ("door", "A101 Foyer", "A104 Bathroom 1") in joins(low)
    assert ("door", "A201 Hallway", "A202 Bedroom 1") in joins(high)
    assert all(len(p.rooms) == 2 for p in high.passages)
    assert sum(o.kind == "stair" for o in low.obstacles) == 2
    (finding,) = [f for f in building.findings if f.code == "building.area-differs"]
    assert len(finding.ifc_guids) == 21


def test_split_level():
    building = model("split-level-ifc4-m")
    rooms = [r for s in building.storeys for r in s.rooms]
    assert len(building.storeys) == 8
    assert sorted(round(r.floor_m, 2) for r in rooms) == [0.02, 2.42, 2.42, 5.62]
    assert all(r.floor_m - r.slab_top_m == pytest.approx(0.02, abs=1e-3) for r in rooms)
    assert joins(storey(building, "1")) == {("door", "living-space/1", "living-space/2")}


def test_rectangular_rooms():
    (level, _) = model("rooms-ifc2x3-mm").storeys
    assert sorted(round(r.outline.area, 2) for r in level.rooms) == sorted([49.92, 39.78, 33.18, 26.86] * 2)
    assert all(r.outline.area == pytest.approx(r.stated_area_m2, abs=0.01) for r in level.rooms)
    assert sum(len(p.rooms) == 2 for p in level.passages) == 8
    assert sum(len(p.rooms) == 1 for p in level.passages) == 10
    assert all(o.movable for o in level.obstacles)


def test_no_spaces():
    building = model("no-spaces-ifc2x3-mm")
    assert all(r.derived for s in building.storeys for r in s.rooms)
    assert len(storey(building, "Begane grondvloer").rooms) >= 3
    assert "building.rooms-derived" in {f.code for f in building.findings}


def test_georeferenced_and_raised_floor():
    building = model("georeferenced-ifc4x3-mm")
    assert [r.name for r in building.storeys[0].rooms] == ["living room", "entry hall"]
    assert {"building.georeferenced", "building.no-doors"} <= {f.code for f in building.findings}
    (room,) = model("raised-floor-ifc4-m").storeys[0].rooms
    assert (room.floor_m, room.slab_top_m) == pytest.approx((0.15, 0.0))


@pytest.mark.parametrize("name", NAMES)
def test_reading_twice_gives_the_same(name):
    building = model(name)
    assert read_building(MODELS / f"{name}.ifc", Settings()) == building
