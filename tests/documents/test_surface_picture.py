"""The picture of surface temperatures: colours in order, places where they belong, limits to be seen."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from documents.made_up_design import BATH, HALL, LIVING, design
from PIL import Image

from ufh_core.basis.errors import OutputError
from ufh_core.design_result import Design
from ufh_core.documents.plan_svg import surface_stems
from ufh_core.documents.surface_palette import coloured, palette
from ufh_core.documents.surface_picture import RIM, scale_ends, surface_picture, write_surface_picture
from ufh_core.floor.types import FloorSection
from ufh_core.surface_field import FloorPipe, RoomFloor, surface_field

SECTION = FloorSection(
    pitch_m=0.15, cover_m=0.045, screed_conductivity=1.2, finish_r=0.05, pipe_diameter_m=0.016,
    pipe_wall_m=0.002, pipe_conductivity=0.35, r_below=1.42,
)  # fmt: skip


def with_surface(flow_c: float) -> Design:
    """The made-up design with the field of its pipes at a flow temperature [°C]."""
    plain = design()
    (storey,) = plain.storeys
    floors = [
        RoomFloor(
            room=room, outline=outline, section=SECTION, indoor_c=20.0, below_c=15.0, limit_k=9.0, edge_limit_k=15.0,
            tail_spacing_m=0.05,
        )
        for room, outline in (("living", LIVING), ("hall", HALL), ("bath", BATH))
    ]  # fmt: skip
    pipes = [
        FloorPipe(
            number=c.laid.number, axis=c.laid.axis, flow_c=flow_c, mass_flow=0.03,
            fields=tuple((f, c.laid.pitch_m) for f in c.laid.fields),
        )
        for c in storey.circuits
    ]  # fmt: skip
    field = surface_field(floors, pipes)
    return replace(plain, storeys=(replace(storey, surface=field),))


@pytest.fixture(scope="module")
def mild() -> Design:
    return with_surface(33.0)


def _luminance(colours: np.ndarray) -> np.ndarray:
    light = np.where(colours <= 0.04045 * 255, colours / 255 / 12.92, ((colours / 255 + 0.055) / 1.055) ** 2.4)
    return light @ np.array([0.2126, 0.7152, 0.0722])


def test_colours_darken_evenly_so_that_grey_keeps_the_order() -> None:
    """Lightness L* by CIE 1976 from luminance by IEC 61966-2-1 (sRGB)."""
    lightness = 116 * np.cbrt(_luminance(palette().astype(float))) - 16
    steps = np.diff(lightness)
    assert (steps < 0.05).all() and lightness[0] > 90 and lightness[-1] < 25
    eighths = np.diff(lightness[::32])
    assert eighths.max() / eighths.min() > 0.5


def test_temperatures_get_their_colours() -> None:
    values = np.array([[20.0, 25.0, 30.0, np.nan]], dtype=np.float32)
    colours = coloured(values, 20.0, 30.0)[0]
    assert colours[0].tolist() == palette()[0].tolist()
    assert colours[2].tolist() == palette()[-1].tolist()
    assert colours[3].tolist() == [255, 255, 255]


def test_mild_floor_has_no_hatching_and_a_hot_one_has(mild: Design) -> None:
    quiet = np.asarray(surface_picture(mild, mild.storeys[0]))
    hot = with_surface(52.0)
    loud = np.asarray(surface_picture(hot, hot.storeys[0]))
    assert hot.storeys[0].surface is not None and hot.storeys[0].surface.hot_places
    dark = lambda image: int((image == np.array(RIM)).all(axis=2).sum())  # noqa: E731
    assert dark(quiet) < 500 < 5000 < dark(loud)


def test_scale_holds_all_temperatures(mild: Design) -> None:
    field = mild.storeys[0].surface
    assert field is not None
    low, high = scale_ends(field)
    assert low <= np.nanmin(field.surface_c) and np.nanmax(field.surface_c) <= high
    assert low == int(low) and high - low >= 6


def test_north_is_up_and_west_is_left(mild: Design) -> None:
    """The bath lies in the south-west: the lower left of the plan is coloured, the bedroom above it is white."""
    image = np.asarray(surface_picture(mild, mild.storeys[0])).astype(int)
    height, width = image.shape[:2]
    plan_width, plan_height = width - 48 - 190, height - 66 - 62
    south_west = image[66 + int(plan_height * 0.82) : 66 + int(plan_height * 0.88), 24 + int(plan_width * 0.12)]
    north_west = image[66 + int(plan_height * 0.15) : 66 + int(plan_height * 0.25), 24 + int(plan_width * 0.2)]
    assert (south_west.min(axis=1) < 240).all()
    assert (north_west == 255).all()


def test_file_is_a_png_and_the_same_twice(mild: Design, tmp_path: Path) -> None:
    for name in ("a.png", "b.png"):
        write_surface_picture(mild, mild.storeys[0], tmp_path / name)
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
    with Image.open(tmp_path / "a.png") as picture:
        assert picture.format == "PNG" and min(picture.size) > 600


def test_names_only_for_storeys_with_a_field(mild: Design) -> None:
    assert list(surface_stems(mild).values()) == ["surface-Ground-floor"]
    assert surface_stems(design()) == {}
    with pytest.raises(OutputError, match="no surface temperatures"):
        surface_picture(design(), design().storeys[0])


def test_folder_that_is_not_there_is_told_in_one_line(mild: Design, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="cannot be written"):
        write_surface_picture(mild, mild.storeys[0], tmp_path / "none" / "a.png")
