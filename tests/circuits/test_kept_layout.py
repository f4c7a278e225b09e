"""Circuits that stay as they lie: unchanged where they are legal, refused with the rule where they are not."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import layout_checks
import numpy as np
import plan_sketch as sketch
import pytest
import shapely
from shapely.geometry import box

from ufh_core.basis.pipe_axis import rounded
from ufh_core.building.types import Construction, RoomKind, Wall
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.settings.types import LayoutSettings, ManifoldSettings, Settings
from ufh_core.storeys.answers import kept_findings, lay_as_wished, place_findings
from ufh_core.zones.given_places import GivenPlace
from ufh_core.zones.kept_pipes import KeptManifold, KeptPipe
from ufh_core.zones.wishes import NO_WISHES, Wishes

PLAIN = Settings()
ROOMS = (
    sketch.room("H", box(0.02, 0.03, 6.02, 1.63), RoomKind.HALL),
    sketch.room("A", box(0.02, 1.75, 3.02, 5.35)),
    sketch.room("B", box(3.14, 1.75, 6.02, 5.35)),
)
DOORS = [sketch.door(box(x, 1.63, x + 0.9, 1.75), sketch.THROUGH_Y, "H", g) for x, g in ((1.0, "A"), (4.0, "B"))]
DWELLING = sketch.storey(ROOMS, DOORS)
GROWN = replace(DWELLING, rooms=(*ROOMS[:2], replace(ROOMS[2], outline=box(3.14, 1.75, 7.52, 5.35))))
COLUMN = replace(DWELLING, obstacles=(sketch.unit_in(box(4.4, 3.4, 4.7, 3.7)),))


def laid(storey: sketch.Storey, wishes: Wishes = NO_WISHES, settings: Settings = PLAIN) -> LevelLayout:
    pitches = {r.ifc_guid: 0.2 for r in storey.rooms}
    layout = lay_as_wished(
        LevelBrief(level=sketch.level(storey, settings), pitches=pitches, settings=settings, wishes=wishes)
    )
    assert layout_checks.faults(storey, layout, [r.ifc_guid for r in storey.rooms]) == []
    return layout


@pytest.fixture(scope="module")
def before() -> LevelLayout:
    return laid(DWELLING)


def kept(layout: LevelLayout, rooms: Collection[str] = ("H", "A", "B")) -> tuple[KeptPipe, ...]:
    """The circuits of some rooms as an earlier run would hand them on."""
    manifolds = {
        m.name: KeptManifold(
            name=m.name,
            place=m.place,
            room=m.room,
            position=m.position,
            normal=(round(m.normal[0]), round(m.normal[1])),
            width_m=m.width_m,
            station_side=m.station_side,
        )
        for m in layout.manifolds
    }
    return tuple(
        KeptPipe(
            label=f"old {c.number}",
            room=c.rooms[0],
            axis=c.axis,
            pitch_m=c.pitch_m,
            fields=tuple((f.room, f.outline) for f in c.fields),
            manifold=manifolds[c.manifold],
            in_room=sum(other.rooms[0] == c.rooms[0] for other in layout.circuits),
        )
        for c in layout.circuits
        if c.rooms[0] in rooms
    )


def same(one: LaidCircuit, other: LaidCircuit) -> bool:
    a, b = one.axis.points(), other.axis.points()
    return a.shape == b.shape and bool(np.allclose(a, b, atol=1e-9))


def of(layout: LevelLayout, *rooms: str) -> list[LaidCircuit]:
    return [c for c in layout.circuits if c.rooms[0] in rooms]


def test_all_circuits_kept_give_the_same_layout(before: LevelLayout) -> None:
    after = laid(DWELLING, Wishes(kept=kept(before)))
    assert [c.number for c in after.circuits] == [c.number for c in before.circuits]
    assert all(same(a, b) for a, b in zip(after.circuits, before.circuits, strict=True))
    assert [(m.name, m.position, m.width_m, m.station_side, m.ports) for m in after.manifolds] == [
        (m.name, m.position, m.width_m, m.station_side, m.ports) for m in before.manifolds
    ]
    assert [c.heated_area_m2 for c in after.circuits] == pytest.approx([c.heated_area_m2 for c in before.circuits])


@pytest.mark.parametrize("changed", [GROWN, COLUMN], ids=["grown", "column"])
def test_where_one_room_changes_the_others_stay_and_it_is_laid_round_them(
    before: LevelLayout, changed: sketch.Storey
) -> None:
    wishes = Wishes(kept=kept(before, ("H", "A")))
    after = laid(changed, wishes)
    assert all(any(same(c, old) for old in before.circuits) for c in of(after, "H", "A"))
    assert len(of(after, "H", "A")) == len(of(before, "H", "A"))
    assert of(after, "B") and not after.failed and kept_findings(wishes, [after]) == []
    assert [c.kept != "" for c in after.circuits] == [c.rooms[0] != "B" for c in after.circuits]
    assert len(after.manifolds) == 1


ASIDE = sketch.door(box(5.05, 1.63, 5.85, 1.75), sketch.THROUGH_Y, "H", "B")


def drilled(
    doors: int, bears: bool | None = None, settings: Settings = PLAIN, wishes: Wishes = NO_WISHES
) -> LevelLayout:
    """The dwelling with a modelled wall between hall and rooms; without its second door, room B's pipes are sleeved."""
    said = Construction(load_bearing=bears)
    wall = Wall(ifc_guid="W", name="W", outline=box(-0.2, 1.63, 6.2, 1.75), bottom_m=0, top_m=2.5, construction=said)
    storey = replace(DWELLING, passages=(DOORS[0], ASIDE)[:doors], walls=(wall,))
    level = sketch.level(storey, settings)
    pitches = {r.ifc_guid: 0.2 for r in storey.rooms}
    layout = lay_as_wished(LevelBrief(level=level, pitches=pitches, settings=settings, wishes=wishes))
    through = replace(storey, passages=(*storey.passages, *layout.level.sleeve_ways))
    assert layout_checks.faults(through, layout, list(pitches)) == []
    return layout


@pytest.fixture(scope="module")
def sleeved() -> LevelLayout:
    layout = drilled(1)
    assert [c.sleeves for c in of(layout, "B")] == [2]
    return layout


def test_a_pipe_that_lies_in_sleeves_stays_where_its_room_has_a_door_now(sleeved: LevelLayout) -> None:
    """The level has no way through a wall any more but that in which the pipe lies."""
    after = drilled(2, wishes=Wishes(kept=kept(sleeved)))
    assert all(same(a, b) for a, b in zip(after.circuits, sleeved.circuits, strict=True)) and not after.refused
    assert [c.sleeves for c in of(after, "B")] == [2] and len(after.level.sleeve_ways) == 1
    assert after.level.sleeve_ways[0].reason == "it stays as it lies"


@pytest.mark.parametrize(
    ("bears", "settings"), [(True, PLAIN), (None, Settings(layout=LayoutSettings(wall_sleeves=False)))]
)
def test_a_pipe_in_sleeves_does_not_stay_in_a_wall_that_bears_or_where_no_sleeves_are_allowed(
    sleeved: LevelLayout, bears: bool | None, settings: Settings
) -> None:
    after = drilled(2, bears, settings, Wishes(kept=kept(sleeved, ("B",))))
    (refused,) = after.refused
    assert refused.room == "B" and "too near to a wall" in refused.reason
    assert len(of(after, "B")) == 1 and not any(c.sleeves for c in after.circuits)


WIDE = sketch.storey(
    [
        sketch.room("H", box(0.02, 0.03, 9.02, 1.63), RoomKind.HALL),
        *(sketch.room(g, box(x, 1.75, x + 2.9, 5.35)) for g, x in (("A", 0.02), ("B", 3.07), ("C", 6.12))),
        *(sketch.room(g, box(x, -3.6, x + 4.4, -0.09)) for g, x in (("D", 0.02), ("E", 4.62))),
    ],
    [
        *(
            sketch.door(box(x, 1.63, x + 0.9, 1.75), sketch.THROUGH_Y, "H", g)
            for g, x in (("A", 1), ("B", 4), ("C", 7))
        ),
        *(sketch.door(box(x, -0.09, x + 0.9, 0.03), sketch.THROUGH_Y, "H", g) for g, x in (("D", 2), ("E", 6.5))),
    ],
)


@pytest.fixture(scope="module")
def wide() -> LevelLayout:
    return laid(WIDE)


@pytest.mark.parametrize("anew", [("A", "C"), ("B", "D"), ("A", "B", "E")])
def test_ports_that_are_free_again_serve_rooms_on_both_sides_of_lanes_that_stay(
    wide: LevelLayout, anew: tuple[str, ...]
) -> None:
    stay = {"H", "A", "B", "C", "D", "E"} - set(anew)
    wishes = Wishes(kept=kept(wide, stay))
    after = laid(WIDE, wishes)
    assert len(after.manifolds) == len(wide.manifolds) == 1 and not after.failed
    assert sum(any(same(c, old) for old in wide.circuits) for c in of(after, *stay)) == len(of(wide, *stay))
    assert {c.rooms[0] for c in after.circuits if not c.kept} == set(anew)


def test_a_circuit_that_breaks_a_rule_now_is_refused_with_it_and_its_room_laid_anew(before: LevelLayout) -> None:
    wishes = Wishes(kept=kept(before))
    after = laid(COLUMN, wishes)
    messages = [f.message for f in kept_findings(wishes, [after])]
    assert messages and all("too near to a wall, a column" in m and "laid anew" in m for m in messages)
    assert of(after, "B") and not any(same(c, old) for c in of(after, "B") for old in of(before, "B")[:1])
    assert all(any(same(c, old) for old in before.circuits) for c in of(after, "H", "A"))


def test_of_two_pipes_in_one_place_the_second_is_refused(before: LevelLayout) -> None:
    (pipe,) = kept(before, ("A",))[:1]
    wishes = Wishes(kept=(pipe, replace(pipe, label="twin")))
    after = laid(DWELLING, wishes)
    (finding,) = kept_findings(wishes, [after])
    assert "twin" in finding.message and "of another circuit" in finding.message


def test_a_pipe_whose_manifold_lost_its_wall_is_refused(before: LevelLayout) -> None:
    manifold = before.manifolds[0]
    x, y = manifold.position
    door = sketch.door(box(x - 0.4, y - 0.06, x + 0.4, y + 0.06), sketch.THROUGH_Y, "H")
    wishes = Wishes(kept=kept(before))
    after = laid(replace(DWELLING, passages=(*DOORS, door)), wishes)
    messages = [f.message for f in kept_findings(wishes, [after])]
    assert len(messages) == len(before.circuits)
    assert any("no straight free wall" in m for m in messages)
    assert len(after.circuits) >= 3 and not after.failed


def test_a_kept_manifold_that_is_a_given_place_stays_that_place() -> None:
    settings = Settings(manifold=ManifoldSettings(most_ports=12))
    place = GivenPlace(name="a", words="", room="A")
    first = laid(DWELLING, Wishes(places=(place,)), settings)
    wishes = Wishes(places=(place,), kept=kept(first, ("H", "A")))
    after = laid(DWELLING, wishes, settings)
    assert [m.place for m in after.manifolds] == ["a"]
    assert place_findings(wishes, [after], settings) == []


def drawn_loop() -> list[tuple[float, float]]:
    """A loop by hand in room A from a port pair at its upper wall, 0.2 m between runs."""
    return [
        (1.0, 5.29), (1.0, 4.5), (0.3, 4.5), (0.3, 2.1), (2.7, 2.1), (2.7, 4.5), (1.05, 4.5), (1.05, 5.29),
    ]  # fmt: skip


CLOSE = [
    (1.0, 5.29), (1.0, 4.6), (0.4, 4.6), (0.4, 2.2), (2.4, 2.2), (2.4, 4.2), (1.7, 4.2), (1.7, 2.3), (1.1, 2.3),
    (1.1, 5.29),
]  # fmt: skip


def drawn(points: list[tuple[float, float]]) -> KeptPipe:
    axis = rounded(points, PLAIN.pipe.least_bend_radius_m)
    return KeptPipe(label="drawn 1", room="A", axis=axis, pitch_m=None, fields=(), manifold=None, in_room=0)


def test_a_drawn_pipe_gets_a_manifold_behind_its_ports_and_the_rest_keeps_clear() -> None:
    wishes = Wishes(kept=(drawn(drawn_loop()),))
    layout = laid(DWELLING, wishes)
    assert kept_findings(wishes, [layout]) == []
    (mine,) = [c for c in layout.circuits if c.kept == "drawn 1"]
    home = next(m for m in layout.manifolds if m.name == mine.manifold)
    assert home.room == "A" and home.position[1] == pytest.approx(5.35) and home.normal == (0.0, -1.0)
    assert mine.axis == wishes.kept[0].axis and mine.pitch_m == 0.2
    assert {c.rooms[0] for c in layout.circuits} >= {"H", "A", "B"}


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([(1.0, 5.29), (1.0, 0.5), (1.1, 0.5), (1.1, 5.29)], "bend"),
        ([(1.2, 5.29), (1.2, 4.2), (2.99, 4.2), (2.99, 3.0), (1.0, 3.0), (1.0, 5.29)], "too near to a wall"),
        (CLOSE, "its runs lie 100 mm apart"),
        ([(1.0, 4.0), (1.0, 3.0), (2.0, 3.0), (2.0, 4.0)], "no straight free wall"),
    ],
)
def test_a_drawn_pipe_that_breaks_a_rule_is_refused_with_it(points: list[tuple[float, float]], words: str) -> None:
    wishes = Wishes(kept=(drawn(points),))
    layout = laid(DWELLING, wishes)
    (finding,) = kept_findings(wishes, [layout])
    assert words in finding.message and finding.message.startswith("circuits.keep: drawn 1 cannot stay")
    assert {c.rooms[0] for c in layout.circuits} == {"H", "A", "B"}


def test_a_new_circuit_keeps_its_pitch_from_one_that_stays_in_the_same_room() -> None:
    first = laid(DWELLING, Wishes(circuits={"B": 2}))
    gone = of(first, "B")[0]
    stay = tuple(p for p in kept(first) if p.label != f"old {gone.number}")
    after = laid(DWELLING, Wishes(circuits={"B": 2}, kept=stay))
    (old,), (new,) = ([c for c in of(after, "B") if bool(c.kept) is stays] for stays in (True, False))
    runs = [c.axis.line().intersection(shapely.union_all([f.outline for f in c.fields])) for c in (old, new)]
    assert runs[0].distance(runs[1]) > 0.75 * 0.2 - 0.001
    assert new.heated_area_m2 > 0.8 * gone.heated_area_m2
    assert (
        not shapely.union_all([f.outline for f in old.fields])
        .intersection(shapely.union_all([f.outline for f in new.fields]))
        .area
        > 0.01
    )
