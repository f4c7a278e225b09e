"""Circuits of one room come out equally long, tails included."""

from __future__ import annotations

from types import SimpleNamespace

import dwelling_cases
import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import Polygon, box

from ufh_core.basis.pipe_axis import Point as Place
from ufh_core.building.types import RoomKind
from ufh_core.circuits import even_lengths, level_layout
from ufh_core.circuits.even_lengths import Evener, LaidRoom, RoomLanes, spread
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


def test_a_lane_is_carried_on_into_a_part_that_moves_away_from_it() -> None:
    """Two circuits of one room, entered at one end: the cut moves by 0.4 m past the end of the farther lane."""
    storey, pitches = dwelling_cases.random_plan("nov26b/2")
    (level,) = sketch.levels_of(storey, frozenset(pitches), Settings())
    layout = lay_level(LevelBrief(level=level, pitches=pitches, settings=Settings()))
    assert layout_checks.faults(storey, layout, list(pitches)) == []
    lengths = [c.length_m for c in layout.circuits if c.rooms == ("R3",)]
    assert len(lengths) == 2 and spread(lengths) <= 0.03


@pytest.mark.parametrize(("heated_m2", "taken"), [(9.71, True), (9.69, False)])
def test_equal_lengths_cost_no_more_floor_than_they_are_worth(heated_m2: float, taken: bool) -> None:
    """Of 10 m², all heated before, 3 % may stay cold for circuits that are alike."""
    whole = SimpleNamespace(floor=box(0, 0, 5, 2))
    unlike = SimpleNamespace(division=(None,), spread=0.5, cost=1.5, heated_m2=10.0, parts=[whole])
    unlike.joined = [SimpleNamespace(pitch_m=0.2)]
    alike = SimpleNamespace(division=(1,), spread=0.0, cost=0.1, heated_m2=heated_m2)

    class Given(Evener):
        def _lay(self, division: object) -> LaidRoom:  # type: ignore[override]
            return alike  # type: ignore[return-value]

    room = SimpleNamespace(parts=[SimpleNamespace(pitch_m=0.2)], crossed=False)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(even_lengths, "corrected", lambda *_: (1,))
        patch.setattr(even_lengths, "_shifted", lambda *_: iter(()))
        found = Given(room, SimpleNamespace(), box(0, 0, 5, 2)).evened(unlike)  # type: ignore[arg-type]
    assert (found is alike) is taken  # type: ignore[comparison-overlap]


@pytest.mark.parametrize(("crossed", "times"), [(False, even_lengths.STEPS), (True, 1)])
def test_a_room_that_others_tails_cross_is_not_laid_again_and_again_in_vain(crossed: bool, times: int) -> None:
    unlike = SimpleNamespace(division=(None,), spread=0.5, cost=1.5, heated_m2=10.0, joined=[], parts=[])
    laid: list[object] = []

    class Given(Evener):
        def _lay(self, division: object) -> LaidRoom:  # type: ignore[override]
            laid.append(division)
            return SimpleNamespace(division=division, spread=0.6, cost=1.8, heated_m2=10.0)  # type: ignore[return-value]

    room = SimpleNamespace(parts=[SimpleNamespace(pitch_m=0.2)], crossed=crossed)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(even_lengths, "corrected", lambda *_: (len(laid),))
        patch.setattr(even_lengths, "_shifted", lambda *_: iter(()))
        Given(room, SimpleNamespace(), box(0, 0, 5, 2)).evened(unlike)  # type: ignore[arg-type]
    assert len(laid) == times


@pytest.mark.parametrize(("corners", "crossed"), [(((1, -1), (1, 3)), True), (((6, -1), (6, 3)), False)])
def test_a_room_is_crossed_where_tails_of_others_run_over_its_floor(corners: tuple[Place, ...], crossed: bool) -> None:
    room = RoomLanes(room="R", floor=box(0, 0, 5, 2), division=(), parts=(), lanes=(), foreign=(corners,))
    assert room.crossed is crossed
