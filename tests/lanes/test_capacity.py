"""Where tails do not fit: how many of how many, and where; and what was done instead is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.remarks import layout_findings
from ufh_core.circuits.types import LevelLayout
from ufh_core.lanes.bottleneck import bottleneck_of, cut_words
from ufh_core.lanes.leading import lead_from
from ufh_core.lanes.level import route_lanes
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.siting import candidate_sites
from ufh_core.lanes.types import Routed
from ufh_core.settings.types import Settings
from ufh_core.zones.territories import territories

PLAIN = Settings()


PITCHES = {"Hall": 0.2, "Bedroom": 0.2}


def hall_and_bedroom(kind: str = "door", clear_m: float = 0.61) -> sketch.Level:
    """A hall and a bedroom with one way between them."""
    rooms = [
        sketch.room("Hall", box(0.0, 0.0, 6.0, 3.0), RoomKind.HALL),
        sketch.room("Bedroom", box(0.0, 3.12, 6.0, 9.0)),
    ]
    way = sketch.door(box(2.0, 3.0, 2.0 + clear_m, 3.12), sketch.THROUGH_Y, "Hall", "Bedroom", kind=kind)
    return sketch.level(sketch.storey(rooms, [way]))


def through_a_door(level: sketch.Level, circuits: int = 8) -> Routed:
    """Circuits of the bedroom, led from a manifold in the hall through the one way between."""
    parts = territories(level, {"Hall": 1, "Bedroom": circuits}, PITCHES, PLAIN)
    ((area, _),) = LevelGround(level, PLAIN).areas_with(parts)
    group = [t for t, part in enumerate(parts) if part.room == "Bedroom"]
    search = replace(area.search(parts), group=group)
    sites = [s for s in candidate_sites(level, search.ground.grid, circuits, PLAIN) if s.stretch.room == "Hall"]
    return lead_from(search, [max(sites, key=lambda s: -s.stretch.at)], [circuits])


@pytest.mark.parametrize("kind", ["door", "passage"])
def test_the_words_tell_how_many_of_how_many_fit_and_where(kind: str) -> None:
    """A way 610 mm wide leaves (610 - 2 * 30 - 50) mm for the middles of pairs 100 mm apart: five."""
    made = through_a_door(hall_and_bedroom(kind))
    assert f"only 5 of 8 circuits fit through the {kind} between Hall and Bedroom" in made.missed.values()
    assert len(made.missed) >= 3 and len(made.lanes) + len(made.missed) == 8


def test_nothing_is_missed_where_the_door_is_wide_enough() -> None:
    made = through_a_door(hall_and_bedroom(clear_m=1.2))
    assert len(made.lanes) == 8 and not made.missed


@pytest.mark.parametrize("clear_m", [0.61, 0.45])
def test_the_least_cut_parts_the_hall_from_the_bedroom(clear_m: float) -> None:
    level = hall_and_bedroom(clear_m=clear_m)
    made = through_a_door(level)
    cut = next(c for c in made.cuts if c.words.startswith("only"))
    assert cut.missing == sum(why == cut.words for why in made.missed.values())
    place = bottleneck_of(cut, level)
    assert set(place.before) == {"Hall"} and set(place.behind) == {"Bedroom"}
    assert place.before["Hall"].area > 17.0 and place.behind["Bedroom"].area > 34.0
    assert 2.0 < place.at[0] < 2.0 + clear_m and abs(place.at[1] - 3.06) < 0.4
    assert (place.words, place.missing) == (cut.words, cut.missing)


def test_a_cut_that_is_not_all_in_the_door_names_the_room_and_no_cut_no_place() -> None:
    level = hall_and_bedroom()
    ((area, _),) = LevelGround(level, PLAIN).areas_with(
        territories(level, PITCHES.fromkeys(PITCHES, 1), PITCHES, PLAIN)
    )
    grid = area.bare.grid
    in_door = grid.within(box(2.05, 3.0, 2.6, 3.1))
    across = grid.within(box(0.0, 6.0, 6.0, 6.09))
    assert len(in_door) == 5 and len(across) > 50
    assert cut_words(grid, level, in_door, 2) == "only 5 of 7 circuits fit through the door between Hall and Bedroom"
    some = np.concatenate([across, in_door])
    fit = f"only {len(some)} of {len(some) + 2} circuits fit"
    assert cut_words(grid, level, some, 2) == f"{fit} side by side through Bedroom"
    outside = [0, 1, 2]
    assert cut_words(grid, level, outside, 1) == "only 3 of 4 circuits fit"
    assert cut_words(grid, level, [], 1) == "no way is left for its tails among the others"


def test_the_manifold_stands_in_another_room_where_that_reaches_all_and_it_is_said() -> None:
    level = hall_and_bedroom()
    lanes = route_lanes(level, territories(level, {"Hall": 1, "Bedroom": 8}, PITCHES, PLAIN), PLAIN)
    (site,) = lanes.sites
    assert site.stretch.room == "Bedroom" and len(lanes.lanes) == 9 and not lanes.unreached
    (note,) = lanes.notes
    assert note.startswith("with the manifold in Hall, ") and note.endswith("; it stands in Bedroom instead")
    assert "through the door between Hall and Bedroom" in note and lanes.bottlenecks == ()


def between_windows() -> tuple[sketch.Level, int]:
    """A room with a window in each wall, so that only short pieces of wall are left beside them."""
    outline = box(0.0, 0.0, 3.2, 3.2)
    windows = [box(1.2, -0.3, 2.0, 0.0), box(1.2, 3.2, 2.0, 3.5), box(-0.3, 1.2, 0.0, 2.0), box(3.2, 1.2, 3.5, 2.0)]
    return sketch.one_room(outline, openings=[sketch.window(w) for w in windows]), 9


def test_a_second_manifold_is_placed_where_one_finds_no_wall_and_it_is_said() -> None:
    level, circuits = between_windows()
    lanes = route_lanes(level, territories(level, {"A": circuits}, {"A": 0.2}, PLAIN), PLAIN)
    assert len(lanes.sites) == 2
    (note,) = lanes.notes
    assert note == "with 1 manifold, no free wall for a manifold with 9 circuits; 2 manifolds are placed instead"
    layout = LevelLayout(level=level, manifolds=(), circuits=(), failed=(), notes=lanes.notes)
    said = [f for f in layout_findings([layout]) if f.code == "layout.capacity"]
    assert [f.message for f in said] == [f"Ground: {note}"]


def test_nothing_is_said_where_one_manifold_does() -> None:
    level, _ = between_windows()
    lanes = route_lanes(level, territories(level, {"A": 2}, {"A": 0.2}, PLAIN), PLAIN)
    assert len(lanes.sites) == 1 and lanes.notes == ()
