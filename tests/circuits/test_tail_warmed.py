"""A hall full of tails needs no circuit for what is left; floor that stays cold has failed.

Source of the rule: common practice; a second opinion measures how near the floor lies to a pipe.
"""

from __future__ import annotations

from dataclasses import replace

import dwelling_cases
import layout_checks
import numpy as np
import plan_sketch as sketch
import pytest
import shapely

from ufh_core.circuits.branched_layout import lay_with_branches
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.remarks import layout_findings
from ufh_core.circuits.tail_warmed import LEAST_NEAR_SHARE, NEAR_M, near_share, with_tail_warmed
from ufh_core.circuits.types import FailedRoom, LevelLayout
from ufh_core.joints.doorways import ScreedRoom
from ufh_core.joints.storey import planned_joints
from ufh_core.settings.types import Settings
from ufh_core.storeys.screed_joints import parted_levels
from ufh_core.zones.partners import partners_of
from ufh_core.zones.wishes import NO_WISHES

PARTED_HALL = "quiet-barn/29"  # a joint leaves a part of the hall between eleven pairs of tails


@pytest.fixture(scope="module")
def laid() -> tuple[sketch.Storey, LevelLayout]:
    storey, pitches = dwelling_cases.random_plan(PARTED_HALL)
    screeds = [
        ScreedRoom(room=r.ifc_guid, outline=r.outline, heated=r.ifc_guid in pitches, indoor_c=20.0, finish_r=0.1)
        for r in storey.rooms
    ]
    (level,) = parted_levels([sketch.level(storey)], planned_joints(storey, screeds, Settings()))
    partners = partners_of(level, dict.fromkeys(pitches, 20.0), NO_WISHES, Settings())
    brief = LevelBrief(level=level, pitches=pitches, settings=Settings(), partners=partners)
    return storey, lay_with_branches(brief)


def test_what_tails_take_and_warm_has_not_failed(laid: tuple[sketch.Storey, LevelLayout]) -> None:
    storey, layout = laid
    assert layout.tail_warmed == ("R0",) and not layout.failed
    assert layout_checks.faults(storey, layout, [r.ifc_guid for r in storey.rooms]) == []
    (told,) = [f for f in layout_findings([layout]) if f.code == "layout.warmed-by-tails"]
    assert told.ifc_guids == ("R0",) and "one circuit less than planned" in told.message


def test_a_room_without_those_tails_has_failed(laid: tuple[sketch.Storey, LevelLayout]) -> None:
    _, layout = laid
    why = FailedRoom(room="R0", reason="no loop fits")
    own = tuple(c for c in layout.circuits if c.rooms[0] == "R0")
    few = replace(layout, circuits=own, failed=(why,), tail_warmed=())
    assert with_tail_warmed(few) == few


def test_a_room_too_far_from_its_tails_has_failed(laid: tuple[sketch.Storey, LevelLayout]) -> None:
    """Floor that no strip takes counts too; how much of it lies near is measured by samples as well."""
    _, layout = laid
    floor, why = layout.level.floors["R0"], FailedRoom(room="R0", reason="no loop fits")
    told = replace(layout, failed=(why,), tail_warmed=())
    share = near_share(told, floor)
    assert share == pytest.approx(
        layout_checks.coverage(floor, [(layout_checks.drawn(c.axis), NEAR_M) for c in layout.circuits]), abs=0.01
    )
    assert share >= LEAST_NEAR_SHARE and with_tail_warmed(told).tail_warmed == ("R0",)
    wide = replace(layout.level, floors={**layout.level.floors, "R0": floor.union(_nooks(floor))})
    far = replace(told, level=wide)
    assert near_share(far, wide.floors["R0"]) < LEAST_NEAR_SHARE
    assert with_tail_warmed(far) == far


def _nooks(floor: shapely.Geometry) -> shapely.Geometry:
    """Pieces of floor out of the reach of all pipes, each too small to be worth a loop."""
    _, low, right, _ = floor.bounds
    return shapely.union_all([shapely.box(x, low, x + 0.95, low + 0.95) for x in right + 20 + 2.0 * np.arange(4)])


def test_the_second_opinion_sees_cold_floor(laid: tuple[sketch.Storey, LevelLayout]) -> None:
    """The check bites: the same words without the tails."""
    _, layout = laid
    own = tuple(c for c in layout.circuits if c.rooms[0] == "R0")
    told = layout_checks.room_faults(replace(layout, circuits=own), ["R0"])
    assert any("said to be warmed by tails" in fault for fault in told)
