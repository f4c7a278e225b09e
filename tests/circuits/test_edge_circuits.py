"""Edge zones with circuits of their own: as if the strip were a room, told as part of the room."""

from __future__ import annotations

from dataclasses import replace

import layout_checks
import plan_sketch
import pytest
from plan_sketch import THROUGH_Y
from shapely.geometry import box

from ufh_core.building.types import RoomKind, Storey
from ufh_core.circuits import edge_circuits
from ufh_core.circuits.edge_circuits import edge_strips, lay_with_edges
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import FailedRoom, LevelLayout
from ufh_core.settings import Settings
from ufh_core.zones.laying import EdgeZone, Laying
from ufh_core.zones.level_plan import EDGE_PART, Level

PITCHES = {"A": 0.25, "H": 0.20}
NORTH = ((5.5, 6.4), (0.0, 6.4))


def flat() -> Storey:
    """A hall below a living room, which has its cold wall on the far side."""
    hall, living = box(0, 0, 5.5, 1.5), box(0, 1.62, 5.5, 6.4)
    rooms = [plan_sketch.room("H", hall, RoomKind.HALL), plan_sketch.room("A", living, RoomKind.LIVING)]
    return plan_sketch.storey(rooms, [plan_sketch.door(box(1, 1.5, 1.9, 1.62), THROUGH_Y, "H", "A")])


def with_zone(own: bool = True, depth: float = 1.0, pitch: float = 0.15) -> Level:
    laying = Laying(cold_walls=(NORTH,), edge=EdgeZone(own_circuit=own, depth_m=depth, pitch_m=pitch))
    return replace(plan_sketch.level(flat()), layings={"A": laying})


def laid(level: Level) -> LevelLayout:
    layout = lay_with_edges(LevelBrief(level=level, pitches=PITCHES, settings=Settings()))
    assert layout_checks.faults(flat(), layout, ["A", "H"]) == []
    assert layout.failed == ()
    return layout


def test_the_edge_zone_has_a_circuit_of_its_own_at_its_own_pitch() -> None:
    layout = laid(with_zone())
    mine = [c for c in layout.circuits if c.rooms == ("A",)]
    (edge,) = [c for c in mine if all(f.edge for f in c.fields)]
    assert edge.pitch_m == 0.15
    assert all(box(0, 5.4, 5.5, 6.4).buffer(1e-6).contains(f.outline) for f in edge.fields)
    assert 0.85 * 5.5 < edge.heated_area_m2 <= 5.5
    others = [c for c in mine if c is not edge]
    assert {c.pitch_m for c in others} == {0.25}
    assert not any(f.edge for c in others for f in c.fields)
    assert {f.room for c in layout.circuits for f in c.fields} == {"A", "H"}
    assert layout.level.heated == {"A", "H"}


def test_the_same_circuit_takes_the_zone_where_that_is_asked() -> None:
    layout = laid(with_zone(own=False))
    mine = [c for c in layout.circuits if c.rooms == ("A",)]
    assert not any(all(f.edge for f in c.fields) for c in mine)
    zones = [(c, f) for c in mine for f in c.fields if f.edge]
    assert {c.pitches_m for c, _ in zones} == {(0.25, 0.15)}
    assert sum(f.area_m2 for _, f in zones) > 0.5 * 5.5


def test_a_zone_too_small_for_a_circuit_is_left_to_the_rooms_own() -> None:
    """0.35 m along 5.5 m is narrower than a turn with its clearances; 0.15 m is no closer than a room's 0.15 m."""
    assert edge_strips(with_zone(depth=0.35), PITCHES) == {}
    assert edge_strips(with_zone(), {"A": 0.15, "H": 0.2}) == {}
    assert set(edge_strips(with_zone(), PITCHES)) == {"A"}


def test_where_no_pipe_comes_to_the_strip_the_rooms_own_lies_closer(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[Level] = []

    def lay(brief: LevelBrief) -> LevelLayout:
        level = brief.level
        tried.append(level)
        strips = [g for g in level.heated if g.endswith(EDGE_PART)]
        failed = tuple(FailedRoom(room=g, reason="no way") for g in strips)
        return LevelLayout(level=level, manifolds=(), circuits=(), failed=failed)

    monkeypatch.setattr(edge_circuits, "lay_level", lay)
    layout = lay_with_edges(LevelBrief(level=with_zone(), pitches=PITCHES, settings=Settings()))
    assert [len(level.heated) for level in tried] == [3, 2]
    edge = tried[1].layings["A"].edge
    assert edge is not None
    assert not edge.own_circuit
    assert layout.failed == ()
