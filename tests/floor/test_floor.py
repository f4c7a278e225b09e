"""Layers, heights, section and order list of floors."""

import math

import plan_sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import Construction, MaterialLayer, Room, RoomKind, Slab
from ufh_core.floor import (
    design_build_up,
    floor_findings,
    floor_section,
    pipe_levels,
    screed_area,
    with_pipe,
)
from ufh_core.floor.levels import insulation_thickness
from ufh_core.settings import Settings

SETTINGS = Settings()
OVER_PIPE = 0.008 + 0.045 + 0.015  # half a pipe, cover, finish
GROUND_HEIGHT = 0.001 + 0.035 + 0.0002 + 0.011 + 0.016 + 0.045 + 0.015


def a_room(guid: str = "r", *, slab: float | None = None, floor: float = 0.0, width: float = 5.0) -> Room:
    return Room(
        ifc_guid=guid,
        name=guid,
        long_name="",
        kind=RoomKind.LIVING,
        outline=box(0, 0, width, 4),
        floor_m=floor,
        height_m=2.5,
        slab_top_m=slab,
    )


@pytest.mark.parametrize(
    ("below", "least_r"),
    [("heated", 0.75), ("unheated", 1.25), ("ground", 1.25), ("outside", 2.0)],
)
def test_insulation_reaches_the_published_least_resistance(below: str, least_r: float) -> None:
    """Published: EN 1264-4, table 1 (0.75 and 1.25; 2.0 for outside air from -5 to -15 °C from memory)."""
    build_up = design_build_up(a_room(), below, SETTINGS, 0.1)
    reached = sum(layer.r_value for layer in build_up.layers if layer.role in {"insulation", "panel"})
    step = 0.005 / SETTINGS.floor.insulation_conductivity
    assert least_r <= reached + 1e-9 < least_r + step
    thickness = insulation_thickness(below, SETTINGS)
    assert thickness / 0.005 == pytest.approx(round(thickness / 0.005))


def test_layers_touch_and_end_at_the_finished_floor_where_the_model_leaves_the_height() -> None:
    build_up = design_build_up(a_room(slab=-0.15), "ground", SETTINGS, 0.1)
    assert [layer.role for layer in build_up.layers] == ["membrane", "insulation", "foil", "panel", "screed", "finish"]
    for lower, upper in zip(build_up.layers, build_up.layers[1:], strict=False):
        assert lower.top_m == pytest.approx(upper.bottom_m)
    assert build_up.layers[-1].top_m == pytest.approx(0.0)
    assert build_up.missing_height_m == 0.0
    assert -0.15 - 1e-9 <= build_up.layers[0].bottom_m < -0.145  # filled down to the slab but for less than a step


def test_the_pipe_lies_on_its_panel() -> None:
    build_up = design_build_up(a_room(), "ground", SETTINGS, 0.1)
    panel = next(layer for layer in build_up.layers if layer.role == "panel")
    screed = next(layer for layer in build_up.layers if layer.role == "screed")
    assert build_up.pipe_axis_m == pytest.approx(panel.top_m + 0.008)
    assert screed.top_m - (build_up.pipe_axis_m + 0.008) == pytest.approx(SETTINGS.floor.screed_cover_m)


def test_a_membrane_lies_on_ground_only() -> None:
    roles = {
        below: {layer.role for layer in design_build_up(a_room(), below, SETTINGS, 0.1).layers}
        for below in ("ground", "heated")
    }
    assert "membrane" in roles["ground"]
    assert "membrane" not in roles["heated"]


def test_layers_are_stacked_up_from_the_slab_where_height_is_missing() -> None:
    build_up = design_build_up(a_room(slab=0.0), "ground", SETTINGS, 0.1)
    assert build_up.layers[0].bottom_m == pytest.approx(0.0)
    assert build_up.missing_height_m == pytest.approx(GROUND_HEIGHT)
    assert abs(build_up.pipe_axis_m) < 0.25


@pytest.mark.parametrize("slab", [0.4, -2.0, 3.0])
def test_a_slab_that_cannot_be_this_floor_s_is_not_believed(slab: float) -> None:
    build_up = design_build_up(a_room(slab=slab), "ground", SETTINGS, 0.1)
    assert build_up.available_m is None
    assert build_up.pipe_axis_m == pytest.approx(-OVER_PIPE)


def test_rooms_with_level_floors_share_the_height_of_the_pipe() -> None:
    rooms = [
        a_room("big", slab=0.0, width=9.0),
        a_room("unknown"),
        a_room("deep", slab=-0.2, floor=0.006),
        a_room("step", slab=-0.2, floor=0.17),
    ]
    below = {"big": "ground", "unknown": "heated", "deep": "outside", "step": "ground"}
    levels = pipe_levels(rooms, below, SETTINGS)
    assert levels["big"] == levels["unknown"] == levels["deep"]
    assert levels["step"] == pytest.approx(0.17 - OVER_PIPE)
    heights = {
        room.ifc_guid: design_build_up(room, below[room.ifc_guid], SETTINGS, 0.1, pipe_axis_m=levels[room.ifc_guid])
        for room in rooms
    }
    tops = {heights[guid].layers[-1].top_m for guid in ("big", "unknown", "deep")}
    assert max(tops) - min(tops) < 1e-9


def test_screed_is_net_of_studs_and_pipe() -> None:
    """By hand: 5 x 4 m within a strip of 8 mm, x (16 + 45 - 4) mm, less 120 m of 16 mm pipe."""
    build_up = design_build_up(a_room(), "ground", SETTINGS, 0.1, pipe_length_m=120.0)
    inner = (5 - 2 * 0.008) * (4 - 2 * 0.008)
    assert screed_area(a_room().outline, SETTINGS) == pytest.approx(inner)
    assert build_up.screed_volume_m3 == pytest.approx(inner * 0.057 - 120 * math.pi * 0.016**2 / 4)
    bare = design_build_up(a_room(), "ground", SETTINGS, 0.1)
    assert with_pipe(bare, inner, 120.0, SETTINGS).screed_volume_m3 == pytest.approx(build_up.screed_volume_m3)
    assert build_up.edge_strip_m == pytest.approx(18.0)
    assert build_up.mass_kg_m2 == pytest.approx(
        build_up.screed_volume_m3 / inner * 2000 + (0.035 + 0.011) * 25 + 0.015 * 2000
    )


def test_r_below_takes_the_slab_s_heavy_layers_only() -> None:
    """By hand: (35 + 11) mm at 0.035, 0.2 m of concrete at 2.0, film 0.17 (EN 1264-2)."""
    concrete = MaterialLayer(name="concrete", thickness_m=0.2, conductivity=2.0)
    foam = MaterialLayer(name="foam", thickness_m=0.1, conductivity=0.035)
    slab = Slab(
        ifc_guid="s",
        name="",
        kind="floor",
        outline=box(0, 0, 5, 4),
        bottom_m=-0.4,
        top_m=-0.2,
        construction=Construction(layers=(concrete, foam)),
    )
    build_up = design_build_up(a_room(), "ground", SETTINGS, 0.1, slab=slab)
    assert build_up.r_below == pytest.approx(0.046 / 0.035 + 0.1 + 0.17)
    section = floor_section(build_up, 0.2, SETTINGS, 0.05)
    assert (section.pitch_m, section.finish_r, section.r_below) == (0.2, 0.05, build_up.r_below)
    assert (section.cover_m, section.pipe_diameter_m) == (0.045, 0.016)


def test_missing_height_is_told_once_for_a_level() -> None:
    rooms = [a_room("one", slab=0.0), a_room("two", slab=0.0), a_room("deep", slab=-0.2), a_room("unknown")]
    build_ups = [design_build_up(room, "ground", SETTINGS, 0.1) for room in rooms]
    storey = plan_sketch.storey(rooms)
    found = {finding.code: finding for finding in floor_findings(build_ups, storey, 40.0, SETTINGS)}
    assert set(found) == {"floor.height-missing", "floor.height-unknown"}
    assert found["floor.height-missing"].ifc_guids == ("one", "two")
    assert "123 mm" in found["floor.height-missing"].message
    assert found["floor.height-unknown"].ifc_guids == ("unknown",)
    assert floor_findings(build_ups[2:3], storey, 40.0, SETTINGS) == ()
