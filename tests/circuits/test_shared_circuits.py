"""Small rooms on the circuit of a neighbour, and cold pieces of halls filled in passing, by a second opinion."""

from __future__ import annotations

from dataclasses import replace

import dwelling_cases
import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.branched_layout import lay_with_branches
from ufh_core.circuits.cold_pieces import circuit_rooms, cold_pieces
from ufh_core.circuits.edge_circuits import lay_with_edges
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.remarks import layout_findings
from ufh_core.circuits.types import LevelLayout
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.types import CircuitSettings, Settings
from ufh_core.storeys.answers import room_answers
from ufh_core.zones.wishes import NO_WISHES, Wishes

PLAIN = Settings()
ROOMS = [
    sketch.room("H", box(0.02, 0.03, 6.02, 1.63), RoomKind.HALL),
    sketch.room("U", box(0.02, 1.75, 3.02, 4.75), RoomKind.UTILITY),
    sketch.room("W", box(3.14, 2.75, 4.64, 4.75), RoomKind.WC),
]
DOORS = [
    sketch.door(box(1.0, 1.63, 1.9, 1.75), sketch.THROUGH_Y, "H", "U"),
    sketch.door(box(3.02, 3.4, 3.14, 4.2), sketch.THROUGH_X, "U", "W"),
]
DWELLING = sketch.storey(ROOMS, DOORS)
WITH_U = {"W": ("U",)}


def laid(
    storey: sketch.Storey = DWELLING,
    partners: dict[str, tuple[str, ...]] = WITH_U,
    settings: Settings = PLAIN,
    wishes: Wishes = NO_WISHES,
    pitches: dict[str, float] | None = None,
) -> LevelLayout:
    rooms = [r.ifc_guid for r in storey.rooms]
    layout = lay_with_branches(
        LevelBrief(
            level=sketch.level(storey, settings),
            pitches=pitches or dict.fromkeys(rooms, 0.2),
            settings=settings,
            partners=partners,
            wishes=wishes,
        )
    )
    assert layout_checks.faults(storey, layout, rooms) == []
    assert not layout.failed
    return layout


def rooms_of(layout: LevelLayout) -> list[tuple[str, ...]]:
    return sorted(c.rooms for c in layout.circuits)


def warm_m2(layout: LevelLayout, room: str) -> float:
    return sum(f.area_m2 for c in layout.circuits for f in c.fields if f.room == room)


def test_a_small_room_goes_on_its_neighbours_circuit() -> None:
    layout, apart = laid(), laid(partners={})
    assert rooms_of(layout) == [("H",), ("U", "W")]
    assert rooms_of(apart) == [("H",), ("U",), ("W",)]
    assert warm_m2(layout, "W") >= 0.95 * warm_m2(apart, "W")
    (shared,) = [c for c in layout.circuits if len(c.rooms) > 1]
    (own,) = [c for c in apart.circuits if c.rooms == ("U",)]
    assert shared.length_m > own.length_m + 0.8 * warm_m2(layout, "W") / 0.2  # it is the same pipe that fills both
    (told,) = [f for f in layout_findings([layout]) if f.code == "layout.shared-circuit"]
    assert told.ifc_guids == ("U", "W") and "one valve controls them together" in told.message
    assert len(shared.choices_for("W")) == len(shared.choices_for("U")) == 1
    assert shared.choices_for("H") == ()


def test_a_pipe_that_would_be_too_long_is_not_shared() -> None:
    (own,) = [c for c in laid(partners={}).circuits if c.rooms == ("U",)]
    short = replace(PLAIN, pipe=PipeSettings(greatest_circuit_length_m=own.length_m + 5.0))
    assert ("W",) in rooms_of(laid(settings=short))


def test_where_no_pair_leads_straight_the_room_has_a_circuit_of_its_own() -> None:
    blocked = replace(DWELLING, obstacles=(sketch.unit_in(box(2.4, 3.3, 2.9, 4.75)),))
    away = laid(blocked, {"W": ("H",)})
    assert ("W",) in rooms_of(away)


def test_a_neighbour_with_several_circuits_keeps_them_alike_unless_the_designer_says_otherwise() -> None:
    long = replace(PLAIN, pipe=PipeSettings(greatest_circuit_length_m=52.0))
    wide = replace(
        DWELLING, rooms=(ROOMS[0], sketch.room("U", box(0.02, 1.75, 3.02, 5.75), RoomKind.UTILITY), ROOMS[2])
    )
    assert rooms_of(laid(wide, settings=long)).count(("U",)) == 2
    wishes = Wishes(shares_with={"W": "U"})
    told = laid(wide, settings=long, wishes=wishes)
    assert ("U", "W") in rooms_of(told)
    (answer,) = room_answers(wishes, [told])["W"]
    assert answer.followed and (answer.key, answer.asked) == ("shares_with", "U")


def test_the_designer_hears_why_a_room_does_not_share() -> None:
    wishes = Wishes(shares_with={"W": "H"})
    (answer,) = room_answers(wishes, [laid(partners={"W": ("H",)}, wishes=wishes)])["W"]
    assert not answer.followed and "no pair of pipes leads straight" in answer.remark
    alone = Wishes(shares_with={"W": "none"})
    (answer,) = room_answers(alone, [laid(partners={}, wishes=alone)])["W"]
    assert answer.followed


@pytest.mark.parametrize("seed", ["o", "w"])
def test_a_circuit_that_passes_fills_a_cold_piece_of_the_hall(seed: str) -> None:
    storey, pitches = dwelling_cases.random_plan(seed)
    brief = LevelBrief(level=sketch.level(storey), pitches=pitches, settings=PLAIN)
    before = lay_with_edges(brief)
    assert cold_pieces(before, circuit_rooms(before))
    after = laid(storey, {}, pitches=pitches)
    assert sum(c.heated_area_m2 for c in after.circuits) > sum(c.heated_area_m2 for c in before.circuits) + 1.0
    changed = {a.number for a, b in zip(before.circuits, after.circuits, strict=True) if a.axis != b.axis}
    assert changed == {c.number for c in after.circuits if c.branch_choices} != set()
    never = replace(PLAIN, circuits=CircuitSettings(fill_in_passing=False))
    left = laid(storey, {}, never, pitches=pitches)
    assert [c.axis for c in left.circuits] == [c.axis for c in before.circuits]


def test_no_branch_is_laid_wider_than_the_circuit_that_it_belongs_to() -> None:
    """A circuit is ordered, drawn and judged by one pitch; only closer runs may differ from it."""
    layout = laid(pitches={"H": 0.2, "U": 0.15, "W": 0.3})
    (shared,) = [c for c in layout.circuits if len(c.rooms) > 1]
    assert [shared.pitch_of(f) for f in shared.fields if f.room == "W"] == [0.15]
