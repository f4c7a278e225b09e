"""Random dwellings with rooms behind rooms, cut corners, units and mixed pitches keep every rule or say why not.

Judged by `layout_checks`, from the plan and the drawn pipes alone.
"""

from __future__ import annotations

import dwelling_cases
import layout_checks
import plan_sketch
import pytest

from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.settings.types import Settings

MOST_ROOMS = 8
SEEDS = [s for k in range(24) if len(dwelling_cases.random_plan(s := f"plan/{k}")[0].rooms) <= MOST_ROOMS][:5]


@pytest.mark.parametrize("seed", SEEDS)
def test_every_rule_is_kept_or_the_room_is_reported(seed: str) -> None:
    storey, pitches = dwelling_cases.random_plan(seed)
    layout = lay_level(LevelBrief(level=plan_sketch.level(storey), pitches=pitches, settings=Settings()))
    assert layout_checks.faults(storey, layout, list(pitches)) == []
    assert len({f.room for f in layout.failed}) <= 1
    assert layout_checks.covered_share(storey, layout, list(pitches)) > 0.75
