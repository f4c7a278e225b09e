"""What random dwellings lose in cutting: 6 % of a room above 12 m² at most, 1.15 times the area over all.

The seeds were not looked at while the search was made, but for those of `KNOWN`, which an earlier search missed.
"""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import pytest
import shapely
from panel_judge import faults

from ufh_core.panels import panel_findings, storey_panels
from ufh_core.panels.types import PanelPlan
from ufh_core.settings import Settings

KNOWN = (9, 12, 25, 44, 47, 50, 59, 5002, 5009)
SEEDS = (*KNOWN, *range(9000, 9012))


def planned(seed: int, settings: Settings | None = None) -> PanelPlan:
    storey = sketch.random_dwelling(seed)
    plan = storey_panels([sketch.level(storey)], [r.ifc_guid for r in storey.rooms], [], settings or Settings())
    assert plan is not None
    return plan


@pytest.mark.parametrize("seed", SEEDS)
def test_a_dwelling_loses_little(seed: int) -> None:
    plan = planned(seed)
    assert faults(plan, shapely.union_all([area.outline for area in plan.areas], grid_size=1e-7)) == []
    assert plan.panels * plan.size.covers_m2 <= 1.15 * plan.covered_m2
    assert [(share.room, share.waste) for share in plan.rooms if share.covered_m2 > 12 and share.waste > 0.06] == []
    assert not any(f.code == "panels.waste" for f in panel_findings(plan, sketch.random_dwelling(seed).rooms))


def test_a_room_that_loses_more_is_told() -> None:
    """Studs so far apart that an off-cut of four of them is wider than a metre: little can be used again."""
    settings = Settings()
    floor = replace(settings.floor, panel_length_m=1.8, panel_width_m=1.2)
    coarse = replace(settings, floor=floor, layout=replace(settings.layout, stud_pitch_m=0.3))
    plan = planned(9000, coarse)
    over = {share.room: share for share in plan.rooms if share.covered_m2 > 12 and share.waste > 0.06}
    told = [f for f in panel_findings(plan, sketch.random_dwelling(9000).rooms) if f.code == "panels.waste"]
    assert over and {f.ifc_guids[0] for f in told} == set(over)
    assert f"{100 * over[told[0].ifc_guids[0]].waste:.1f} %" in told[0].message
