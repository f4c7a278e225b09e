"""The building in the host's scene: its shapes have the areas and volumes of the building, and it leaves no trace."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Polygon, box

bpy = pytest.importorskip("bpy", reason="the host's module bpy is not installed")

from scene_cases import area, corners, counts, designed, fresh_scene, of_kind, volume

from addon import scene
from addon.scene import bodies, names
from addon.scene import building as shown_building
from addon.scene.objects import find, root
from addon.scene.view import frame
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building
from ufh_core.samples import sample_model

HOSTILE = [
    "",
    " ",
    "x" * 400,
    "Flow pipes",
    "bungalow building",
    "a\nb\0c",
    "\ud800",
    "../..",
    "屋" * 60,
    "Lobby",
    "Lobby",
]


@pytest.fixture
def building() -> Building:
    fresh_scene()
    return designed().building


def test_every_element_is_there_with_its_id_in_the_collection_of_its_storey(building: Building) -> None:
    top = shown_building.show(building, name="bungalow")
    for storey in building.storeys:
        (inside,) = [c for c in top.children if c["ufh_guid"] == storey.ifc_guid]
        assert {o["ufh_guid"] for o in of_kind(inside.objects, "room")} == {r.ifc_guid for r in storey.rooms}
        assert {o["ufh_guid"] for o in of_kind(inside.objects, "wall")} == {w.ifc_guid for w in storey.walls}
        doors = {o.ifc_guid for o in storey.openings if o.kind == "door"}
        assert doors and {o["ufh_guid"] for o in of_kind(inside.objects, "door")} == doors
        units = {u.ifc_guid for u in storey.obstacles if not u.movable and u.kind != "void"}
        assert units and units <= {o["ufh_guid"] for o in inside.objects}
        assert all(o["ufh_guid"] and o["ufh_kind"] for o in inside.objects)
        room = storey.rooms[0].ifc_guid
        assert {o["ufh_kind"] for o in find(room)} == {"room", "room_label"}


def test_floors_have_the_area_of_their_rooms_and_lie_on_the_slab(building: Building) -> None:
    top = shown_building.show(building, name="bungalow")
    rooms = {r.ifc_guid: r for s in building.storeys for r in s.rooms}
    for shown in of_kind(top.all_objects, "room"):
        room = rooms[shown["ufh_guid"]]
        assert area(shown.data) == pytest.approx(room.outline.area, rel=1e-4)
        height = room.floor_m if room.slab_top_m is None else room.slab_top_m
        assert corners(shown.data)[:, 2] == pytest.approx(height, abs=1e-5)
        assert all(face.normal.z > 0.99 for face in shown.data.polygons)


def test_walls_have_their_volume_less_the_openings(building: Building) -> None:
    top = shown_building.show(building, name="bungalow")
    shown = {o["ufh_guid"]: o for o in of_kind(top.all_objects, "wall")}
    pierced = 0
    for storey in building.storeys:
        for wall in storey.walls:
            whole = wall.outline.area * (wall.top_m - wall.bottom_m)
            holes = [
                o.outline.intersection(wall.outline).area * (min(o.top_m, wall.top_m) - max(o.bottom_m, wall.bottom_m))
                for o in storey.openings
                if o.bottom_m < wall.top_m and o.top_m > wall.bottom_m
            ]
            pierced += any(hole > 1e-3 for hole in holes)
            assert volume(shown[wall.ifc_guid].data) == pytest.approx(whole - sum(holes), rel=2e-3)
    assert pierced >= 5


def test_the_plan_and_the_model_can_be_put_together_again(building: Building) -> None:
    # Outside: the place of a room in the world, as the geometry kernel of the model's reader has it.
    geom = pytest.importorskip("ifcopenshell.geom")
    model = pytest.importorskip("ifcopenshell").open(str(sample_model("bungalow")))
    settings = geom.settings()
    settings.set("use-world-coords", True)
    top = shown_building.show(building, name="bungalow")
    turned = LocalFrame(origin=tuple(top[names.FRAME_ORIGIN]), rotation=top[names.FRAME_ROTATION])
    for space in model.by_type("IfcSpace")[:4]:
        true = np.array(geom.create_shape(settings, space).geometry.verts).reshape(-1, 3)[:, :2]
        (shown,) = of_kind(find(space.GlobalId), "room")
        world = turned.to_world(corners(shown.data))[:, :2]
        assert world.min(axis=0) == pytest.approx(true.min(axis=0), abs=1e-3)
        assert world.max(axis=0) == pytest.approx(true.max(axis=0), abs=1e-3)


def test_showing_again_replaces_and_clearing_leaves_nothing(building: Building) -> None:
    empty = counts()
    shown_building.show(building, name="bungalow")
    first = counts()
    assert first["objects"] > 50
    shown_building.show(building, name="bungalow")
    assert counts() == first
    shown_building.show(building, name="another")
    scene.clear("another")
    assert counts() == first and root(names.BUILDING, "bungalow") is not None
    scene.clear("bungalow")
    assert counts() == empty


def test_what_the_user_put_among_it_stays(building: Building) -> None:
    top = shown_building.show(building, name="bungalow")
    own, folder = bpy.data.objects.new("mine", bpy.data.meshes.new("mine")), bpy.data.collections.new("my folder")
    top.children[0].objects.link(own)
    top.children[0].children.link(folder)
    shown_building.show(building, name="bungalow")
    assert "mine" in bpy.context.scene.objects
    top.children[0].objects.link(own)
    scene.clear("bungalow")
    assert set(bpy.context.scene.objects) == {own} and own.data.name == "mine"
    assert folder.name in {c.name for c in bpy.context.scene.collection.children_recursive}


@pytest.mark.filterwarnings("error")
def test_names_of_the_model_may_be_anything(building: Building) -> None:
    empty = counts()
    storey = building.storeys[0]
    rooms = [replace(r, name=n, long_name="") for r, n in zip(storey.rooms, HOSTILE, strict=True)]
    walls = [replace(w, name=HOSTILE[k % len(HOSTILE)]) for k, w in enumerate(storey.walls)]
    odd = replace(building, storeys=(replace(storey, name="\0\n", rooms=tuple(rooms), walls=tuple(walls)),))
    for name in ("Flow pipes", "x" * 400, ""):
        shown_building.show(odd, name=name)
        top = shown_building.show(odd, name=name)
        assert len(of_kind(top.all_objects, "room")) == len(rooms)
        assert all(each.name.strip() and each.name.isprintable() for each in top.all_objects)
        # 63 bytes are all that hosts before 5.0 keep of a name.
        assert max(len(each.name.encode()) for each in (*top.all_objects, top, *top.children)) <= 63
        scene.clear(name)
        assert counts() == empty


def test_a_hole_in_a_floor_stays_open() -> None:
    ring = Polygon([(0, 0), (6, 0), (6, 4), (0, 4)], [[(2, 1), (2, 3), (4, 3), (4, 1)]])
    body = bodies.Body()
    body.area(MultiPolygon([ring, box(10, 0, 11, 1)]), 1.5)
    body.upright(ring, 0.0, 2.0, 1)
    mesh = body.mesh("test")
    assert area(mesh, [0]) == pytest.approx(20 + 1, rel=1e-5)
    flat = [face for face, slot in zip(body.faces, body.slots, strict=True) if slot == 0]
    faces = [shapely.Polygon(np.array(body.vertices)[face][:, :2]) for face in flat]
    assert not any(face.buffer(-1e-6).intersects(box(2.1, 1.1, 3.9, 2.9)) for face in faces)
    alone = bodies.Body()
    alone.upright(ring, 0.0, 2.0)
    assert volume(alone.mesh("alone")) == pytest.approx(40, rel=1e-5)


def test_points_on_each_other_and_specks_of_holes_are_left_out() -> None:
    # As a reader of models meets them: the ring of such a hole is no ring once its points are one.
    speck = [(1, 1), (1, 1 + 4e-7), (1 + 4e-7, 1)]
    ragged = Polygon([(0, 0), (3, 0), (3, 1e-8), (3, 2), (0, 2)], [speck])
    body = bodies.Body()
    body.area(ragged, 0.0)
    assert len(body.vertices) == 4 and len(body.faces) == 1
    body.upright(MultiPolygon([ragged, Polygon([(5, 5), (5, 5 + 4e-7), (5 + 4e-7, 5)])]), 0.0, 1.0, 1)
    assert area(body.mesh("ragged"), [1]) == pytest.approx(2 * 6 + 10, rel=1e-5)


def test_a_round_bar_has_the_volume_of_its_many_sided_section() -> None:
    for end in ((0.3, 0.4, 1.2), (0.0, 0.0, 2.0), (-1.0, 0.0, 0.0)):
        body = bodies.Body()
        body.rod((0.0, 0.0, 0.0), end, 0.1, sides=12)
        section = 12 / 2 * 0.1**2 * np.sin(2 * np.pi / 12)
        assert volume(body.mesh("bar")) == pytest.approx(section * np.linalg.norm(end), rel=1e-4)


def test_framing_selects_what_is_meant_and_nothing_else(building: Building) -> None:
    shown_building.show(building, name="bungalow")
    first, second = (find(r.ifc_guid) for r in building.storeys[0].rooms[:2])
    frame(first)
    assert set(bpy.context.view_layer.objects.selected) == set(first)
    frame(second)
    assert set(bpy.context.view_layer.objects.selected) == set(second)
    frame([])
    assert not bpy.context.view_layer.objects.selected
