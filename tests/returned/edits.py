"""Edits of a heating model as somebody makes them elsewhere: with ifcopenshell, in world metres."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.api
import ifcopenshell.util.element
import ifcopenshell.util.placement as ifc_placement
import ifcopenshell.util.unit
import numpy as np

Edit = Callable[[Any], None]


def edited(source: Path, target: Path, *edits: Edit) -> Path:
    """The file with some edits made in it, as another file."""
    model: Any = ifcopenshell.open(str(source))
    for edit in edits:
        edit(model)
    model.write(str(target))
    return target


def unit_m(model: Any) -> float:
    """Metres in the file's length unit."""
    return float(ifcopenshell.util.unit.calculate_unit_scale(model))


def named(model: Any, kind: str, name: str) -> Any:
    """The element of a class and name."""
    return next(e for e in model.by_type(kind) if e.Name == name)


def moved(kind: str, name: str, way: tuple[float, float], turn: float = 0.0) -> Edit:
    """An element, with all that is placed in it, moved by a way in the world [m] and turned about its place [rad]."""

    def edit(model: Any) -> None:
        element = named(model, kind, name)
        matrix = np.array(ifc_placement.get_local_placement(element.ObjectPlacement))
        matrix[:2, 3] += np.array(way) / unit_m(model)
        c, s = np.cos(turn), np.sin(turn)
        matrix[:3, :3] = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ matrix[:3, :3]
        ifcopenshell.api.run(
            "geometry.edit_object_placement", model, product=element, matrix=matrix, is_si=False,
            should_transform_children=True,
        )  # fmt: skip

    return edit


def points_changed(number: str, change: Callable[[np.ndarray], np.ndarray]) -> Edit:
    """The points (n, 3) of a pipe's curve [m, storey's frame], changed; its own frame may lie anywhere in it."""

    def edit(model: Any) -> None:
        pipe, scale = named(model, "IfcPipeSegment", f"Pipe {number}"), unit_m(model)
        own = np.array(ifc_placement.get_axis2placement(pipe.ObjectPlacement.RelativePlacement))
        axis = next(r for r in pipe.Representation.Representations if r.RepresentationIdentifier == "Axis")
        points = axis.Items[0].Points
        there = np.array(points.CoordList) @ own[:3, :3].T + own[:3, 3]
        after = (change(there * scale) / scale - own[:3, 3]) @ own[:3, :3]
        points.CoordList = [tuple(map(float, p)) for p in after]

    return edit


def curve_replaced(number: str, points: list[tuple[float, float, float]]) -> Edit:
    """A pipe's curve drawn anew as a polyline through points [m, storey's frame]."""

    def edit(model: Any) -> None:
        pipe, scale = named(model, "IfcPipeSegment", f"Pipe {number}"), unit_m(model)
        own = np.linalg.inv(ifc_placement.get_axis2placement(pipe.ObjectPlacement.RelativePlacement))
        local = [(own @ np.array([*(np.array(p) / scale), 1.0]))[:3] for p in points]
        curve = model.create_entity(
            "IfcPolyline", [model.create_entity("IfcCartesianPoint", p.tolist()) for p in local]
        )
        for shape in pipe.Representation.Representations:
            if shape.RepresentationIdentifier == "Axis":
                shape.Items = [curve]
            else:
                shape.Items[0].Directrix = curve

    return edit


def removed(number: str) -> Edit:
    """A circuit deleted: its pipe and its group."""

    def edit(model: Any) -> None:
        for element in (
            named(model, "IfcPipeSegment", f"Pipe {number}"),
            named(model, "IfcDistributionCircuit", number),
        ):
            ifcopenshell.api.run("root.remove_product", model, product=element)

    return edit
