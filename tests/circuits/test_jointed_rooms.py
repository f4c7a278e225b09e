"""Circuits end at the movement joints of the screed; a second opinion looks at the finished pipes.

Source of the rule: EN 1264-4, from memory: only connecting pipes cross movement joints.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, Polygon, box

from ufh_core.basis.pipe_axis import rounded
from ufh_core.building.types import RoomKind
from ufh_core.circuits.branched_layout import lay_with_branches
from ufh_core.circuits.even_lengths import island_spread, spread
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LevelLayout
from ufh_core.settings.types import CircuitSettings, Settings
from ufh_core.zones.divisions import Cut
from ufh_core.zones.screed_parts import with_joints

HALL = sketch.room("H", box(0.02, 0.03, 9.02, 1.53), RoomKind.HALL)
DOOR = sketch.door(box(0.6, 1.53, 1.5, 1.65), sketch.THROUGH_Y, "H", "R")
WIDE = box(0.02, 1.65, 9.02, 6.12)
L_ROOM = WIDE.difference(box(5.5, 4.0, 10, 7))
SMALLER = box(0.02, 1.65, 8.02, 4.92)
UPRIGHT = LineString([(4.513, 1.65), (4.513, 6.12)])
SLANTED = LineString([(3.7, 1.65), (5.9, 6.12)])
AT_CORNER = LineString([(5.5, 1.65), (5.5, 4.0)])
NICHE = LineString([(7.9, 1.65), (7.9, 4.0)])


def laid(
    outline: Polygon, joints: list[LineString], pitch: float = 0.2, settings: Settings | None = None
) -> tuple[sketch.Storey, LevelLayout]:
    settings = settings or Settings()
    storey = sketch.storey([HALL, sketch.room("R", outline)], [DOOR])
    level = with_joints(sketch.level(storey, settings), {"R": joints})
    return storey, lay_with_branches(LevelBrief(level=level, pitches={"H": 0.2, "R": pitch}, settings=settings))


@pytest.mark.parametrize("pitch", [0.1, 0.15, 0.2, 0.3])
@pytest.mark.parametrize(
    ("outline", "joints"),
    [(WIDE, [UPRIGHT]), (WIDE, [SLANTED]), (L_ROOM, [AT_CORNER]), (WIDE, [LineString([(0.02, 3.9), (9.02, 3.9)])])],
    ids=["upright", "slanted", "at a corner", "level"],
)
def test_only_pairs_of_pipes_cross_a_joint(outline: Polygon, joints: list[LineString], pitch: float) -> None:
    """At a pitch of 100 mm in a smaller room, for it holds as much pipe."""
    if pitch < 0.15:
        outline = outline.intersection(SMALLER)
        joints = [joint.intersection(SMALLER) for joint in joints]
    storey, layout = laid(outline, joints, pitch)
    assert not layout.failed
    assert layout_checks.faults(storey, layout, ["H", "R"]) == []
    assert list(layout_checks.joint_faults(layout, joints)) == []
    own = [c for c in layout.circuits if c.rooms == ("R",)]
    assert len(own) >= 2
    for circuit in own:
        assert not any(f.outline.buffer(-0.02).intersects(joint) for f in circuit.fields for joint in joints)
    assert sum(c.heated_area_m2 for c in own) > 0.8 * outline.area


def test_without_the_joint_a_field_lies_there() -> None:
    """The check bites: the same room laid as one field crosses the line many times."""
    _, layout = laid(WIDE, [], 0.3)
    told = list(layout_checks.joint_faults(layout, [UPRIGHT]))
    assert any("pipes cross the joint" in fault for fault in told)


def circuit_of(*corners: tuple[float, float], branches: int = 0) -> LevelLayout:
    choices = (("R", None),) * branches
    circuit = SimpleNamespace(number="M1.01", axis=rounded(list(corners), 0.075), branch_choices=choices)
    return SimpleNamespace(circuits=[circuit])  # type: ignore[return-value]  # all that the second opinion reads


def test_tails_may_cross_a_joint_twice_and_a_field_may_not() -> None:
    """A pair 50 mm apart that goes over x = 2 and back to a loop on the side where it began; the same as a field."""
    upright = [LineString([(2, -1), (2, 3)])]
    there, back = [(0, 0), (4, 0), (4, 2), (0.5, 2), (0.5, 4)], [(-2, 1.95), (3.95, 1.95), (3.95, 0.05), (0, 0.05)]
    pair = [*there, (-2, 4), *back]
    assert list(layout_checks.joint_faults(circuit_of(*pair), upright)) == []
    wide = [(0, 0), (4, 0), (4, 2), (-2, 2), (-2, 1.85), (3.85, 1.85), (3.85, 0.15), (0, 0.15)]
    (told,) = layout_checks.joint_faults(circuit_of(*wide), upright)
    assert "4 pipes cross the joint" in told


def test_tails_cross_a_joint_as_a_pair_also_behind_a_branch() -> None:
    """The flow leaves the pair for a branch before the joint at x = 2 and crosses it beside the return again."""
    joint = [LineString([(2, -0.5), (2, 0.5)])]
    branch, loop = [(1, 0), (1, -1), (1.4, -1), (1.4, 0)], [(4, 0), (4, 2), (2.5, 2), (2.5, 0.05)]
    assert list(layout_checks.joint_faults(circuit_of((0, 0), *branch, *loop, (0, 0.05), branches=1), joint)) == []
    apart = [(4, 0), (4, 2), (2.5, 2), (2.5, 0.4)]
    (told,) = layout_checks.joint_faults(circuit_of((0, 0), *branch, *apart, (0, 0.4), branches=1), joint)
    assert "of them alone" in told


def test_a_small_part_is_filled_by_a_branch_across_the_joint() -> None:
    """By the areas: 2.6 m² beyond the joint, under the 4 m² below which floor goes with a neighbour's circuit."""
    storey, layout = laid(L_ROOM, [NICHE], 0.2)
    assert layout_checks.faults(storey, layout, ["H", "R"]) == []
    assert list(layout_checks.joint_faults(layout, [NICHE])) == []
    beyond = box(7.9, 1.65, 9.02, 4.0)
    (host,) = [c for c in layout.circuits if any(f.outline.intersection(beyond).area > 0.1 for f in c.fields)]
    assert any(f.outline.intersection(beyond).area < 0.1 for f in host.fields), "it fills the other side too"
    warm = sum(f.outline.intersection(beyond).area for f in host.fields)
    assert warm > 0.7 * beyond.area and host.branch_choices[-1][0] == "R"
    assert layout.level.floors.keys() == {"H", "R"}


def test_a_small_part_has_a_circuit_of_its_own_where_none_is_to_share() -> None:
    plain = Settings()
    _, layout = laid(L_ROOM, [NICHE], 0.2, replace(plain, circuits=CircuitSettings(share_below_m2=0.0)))
    beyond = box(7.9, 1.65, 9.02, 4.0)
    inside = [c for c in layout.circuits if c.fields and all(f.outline.intersects(beyond) for f in c.fields)]
    assert len(inside) == 1 and not inside[0].branch_choices


def test_circuits_are_made_alike_on_each_side_of_a_joint() -> None:
    half = Cut(axis=0, at=1.0, low=None, high=None)
    assert island_spread((half, None), [50.0, 52.0, 20.0]) == pytest.approx(2 / 51)
    assert island_spread((None, None), [50.0, 20.0]) == 0.0
    assert island_spread((half, half), [50.0, 50.0, 20.0, 30.0]) == pytest.approx(10 / 25)
    _, layout = laid(WIDE, [LineString([(6.0, 1.65), (6.0, 6.12)])], 0.1)
    away = box(6.0, 1.6, 10, 7)  # from the door: no other tails cut this side
    lengths = [c.length_m for c in layout.circuits if any(f.outline.buffer(-0.05).within(away) for f in c.fields)]
    assert len(lengths) > 1 and spread(lengths) <= 0.03
