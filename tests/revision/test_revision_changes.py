"""What changed from one state of a made-up dwelling to the next: figures by hand from how it is drawn."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from revision_models import Changes, dwelling

from ufh_core.building.read import read_building
from ufh_core.building.types import Building
from ufh_core.revision import Change, Effect, Revision, compare_models
from ufh_core.revision.words import NOTHING, revision_lines
from ufh_core.settings import Settings


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("states")


@cache
def first(folder: Path) -> Building:
    return read_building(dwelling(folder, "old"), Settings())


def compared(folder: Path, changes: Changes, before: Changes | None = None) -> Revision:
    old = first(folder) if before is None else read_building(dwelling(folder, "before", before), Settings())
    return compare_models(old, read_building(dwelling(folder, "new", changes), Settings()))


def changes_of(found: Revision) -> dict[str, Change]:
    """Changes by code, each of which is there once."""
    codes = [change.code for change in found.changes]
    assert len(codes) == len(set(codes)), codes
    return {change.code: change for change in found.changes}


def test_nothing_changed_is_one_line_and_nothing_is_touched(folder: Path) -> None:
    found = compared(folder, Changes())
    assert found.changes == () and revision_lines(found) == [NOTHING] and not found.anything_touched


def test_a_wall_that_moved_is_one_change_with_both_rooms(folder: Path) -> None:
    """Moved 0.30 m over 3.20 m of floor: 0.96 m² from one room to the other."""
    (change,) = compared(folder, Changes(wall_x=3.3)).changes
    assert change.code == "revision.wall-moved" and change.effect is Effect.LAY_ANEW
    assert change.words == (
        'wall "Partition" between 2 Living room and 3 Bedroom moved by 0.30 m;'
        " 2 Living room: 11.3 -> 10.4 m², 3 Bedroom: 11.3 -> 12.3 m²"
    )
    assert change.area.bounds == pytest.approx((3.24, 1.75, 3.66, 4.95), abs=1e-6)


def test_a_wall_within_the_tolerance_is_where_it_was(folder: Path) -> None:
    assert compared(folder, Changes(wall_x=3.6 + 0.004)).changes == ()
    (change,) = compared(folder, Changes(wall_x=3.6 + 0.010)).changes
    assert "moved by 0.01 m" in change.words


def test_a_door_that_moved(folder: Path) -> None:
    (change,) = compared(folder, Changes(door_x=6.0)).changes
    assert change.code == "revision.door-moved"
    assert change.words == 'door "Bedroom door" between 1 Hall and 3 Bedroom moved by 0.80 m'


def test_a_door_that_is_taken_out_of_its_opening_is_one_change_and_so_is_one_put_in(folder: Path) -> None:
    (change,) = compared(folder, Changes(no_door=("Bedroom door",))).changes
    assert change.code == "revision.door-changed"
    assert change.words == 'door "Bedroom door" between 1 Hall and 3 Bedroom is an open way without a door now'
    (back,) = compared(folder, Changes(), before=Changes(no_door=("Bedroom door",))).changes
    assert back.code == "revision.door-changed" and back.words.endswith("has a door now")


def test_a_room_more_and_a_room_less(folder: Path) -> None:
    """3.0 × 3.2 m beside the house; the bathroom is 3.08 × 2.80 m."""
    (added,) = compared(folder, Changes(garden=True)).changes
    assert (added.code, added.words) == ("revision.room-added", "room 6 Garden room (9.6 m²) is new")
    (removed,) = compared(folder, Changes(without=("5",))).changes
    assert (removed.code, removed.words) == ("revision.room-removed", "room 5 Bathroom (8.6 m²) is gone")


def test_a_room_that_is_split_and_one_that_is_joined_again(folder: Path) -> None:
    found = changes_of(compared(folder, Changes(split=True)))
    assert set(found) == {"revision.room-split", "revision.wall-added"}
    assert found["revision.room-split"].words.startswith("4 Study is split: 7 Box room is a room of its own now")
    back = changes_of(compared(folder, Changes(), before=Changes(split=True)))
    assert set(back) == {"revision.room-joined", "revision.wall-removed"}
    assert back["revision.room-joined"].words.startswith("room 7 Box room is joined to 4 Study")


def test_another_name_alone_touches_nothing_another_use_does(folder: Path) -> None:
    found = compared(folder, Changes(long_names={"3": "Bedroom of the guests"}))
    (change,) = found.changes
    assert change.words == "room 3 Bedroom is called 3 Bedroom of the guests now" and not found.anything_touched
    used = changes_of(compared(folder, Changes(long_names={"3": "Kitchen"})))
    assert set(used) == {"revision.room-renamed", "revision.room-use"}
    assert used["revision.room-use"].words == "3 Kitchen is for another use: bedroom -> kitchen"


def test_levels_are_told_by_storey_or_by_room(folder: Path) -> None:
    (change,) = compared(folder, Changes(up=0.05)).changes
    assert change.code == "revision.level-changed" and change.effect is Effect.FIGURES
    assert change.words.startswith("finished floor of Ground floor, all 5 rooms, lies 0.050 m higher")
    found = changes_of(compared(folder, Changes(floors={"3": 0.02})))
    assert found["revision.level-changed"].words.startswith("finished floor of 3 Bedroom lies 0.020 m higher")
    lower = compared(folder, Changes(slab_top=-0.2)).changes
    assert [c.words for c in lower] == ["floor of Ground floor, all 5 rooms, has 0.040 m more height for its build-up"]


def test_units_columns_and_figures(folder: Path) -> None:
    found = changes_of(compared(folder, Changes(unit=(0.0, 4.35, 1.2, 4.95))))
    assert found["revision.unit-added"].words == 'unit "Kitchen units" of 2 Living room is new'
    found = changes_of(compared(folder, Changes(column=(1.0, 3.0, 1.3, 3.3))))
    assert found["revision.column-added"].words.startswith('column "Post" of 2 Living room is new; 2 Living room:')
    found = changes_of(compared(folder, Changes(indoor={"3": 23.0})))
    assert found["revision.room-figures"].words.startswith("3 Bedroom: indoor temperature not stated -> 23.0 °C")


@pytest.mark.parametrize("wall_x", [3.6, 3.3])
def test_new_ids_are_one_line_and_the_rest_is_found_by_place(folder: Path, wall_x: float) -> None:
    found = changes_of(compared(folder, Changes(new_ids=True, wall_x=wall_x)))
    assert set(found) == {"revision.new-ids"} | ({"revision.wall-moved"} if wall_x != 3.6 else set())
    assert found["revision.new-ids"].words.startswith("18 of 18 elements have new GlobalIds")


MOVED = {"turn": 0.3, "place": (400.0, -80.0, 12.0)}


@pytest.mark.parametrize("new_ids", [False, True])
@pytest.mark.parametrize("wall_x", [3.6, 3.3])
def test_a_model_moved_in_the_world_is_one_line(folder: Path, wall_x: float, *, new_ids: bool) -> None:
    found = changes_of(compared(folder, Changes(wall_x=wall_x, new_ids=new_ids, **MOVED)))
    more = {"revision.wall-moved"} if wall_x != 3.6 else set()
    assert set(found) == {"revision.model-moved"} | ({"revision.new-ids"} if new_ids else set()) | more
    words = found["revision.model-moved"].words
    assert "turned by 17.189°" in words and "lifted by 12.000 m" in words  # 0.3 rad
    if more:
        assert "moved by 0.30 m" in found["revision.wall-moved"].words


def test_another_georeference_is_one_line(folder: Path) -> None:
    before = Changes(east=600_000.0)
    (change,) = compared(folder, Changes(east=600_250.5), before=before).changes
    assert change.code == "revision.georeference-changed"
    assert "east 600000.000" in change.words and "east 600250.500" in change.words


def test_without_a_design_the_status_is_by_what_a_change_can_touch(folder: Path) -> None:
    assert compared(folder, Changes(door_x=6.0)).anything_touched
    assert not any(":" in line and "circuit" in line for line in revision_lines(compared(folder, Changes(door_x=6.0))))
