"""What is seen in the host's solid view: pipes where the plan has them, temperatures in the colours of the scale."""

from pathlib import Path

import numpy as np
import pytest
import shapely

bpy = pytest.importorskip("bpy", reason="the host's module bpy is not installed")

from scene_cases import designed, fresh_scene, of_kind
from scene_picture import Picture, picture_from_above

from addon.scene import building as shown_building
from addon.scene import design as shown_design
from addon.scene import names, part, temperature
from addon.scene.view import show_part
from ufh_core.basis.pipe_axis import Straight
from ufh_core.design_result import Design
from ufh_core.documents.surface_palette import coloured

GREY = np.array([0.299, 0.587, 0.114])  # luma of ITU-R BT.601


@pytest.fixture(scope="module")
def design() -> Design:
    fresh_scene()
    design = designed()
    shown_building.show(design.building, name="bungalow")
    shown_design.show(design, design.building, name="bungalow")
    for label in of_kind(bpy.data.objects, "room_label"):
        label.hide_render = True
    return design


def close(design: Design, path: Path, side_m: float, metre_px: float) -> Picture:
    """A corner of the floor of the largest room."""
    for key, _ in names.PARTS:
        show_part("bungalow", key, key in ("flow", "return", "fields"))
    room = max(design.building.storeys[0].rooms, key=lambda r: r.outline.area)
    west, south, _, _ = room.outline.bounds
    return picture_from_above(path, (west - 0.2, south - 0.2, west + side_m, south + side_m), metre_px)


def seen(picture: Picture, points: np.ndarray) -> np.ndarray:
    """The colours of those points that lie in a picture."""
    height, width = picture.pixels.shape[:2]
    places = [picture.place(x, y) for x, y in points]
    return np.array([picture.pixels[r, c] for r, c in places if 1 < r < height - 2 and 1 < c < width - 2])


def on_straights(design: Design, *, flow: bool) -> np.ndarray:
    """Points in the middle of straights that lie well inside one half of their circuit."""
    found = []
    for circuit in design.storeys[0].circuits:
        before, whole = 0.0, circuit.laid.axis.length_m
        for piece in circuit.laid.axis.pieces:
            share = (before + piece.length_m / 2) / whole
            if isinstance(piece, Straight) and piece.length_m > 0.3 and (share < 0.45 if flow else share > 0.55):
                found.append(np.add(piece.start, piece.end) / 2)
            before += piece.length_m
    return np.array(found)


def test_pipes_are_seen_where_they_are_laid_and_their_halves_differ_in_grey(design: Design, tmp_path: Path) -> None:
    closely = close(design, tmp_path / "close.png", 3.6, 140)
    flow, back = (seen(closely, on_straights(design, flow=half)) for half in (True, False))
    assert len(flow) > 5 and len(back) > 5
    rooms = shapely.union_all([r.outline for r in design.building.storeys[0].rooms])
    laid = shapely.union_all([c.laid.axis.line() for c in design.storeys[0].circuits])
    box = (closely.west, closely.north - closely.pixels.shape[0] / closely.metre_px)
    x, y = np.meshgrid(np.arange(box[0] + 0.05, box[0] + 4, 0.1), np.arange(box[1] + 0.05, closely.north, 0.1))
    free = shapely.contains_xy(rooms.buffer(-0.05), x, y) & ~shapely.contains_xy(laid.buffer(0.03), x, y)
    floor = seen(closely, np.column_stack([x[free], y[free]]))
    assert len(floor) > 100
    greys = [colours @ GREY for colours in (back, flow, floor)]
    assert greys[0].max() < 0.30 < greys[1].min() and greys[1].max() < 0.65 < greys[2].min()
    assert (flow[:, 0] > flow[:, 2] + 0.4).all() and (back[:, 2] > back[:, 0] + 0.2).all()


def test_rings_are_seen_on_the_return_half(design: Design, tmp_path: Path) -> None:
    closely = close(design, tmp_path / "closer.png", 1.6, 320)
    dark = closely.pixels @ GREY < 0.35
    axes = [circuit.laid.axis.line() for circuit in design.storeys[0].circuits]
    returns = shapely.union_all([shapely.ops.substring(a, 0.55, 0.95, normalized=True) for a in axes])
    flows = shapely.union_all([shapely.ops.substring(a, 0.05, 0.45, normalized=True) for a in axes])
    rim_m = design.settings.pipe.outside_diameter_m / 2 + 0.0025

    def beside(axis: shapely.Geometry) -> float:
        """Share of dark pixels beside the pipe's own width."""
        return float(seen_dark(closely, dark, axis.buffer(rim_m).boundary).mean())

    assert beside(returns) > 0.1 and beside(flows) < 0.02


def seen_dark(picture: Picture, dark: np.ndarray, line: shapely.Geometry) -> np.ndarray:
    """Which points along a line are dark in a picture, every centimetre."""
    points = shapely.get_coordinates(shapely.segmentize(line, 0.01))
    places = np.array([picture.place(x, y) for x, y in points])
    inside = ((places >= 0) & (places < dark.shape)).all(axis=1)
    return dark[tuple(places[inside].T)]


@pytest.mark.parametrize("colours", ["MATERIAL", "VERTEX"])
def test_the_floor_s_temperature_is_seen_in_its_colours_with_the_legend(
    design: Design, tmp_path: Path, colours: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # In fewer cells, for a machine without a graphics card draws them one by one; pipes lie below and are left out.
    monkeypatch.setattr(temperature, "MOST_CELLS", 60_000)
    shown_design.show(design, design.building, name="bungalow")
    for key in ("flow", "return", "manifolds", "fields", "findings"):
        show_part("bungalow", key, False)
    show_part("bungalow", "surface", True)
    field = design.storeys[0].surface
    cell, values = 2 * field.cell_m, temperature.coarser(field.surface_c, field.room_index, 2)[0]
    (floor,) = of_kind(part("bungalow", "surface").objects, "surface")
    low, high = floor["ufh_scale_c"]
    assert floor["ufh_cell_m"] == pytest.approx(cell)
    (west, south), (tall, wide) = field.corner, values.shape
    box = (west - 0.2, south - 0.2, west + wide * cell + 3, south + tall * cell + 0.2)
    picture = picture_from_above(tmp_path / "warm.png", box, 30, colours=colours)
    rng = np.random.default_rng(7)
    places = rng.permutation(np.argwhere(np.isfinite(values)))[:600]
    standing = [o.outline for o in design.building.storeys[0].obstacles if not o.movable]
    hidden = shapely.union_all([*standing, *(w.outline for w in design.building.storeys[0].walls)]).buffer(0.05)
    labels = shapely.union_all([shapely.box(*plan_box(o)) for o in of_kind(bpy.data.objects, "figures_ground")])
    at = field.corner + (places[:, ::-1] + 0.5) * cell
    bare = ~shapely.contains_xy(shapely.union_all([hidden, labels]), at)
    true = coloured(values[tuple(places[bare].T)], low, high) / 255
    off = np.abs(seen(picture, at[bare]) - true).max(axis=1)
    assert bare.sum() > 200 and np.median(off) < 0.04 and np.quantile(off, 0.98) < 0.12
    legend(picture, low, high)


def plan_box(thing: bpy.types.Object) -> tuple[float, float, float, float]:
    """The plan that a flat thing covers, and a little more."""
    west, south, east, north = shapely.MultiPoint([v.co[:2] for v in thing.data.vertices]).bounds
    return west - 0.1, south - 0.1, east + 0.1, north + 0.1


def legend(picture: Picture, low: float, high: float) -> None:
    """The scale is seen from end to end in the colours of the palette, with dark figures beside it."""
    things = of_kind(part("bungalow", "surface").objects, "legend")
    (bar,) = [each for each in things if each.type == "MESH"]
    ends = np.array([v.co[:2] for v in bar.data.vertices])
    (west, south), (east, north) = ends.min(axis=0) + 0.02, ends.max(axis=0) - 0.02
    share = np.linspace(0.02, 0.98, 25)
    column = seen(picture, np.column_stack([np.full(25, (west + east) / 2), south + share * (north - south)]))
    true = coloured((low + share * (high - low)).astype(np.float32), low, high) / 255
    assert np.abs(column - true).max() < 0.08
    for figure in (each for each in things if each.type == "FONT" and each.data.body.isdigit()):
        row, first = picture.place(figure.location.x, figure.location.y)
        patch = picture.pixels[row - 4 : row + 5, first : first + 10] @ GREY
        assert patch.min() < 0.65 < 0.95 < patch.max()
