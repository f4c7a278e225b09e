"""Lanes cross movement joints straight and never run along them; no port stands on one."""

from __future__ import annotations

import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, MultiLineString, box

from ufh_core.circuits.wedges import _whole_axis
from ufh_core.lanes.grid import HORIZONTAL, VERTICAL, make_grid, only_across
from ufh_core.zones.level_plan import axis_area
from ufh_core.zones.screed_parts import with_joints
from ufh_core.zones.territories import first_division, room_territories

GRID = make_grid(box(0, 0, 4, 3), [], 0.05, 0.075)


@pytest.mark.parametrize(
    ("line", "lock"),
    [
        (LineString([(2.0, 0.0), (2.0, 3.0)]), HORIZONTAL),
        (LineString([(0.0, 1.5), (4.0, 1.5)]), VERTICAL),
        (LineString([(0.0, 0.0), (3.0, 3.0)]), 0),
    ],
    ids=["upright", "level", "slanted"],
)
def test_nodes_on_a_joint_may_only_be_crossed(line: LineString, lock: int) -> None:
    made = only_across(GRID, MultiLineString([line]))
    here = GRID.within(line.buffer(GRID.step / 2, cap_style="flat"))
    elsewhere = np.setdiff1d(np.arange(GRID.size), here)
    assert len(here) > 20 and (made.lock[here] == lock).all()
    assert (made.lock[elsewhere] == 0).all() and (GRID.lock == 0).all()


def test_a_room_joined_again_for_its_wedges_stays_off_its_joints() -> None:
    joint = LineString([(4.5, 0.0), (4.5, 4.0)])
    plain = sketch.level(sketch.storey([sketch.room("R", box(0.02, 0.03, 9.02, 4.0))]))
    level, settings = with_joints(plain, {"R": [joint]}), sketch.Settings()
    division = first_division(level, "R", 2, 0.2, settings)
    parts = room_territories(level, "R", division, 0.2, axis_area(level, settings))
    assert _whole_axis(level, parts).distance(joint) == pytest.approx(0.1, abs=0.003)
    assert _whole_axis(plain, parts).distance(joint) == 0.0, "without joints the strip is closed"
