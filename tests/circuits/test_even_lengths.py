"""Circuits of one room come out equally long, tails included."""

from __future__ import annotations

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import Polygon, box

from ufh_core.building.types import RoomKind
from ufh_core.circuits import level_layout
from ufh_core.circuits.even_lengths import Evener, LaidRoom, spread
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.circuits.types import LevelLayout
from ufh_core.settings.types import Settings

HALL = sketch.room("H", box(0.02, 0.03, 9.02, 1.53), RoomKind.HALL)
DOOR = sketch.door(box(0.6, 1.53, 1.5, 1.65), sketch.THROUGH_Y, "H", "R")
WIDE = box(0.02, 1.65, 9.02, 6.12)
L_ROOM = WIDE.difference(box(5.5, 4.0, 10, 7))
U_ROOM = WIDE.difference(box(3.2, 3.3, 5.4, 7))


def shared(
    outline: Polygon, count: int, pitch: float, *obstacles: sketch.Obstacle
) -> tuple[sketch.Storey, LevelLayout]:
    storey = sketch.storey([HALL, sketch.room("R", outline)], [DOOR], obstacles=obstacles)
    pitches = {"H": 0.2, "R": pitch}
    return storey, lay_level(
        LevelBrief(level=sketch.level(storey), pitches=pitches, settings=Settings(), least_counts={"R": count})
    )


@pytest.mark.parametrize(
    ("outline", "count", "pitch"),
    [(WIDE, 2, 0.3), (WIDE, 4, 0.2), (L_ROOM, 3, 0.15), (U_ROOM, 2, 0.25)],
    ids=["box 2", "box 4", "L 3", "U 2"],
)
def test_circuits_of_a_room_are_alike_in_length(outline: Polygon, count: int, pitch: float) -> None:
    storey, layout = shared(outline, count, pitch)
    assert layout_checks.faults(storey, layout, ["H", "R"]) == []
    lengths = [c.length_m for c in layout.circuits if c.rooms == ("R",)]
    assert len(lengths) == count and not layout.failed
    assert (max(lengths) - min(lengths)) / (sum(lengths) / count) <= 0.03
    heated = sum(c.heated_area_m2 for c in layout.circuits if c.rooms == ("R",))
    assert heated > 0.85 * outline.area


def test_a_unit_in_the_room_does_not_make_them_unlike() -> None:
    storey, layout = shared(WIDE, 3, 0.2, sketch.unit_in(box(4, 3.5, 5, 4.5)))
    assert layout_checks.faults(storey, layout, ["H", "R"]) == []
    lengths = [c.length_m for c in layout.circuits if c.rooms == ("R",)]
    assert len(lengths) == 3 and spread(lengths) <= 0.03


def test_evening_out_never_makes_a_room_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[tuple[LaidRoom, LaidRoom]] = []

    class Watched(Evener):
        def evened(self, laid: LaidRoom) -> LaidRoom:
            made = super().evened(laid)
            seen.append((laid, made))
            return made

    monkeypatch.setattr(level_layout, "Evener", Watched)
    shared(L_ROOM, 3, 0.15)
    assert seen
    for before, after in seen:
        assert after.cost <= before.cost
        assert len(after.joined) == len(before.joined) == 3
        ends = [lane.corners[0] for lane in after.lanes]
        assert ends == [lane.corners[0] for lane in before.lanes]
