"""Tails that do not fit through a door: told, or taken straight through a wall where one may be drilled."""

from __future__ import annotations

from dataclasses import replace

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import Construction, RoomKind, Wall
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.remarks import layout_findings
from ufh_core.circuits.types import LevelLayout
from ufh_core.settings.types import LayoutSettings, Settings
from ufh_core.storeys.answers import lay_as_wished
from ufh_core.zones.kept_pipes import KeptManifold, KeptPipe
from ufh_core.zones.wishes import Wishes

ROOMS = [
    sketch.room("Hall", box(0, 0, 6, 3), RoomKind.HALL),
    sketch.room("Bedroom", box(0, 3.12, 6, 9)),
]
GLASS = [box(-0.3, 3.12, 0, 9), box(6, 3.12, 6.3, 9), box(0, 9, 6, 9.3)]
CUPBOARD = box(1.0, 3.6, 5.5, 4.2)  # no manifold has room before the one wall of the bedroom that is not glass


def storey(**said: object) -> sketch.Storey:
    """A hall and a bedroom with a door 400 mm wide between, through which three pairs of tails fit."""
    construction = Construction(**said)  # type: ignore[arg-type]
    wall = Wall(ifc_guid="W", name="W7", outline=box(0, 3, 6, 3.12), bottom_m=0.0, top_m=2.5, construction=construction)
    door = sketch.door(box(0.15, 3, 0.55, 3.12), sketch.THROUGH_Y, "Hall", "Bedroom")
    made = sketch.storey(
        ROOMS, [door], openings=[sketch.window(g) for g in GLASS], obstacles=[sketch.unit_in(CUPBOARD)]
    )
    return replace(made, walls=(wall,))


def laid(of: sketch.Storey, circuits: int, settings: Settings | None = None) -> LevelLayout:
    layout = unchecked(of, circuits, settings or Settings())
    drilled = replace(of, passages=(*of.passages, *layout.level.sleeve_ways))
    assert layout_checks.faults(drilled, layout, ["Hall", "Bedroom"]) == []
    return layout


def unchecked(of: sketch.Storey, circuits: int, settings: Settings) -> LevelLayout:
    level, least = sketch.level(of, settings), {"Hall": 1, "Bedroom": circuits}
    pitches = dict.fromkeys(least, 0.2)
    return lay_as_wished(LevelBrief(level=level, pitches=pitches, settings=settings, least_counts=least))


def words(layout: LevelLayout, code: str) -> list[str]:
    return [f.message for f in layout_findings([layout]) if f.code == code]


TOO_NARROW = "only 3 of 4 circuits fit through the door between Hall and Bedroom"


def test_as_many_circuits_as_fit_go_through_the_door() -> None:
    layout = laid(storey(load_bearing=False), 3)
    assert len(layout.circuits) == 4 and not layout.failed
    assert layout.level.sleeve_ways == () and not any(c.sleeves for c in layout.circuits)


@pytest.mark.parametrize(("circuits", "drilled"), [(4, 1), (5, 2)])
def test_each_circuit_more_goes_through_a_wall_that_does_not_bear_in_two_sleeves(circuits: int, drilled: int) -> None:
    layout = laid(storey(load_bearing=False), circuits)
    assert len(layout.circuits) == circuits + 1 and not layout.failed
    through = [c for c in layout.circuits if c.sleeves]
    assert [c.sleeves for c in through] == [2] * drilled and len(layout.level.sleeve_ways) == drilled
    said = words(layout, "layout.wall-sleeves")
    assert len(said) == drilled
    assert said[0] == (
        f"circuit {through[0].number}: only 3 of {circuits} circuits fit through the door between Hall and Bedroom, "
        'so its pipes go straight through the wall "W7" in 2 sleeves; by the model the wall does not bear; '
        "have each hole agreed before it is drilled"
    )
    (finding,) = [f for f in layout_findings([layout]) if f.message == said[0]]
    assert finding.ifc_guids == ("Bedroom", "W")


def test_where_the_model_does_not_say_whether_a_wall_bears_that_is_told() -> None:
    layout = laid(storey(), 4)
    assert not layout.failed
    (said,) = words(layout, "layout.wall-sleeves")
    assert "the model does not say whether the wall bears: have a structural engineer decide" in said


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"load_bearing": True}, 'the wall "W7" is load-bearing, so it is not drilled'),
        ({"fire_rating": "EI 60"}, 'the wall "W7" resists fire (EI 60), so it is not drilled'),
    ],
)
def test_a_wall_that_bears_or_resists_fire_is_left_alone_and_it_is_said(said: dict[str, object], why: str) -> None:
    layout = laid(storey(**said), 4)
    assert len(layout.circuits) == 4 and not any(c.sleeves for c in layout.circuits)
    assert [(f.room, f.reason) for f in layout.failed] == [("Bedroom", TOO_NARROW)]
    assert words(layout, "layout.capacity") == [f"Ground: {TOO_NARROW}; {why}"]


def test_a_wall_that_resists_fire_is_drilled_where_the_settings_say_so_and_to_be_sealed() -> None:
    told = Settings(layout=LayoutSettings(fire_wall_sleeves=True))
    layout = laid(storey(fire_rating="EI 60", load_bearing=False), 4, told)
    assert not layout.failed
    (said,) = words(layout, "layout.wall-sleeves")
    assert "the wall resists fire (EI 60): seal each hole to its rating" in said


def test_no_wall_is_drilled_where_the_settings_forbid_it() -> None:
    none = Settings(layout=LayoutSettings(wall_sleeves=False))
    layout = laid(storey(load_bearing=False), 4, none)
    assert len(layout.failed) == 1 and not any(c.sleeves for c in layout.circuits)
    assert words(layout, "layout.capacity") == [f"Ground: {TOO_NARROW}; the settings allow no sleeves through walls"]


def test_tails_of_rooms_found_from_walls_lie_closer_before_a_wall_is_drilled() -> None:
    """Such rooms' tails lie 100 mm apart to heat the floor; through the door then fit two pairs at most."""
    derived = replace(storey(), rooms=tuple(replace(room, derived=True) for room in ROOMS))
    layout = unchecked(derived, 3, Settings())
    assert not layout.failed and not any(c.sleeves for c in layout.circuits) and layout.level.sleeve_ways == ()
    (said,) = words(layout, "layout.capacity")
    assert "of 3 circuits fit through the door between Hall and Bedroom; more fit with tails 50 mm apart" in said


def test_a_room_behind_a_bearing_wall_only_is_told_of() -> None:
    closed = replace(storey(load_bearing=True), passages=(), obstacles=())
    layout = laid(closed, 1)
    assert not any(c.sleeves for c in layout.circuits) and layout.level.sleeve_ways == ()
    (said,) = words(layout, "layout.wall-not-drilled")
    assert said == (
        'Hall: no door leads there, and the wall "W7" is load-bearing, so no pipe goes through it; '
        "add the door to the model"
    )


def test_a_wall_is_drilled_where_circuits_that_stay_fill_the_door() -> None:
    of, settings = storey(load_bearing=False), Settings()
    first = laid(of, 4)
    (manifold,) = first.manifolds
    body = KeptManifold(
        name=manifold.name,
        place="",
        room="Hall",
        position=manifold.position,
        normal=(round(manifold.normal[0]), round(manifold.normal[1])),
        width_m=manifold.width_m,
        station_side=manifold.station_side,
    )
    stay = tuple(
        KeptPipe(
            label=c.number,
            room=c.rooms[0],
            axis=c.axis,
            pitch_m=c.pitch_m,
            fields=tuple((f.room, f.outline) for f in c.fields),
            manifold=body,
            in_room=4,
        )
        for c in first.circuits
        if not c.sleeves and c.rooms == ("Bedroom",)
    )
    pitches = {"Hall": 0.2, "Bedroom": 0.2}
    level = sketch.level(of, settings)
    layout = lay_as_wished(LevelBrief(level=level, pitches=pitches, settings=settings, wishes=Wishes(kept=stay)))
    assert [c.kept != "" for c in layout.circuits].count(True) == 3 and not layout.failed and not layout.refused
    anew = [c for c in layout.circuits if not c.kept and c.rooms == ("Bedroom",)]
    assert anew and all(c.sleeves == 2 for c in anew)
    assert len(words(layout, "layout.wall-sleeves")) == len(anew) == len(layout.level.sleeve_ways)
    drilled = replace(of, passages=(*of.passages, *layout.level.sleeve_ways))
    assert layout_checks.faults(drilled, layout, ["Hall", "Bedroom"]) == []


def test_the_same_level_is_drilled_the_same_twice() -> None:
    first, second = (laid(storey(load_bearing=False), 4) for _ in range(2))
    assert first.circuits == second.circuits and first.level.sleeve_ways == second.level.sleeve_ways
