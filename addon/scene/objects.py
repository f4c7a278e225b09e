"""Collections and objects: made, marked, found by their marks, and taken out again without a trace."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import bpy

from ufh_core.basis.frame import LocalFrame

from . import names


def find(guid: str) -> list[bpy.types.Object]:
    """All objects that show the element of a GlobalId; both halves of a circuit, all parts of a wall."""
    return [each for each in bpy.data.objects if guid and each.get(names.GUID) == guid]


def find_circuit(number: str, name: str = "") -> list[bpy.types.Object]:
    """The objects of a circuit by its number, of the design shown as `name`, or of any."""
    tops = [c for c in bpy.data.collections if c.get(names.ROOT) == names.DESIGN and name in ("", c.get(names.NAME))]
    inside = {each for top in tops for each in top.all_objects}
    return [each for each in inside if each.get(names.KIND) == "pipe" and each.get(names.NUMBER) == number]


def root(kind: str, name: str) -> bpy.types.Collection | None:
    """The top collection that shows a building or a design as `name`; None where there is none."""
    marks = ((c, c.get(names.ROOT), c.get(names.NAME)) for c in bpy.data.collections if c.library is None)
    return next((c for c, its_kind, its_name in marks if its_kind == kind and its_name == name), None)


def part(name: str, key: str) -> bpy.types.Collection | None:
    """The collection of one of `names.PARTS` of the design shown as `name`; None where it is not shown."""
    top = root(names.DESIGN, name)
    return next((c for c in top.children if c.get(names.PART) == key), None) if top else None


def clear(name: str) -> None:
    """Take the building and the design shown as `name` out of the file; what the user put there stays in the scene."""
    for kind in (names.DESIGN, names.BUILDING):
        top = root(kind, name)
        if top is not None:
            remove(top)


def opened_root(kind: str, name: str, frame: LocalFrame) -> bpy.types.Collection:
    """The empty top collection of `name`, made and linked where it is missing, with the place of its plan."""
    top = root(kind, name)
    if top is None:
        top = marked(bpy.data.collections.new(names.shown_name(f"{name} {kind}")), kind, {names.ROOT: kind})
        top[names.NAME] = name
    top[names.FRAME_ORIGIN] = [float(c) for c in frame.origin]
    top[names.FRAME_ROTATION] = float(frame.rotation)
    if not any(top in set(scene.collection.children_recursive) for scene in bpy.data.scenes):
        bpy.context.scene.collection.children.link(top)
    return top


def child(parent: bpy.types.Collection, name: str, kind: str, marks: Mapping[str, Any]) -> bpy.types.Collection:
    """A new collection in another."""
    made = marked(bpy.data.collections.new(names.shown_name(name)), kind, marks)
    parent.children.link(made)
    return made


def placed(
    collection: bpy.types.Collection, name: str, data: bpy.types.ID | None, kind: str, marks: Mapping[str, Any]
) -> bpy.types.Object:
    """A new object in a collection; `data` is its mesh, curve or text, None for an empty."""
    made = marked(bpy.data.objects.new(names.shown_name(name), data), kind, marks)
    if data is not None:
        data[names.KIND] = kind
    collection.objects.link(made)
    return made


def marked(thing: Any, kind: str, marks: Mapping[str, Any]) -> Any:
    """A thing with its kind and other custom properties."""
    thing[names.KIND] = kind
    for key, value in marks.items():
        thing[key] = value
    return thing


def emptied(collection: bpy.types.Collection) -> None:
    """Take out what was made here, with collections inside; what the user put there goes to the scene's collection."""
    for inner in list(collection.children):
        if names.KIND in inner:
            remove(inner)
    ours = [each for each in collection.objects if names.KIND in each]
    _to_scene(collection, [each for each in collection.objects if names.KIND not in each])
    if any(each.mode != "OBJECT" for each in ours) and bpy.ops.object.mode_set.poll():
        bpy.ops.object.mode_set(mode="OBJECT")  # the host loses memory with objects that are being edited
    data = {each.data for each in ours if each.data is not None and names.KIND in each.data}
    bpy.data.batch_remove(ours)
    bpy.data.batch_remove([each for each in data if each.users == 0])


def remove(collection: bpy.types.Collection) -> None:
    """Take a collection out with all that was made here, and looks that nothing wears any more."""
    emptied(collection)
    for inner in list(collection.children):
        bpy.context.scene.collection.children.link(inner)
    bpy.data.collections.remove(collection)
    idle = [m for m in bpy.data.materials if names.KIND in m]
    idle += [f for f in bpy.data.fonts if f.filepath == "<builtin>"]  # comes with the first text
    bpy.data.batch_remove([each for each in idle if each.users == 0])


def _to_scene(collection: bpy.types.Collection, objects: Iterable[bpy.types.Object]) -> None:
    """Link objects of the user to the scene's own collection unless they are elsewhere too."""
    for each in objects:
        if len(each.users_collection) == 1:
            bpy.context.scene.collection.objects.link(each)
        collection.objects.unlink(each)
