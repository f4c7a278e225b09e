"""The sweep over pitch, finish and flow temperature: the same answers as a design at each point."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import design_outputs
from ufh_core.thermal_output.sweep import FINISHES_R, coolest, sweep
from ufh_core.thermal_output.types import RoomRequest

SETTINGS = Settings()


def room(name: str, demand_w: float, area_m2: float = 20.0, finish_r: float = 0.10) -> RoomRequest:
    return RoomRequest(
        room=name, kind=RoomKind.LIVING, indoor_c=20.0, demand_w=demand_w, heatable_area_m2=area_m2, finish_r=finish_r,
        r_below=1.42, below_c=10.0,
    )  # fmt: skip


ROOMS = [room("warm", 600.0), room("cold", 1100.0), room("idle", 0.0)]


def at(flow_c: float) -> Settings:
    output = replace(SETTINGS.output, flow_c=flow_c, greatest_flow_c=60.0)
    return replace(SETTINGS, output=output)


@pytest.mark.parametrize("flow_c", [32.0, 38.0, 44.0])
@pytest.mark.parametrize("finish", [None, 0.02])
def test_each_point_is_a_design_with_it(flow_c: float, finish: float | None) -> None:
    (point,) = sweep(ROOMS, SETTINGS, [0.20], [finish], [flow_c])
    changed = [replace(r, fixed_pitch_m=0.20, finish_r=r.finish_r if finish is None else finish) for r in ROOMS]
    rooms = design_outputs(changed, at(flow_c)).rooms
    missing = sum(output.shortfall_w for output in rooms.values())
    assert point.missing_w == pytest.approx(missing)
    assert point.carried_share == pytest.approx(1 - missing / 1700.0)
    assert point.rooms_carried == sum(output.shortfall_w == 0 for output in rooms.values())
    assert point.worst_room == ("cold" if missing > 0 else "")


def test_warmer_water_closer_pitches_and_better_finishes_carry_more() -> None:
    points = sweep(ROOMS, SETTINGS, [0.15, 0.30], [0.02, 0.15])
    share = {(p.pitch_m, p.finish_r, p.flow_c): p.carried_share for p in points}
    for pitch in (0.15, 0.30):
        for finish in (0.02, 0.15):
            along = [share[pitch, finish, float(flow)] for flow in range(25, 56)]
            assert along == sorted(along)
    for flow in range(25, 56):
        assert share[0.15, 0.02, flow] >= share[0.30, 0.02, flow]
        assert share[0.15, 0.02, flow] >= share[0.15, 0.15, flow]
    assert len(points) == 4 * 31


def test_the_coolest_water_is_that_from_which_on_all_is_carried() -> None:
    points = sweep(ROOMS, SETTINGS, [0.15], [None])
    found = coolest(points, 0.15, None)
    assert found is not None
    for flow_c, short in ((found, False), (found - 1, True)):
        rooms = design_outputs([replace(r, fixed_pitch_m=0.15) for r in ROOMS], at(flow_c)).rooms
        assert any(output.shortfall_w > 0 for output in rooms.values()) is short
    nearly = coolest(points, 0.15, None, 0.95)
    assert nearly is not None and nearly <= found
    assert coolest(sweep([room("glass", 4000.0)], SETTINGS, [0.15], [0.02]), 0.15, 0.02) is None


def test_finishes_stay_within_the_standard() -> None:
    """EN 1264-2 answers up to R = 0.15 m²K/W."""
    assert FINISHES_R[0] is None
    assert max(r for r in FINISHES_R if r is not None) == 0.15
