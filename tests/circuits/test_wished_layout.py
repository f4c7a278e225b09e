"""Manifolds where the designer wants them, rooms on the manifold and by the door that he names."""

from __future__ import annotations

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, Point, box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LevelLayout
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.storeys.answers import answer_findings, lay_as_wished, place_findings, room_answers
from ufh_core.zones.given_places import GivenPlace
from ufh_core.zones.wishes import NO_WISHES, Wishes

PLAIN = Settings()
ROOMS = [
    sketch.room("H", box(0.02, 0.03, 8.02, 1.63), RoomKind.HALL),
    sketch.room("A", box(0.02, 1.75, 3.02, 5.35)),
    sketch.room("B", box(3.14, 1.75, 5.54, 5.35)),
    sketch.room("C", box(5.66, 1.75, 8.02, 5.35)),
]
HALL_DOORS = [
    sketch.door(box(x, 1.63, x + 0.9, 1.75), sketch.THROUGH_Y, "H", g) for x, g in ((1.0, "A"), (3.6, "B"), (6.2, "C"))
]
BETWEEN = sketch.door(box(3.02, 4.0, 3.14, 4.9), sketch.THROUGH_X, "A", "B")
DWELLING = sketch.storey(ROOMS, [*HALL_DOORS, BETWEEN])


def laid(wishes: Wishes, settings: Settings = PLAIN, storey: sketch.Storey = DWELLING) -> LevelLayout:
    pitches = {r.ifc_guid: 0.2 for r in storey.rooms}
    layout = lay_as_wished(
        LevelBrief(level=sketch.level(storey, settings), pitches=pitches, settings=settings, wishes=wishes)
    )
    assert layout_checks.faults(storey, layout, [r.ifc_guid for r in storey.rooms]) == []
    assert not layout.failed
    return layout


def told(wishes: Wishes, layout: LevelLayout, settings: Settings = PLAIN) -> list[str]:
    answers = answer_findings(DWELLING.rooms, room_answers(wishes, [layout]))
    return [f.message for f in (*answers, *place_findings(wishes, [layout], settings))]


def served(layout: LevelLayout) -> dict[str, set[str]]:
    """Rooms by the place of their manifold."""
    place = {m.name: m.place for m in layout.manifolds}
    found: dict[str, set[str]] = {p: set() for p in place.values()}
    for circuit in layout.circuits:
        found[place[circuit.manifold]].add(circuit.rooms[0])
    return found


def test_a_manifold_stands_in_the_room_that_the_designer_names() -> None:
    wishes = Wishes(places=(GivenPlace(name="c", words="", room="C"),))
    layout = laid(wishes)
    assert [(m.room, m.place) for m in layout.manifolds] == [("C", "c")]
    assert told(wishes, layout) == []


@pytest.mark.parametrize("spot", [(0.1, 0.9), (7.9, 0.9), (1.5, 5.3)])
def test_a_manifold_stands_at_the_nearest_wall_to_a_point(spot: tuple[float, float]) -> None:
    wishes = Wishes(places=(GivenPlace(name="p", words="at [x, y]", target=Point(spot)),))
    layout = laid(wishes)
    (manifold,) = layout.manifolds
    assert manifold.place == "p"
    back = LineString([manifold.cabinet.exterior.coords[0], manifold.cabinet.exterior.coords[1]])
    assert back.distance(Point(spot)) < 0.6


def test_how_far_a_manifold_stands_from_the_point_is_told() -> None:
    wishes = Wishes(places=(GivenPlace(name="p", words="at [4, 0.9]", target=Point(4.0, 0.9)),))
    layout = laid(wishes)
    (message,) = told(wishes, layout)
    away = Point(4.0, 0.9).distance(Point(layout.manifolds[0].position))
    assert message.startswith(f'manifold M1 "p" stands {away:.2f} m from [4, 0.9]')


def test_a_manifold_hangs_on_the_wall_that_the_designer_names() -> None:
    wall = box(8.02, 0, 8.2, 6)
    wishes = Wishes(places=(GivenPlace(name="w", words="", target=wall, reach_m=0.06),))
    (manifold,) = laid(wishes).manifolds
    assert manifold.place == "w" and manifold.normal == (-1.0, 0.0) and manifold.position[0] == pytest.approx(8.02)


def test_rooms_hang_on_the_manifold_that_the_designer_names() -> None:
    places = (GivenPlace(name="a", words="", room="A"), GivenPlace(name="c", words="", room="C"))
    free = laid(Wishes(places=places))
    assert "B" in served(free)["a"] | served(free)["c"]
    for name in ("a", "c"):
        wishes = Wishes(places=places, served_from={"B": name, "H": name})
        layout = laid(wishes)
        assert {"B", "H"} <= served(layout)[name]
        assert told(wishes, layout) == []


def test_a_place_that_serves_certain_rooms_serves_no_other() -> None:
    places = (GivenPlace(name="h", words="", room="H"), GivenPlace(name="c", words="", room="C", serves=("C",)))
    assert served(laid(Wishes(places=places, served_from={"C": "c"}))) == {"h": {"H", "A", "B"}, "c": {"C"}}


def test_a_place_without_wall_is_told_with_what_it_needs_and_the_level_is_laid() -> None:
    wishes = Wishes(places=(GivenPlace(name="x", words="at [4, 20]", target=Point(4.0, 20.0)),))
    layout = laid(wishes)
    (message,) = [m for m in told(wishes, layout) if '"x"' in m]
    assert "no manifold stands there" in message and "of straight free wall" in message and "M1 in " in message


def test_what_a_place_cannot_take_gets_a_manifold_that_is_told() -> None:
    settings = Settings(manifold=ManifoldSettings(most_ports=3))
    wishes = Wishes(places=(GivenPlace(name="h", words="", room="H"),))
    layout = laid(wishes, settings)
    assert len(next(m for m in layout.manifolds if m.place == "h").ports) == 3
    assert any("is added: those that are given" in m for m in told(wishes, layout, settings))


def crosses(layout: LevelLayout, room: str, door: sketch.Passage) -> bool:
    lines = [c.axis.line() for c in layout.circuits if c.rooms == (room,)]
    return bool(lines) and all(line.intersection(door.outline).length > 0.2 for line in lines)


def test_pipes_come_in_by_the_door_that_the_designer_names() -> None:
    assert crosses(laid(NO_WISHES), "B", HALL_DOORS[1])
    wishes = Wishes(entries={"B": frozenset({BETWEEN.ifc_guid})})
    layout = laid(wishes)
    assert crosses(layout, "B", BETWEEN) and not crosses(layout, "B", HALL_DOORS[1])
    assert told(wishes, layout) == []


def test_an_entry_that_leaves_another_room_without_a_way_is_told_and_both_are_laid() -> None:
    storey = sketch.storey(ROOMS[:3], [HALL_DOORS[1], BETWEEN])  # A has no door but that to B
    wishes = Wishes(entries={"B": frozenset({BETWEEN.ifc_guid})}, places=(GivenPlace(name="h", words="", room="H"),))
    layout = laid(wishes, storey=storey)
    assert {c.rooms[0] for c in layout.circuits} == {"H", "A", "B"}
    answered = room_answers(wishes, [layout])["B"][0]
    assert answered.key == "entry" and answered.followed == crosses(layout, "B", BETWEEN)


def flats(*, named: bool = True, own_hall: bool = True) -> sketch.Storey:
    """Two flats on both sides of a common hall; the left one's own hall is named or forgotten by the model."""
    left, right = ("left", "right") if named else (None, None)
    rooms = [
        sketch.room("X", box(4.12, 0.03, 5.52, 6.03), RoomKind.HALL),
        sketch.room("LH", box(2.52, 0.03, 4.0, 6.03), RoomKind.HALL, dwelling=left if own_hall else None),
        sketch.room("L1", box(-1.5, 0.03, 2.4, 3.0), dwelling=left),
        sketch.room("L2", box(-1.5, 3.12, 2.4, 6.03), dwelling=left),
        sketch.room("R1", box(5.64, 0.03, 9.0, 3.0), dwelling=right),
        sketch.room("R2", box(5.64, 3.12, 9.0, 6.03), dwelling=right),
    ]
    doors = [
        sketch.door(box(4.0, 2.0, 4.12, 2.9), sketch.THROUGH_X, "LH", "X"),
        sketch.door(box(2.4, 1.0, 2.52, 1.9), sketch.THROUGH_X, "L1", "LH"),
        sketch.door(box(2.4, 4.0, 2.52, 4.9), sketch.THROUGH_X, "L2", "LH"),
        sketch.door(box(5.52, 1.0, 5.64, 1.9), sketch.THROUGH_X, "X", "R1"),
        sketch.door(box(7.0, 3.0, 7.9, 3.12), sketch.THROUGH_Y, "R1", "R2"),
    ]
    return sketch.storey(rooms, doors)


def lies_in(layout: LevelLayout) -> dict[str, set[str]]:
    """Rooms in which the pipes of each manifold lie."""
    found: dict[str, set[str]] = {}
    for circuit in layout.circuits:
        line = circuit.axis.line()
        mine = {g for g, floor in layout.level.floors.items() if line.intersection(floor).length > 0.1}
        found[circuit.manifold] = found.get(circuit.manifold, set()) | mine
    return found


def test_no_flat_s_pipes_lie_in_another_flat() -> None:
    layout = laid(NO_WISHES, storey=flats())
    assert sorted(lies_in(layout).values(), key=sorted) == [{"L1", "L2", "LH"}, {"R1", "R2"}, {"X"}]


def test_without_flats_or_by_the_settings_all_rooms_share_a_manifold() -> None:
    assert len(laid(NO_WISHES, storey=flats(named=False)).manifolds) == 1
    shared = Settings(manifold=ManifoldSettings(by_dwelling=False))
    assert len(laid(NO_WISHES, shared, storey=flats()).manifolds) == 1


def test_a_room_that_the_zones_forgot_belongs_to_the_flat_behind_its_only_door() -> None:
    storey = flats(own_hall=False)
    without_common = sketch.storey([r for r in storey.rooms if r.ifc_guid != "X"], storey.passages[1:3])
    assert {"L1", "L2", "LH"} in lies_in(laid(NO_WISHES, storey=without_common)).values()
