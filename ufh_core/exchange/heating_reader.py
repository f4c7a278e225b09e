"""A heating model read back as bodies for coordination: `heating.ifc`, whoever edited it since.

Pipes are read from their axis (else from the directrix of their body), everything else from its body.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.util.placement as ifc_placement
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, polygons
from ufh_core.basis.errors import ModelReadError
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.bodies import Body, body_of_parts, geometry_settings, kernel_mesh, metres_per_unit, plan_shape
from ufh_core.coordination.types import CabinetPart, HeatingParts, PipePart, ScreedPart, SleevePart
from ufh_core.exchange.heating_parts import piece_points
from ufh_core.exchange.pipe_curves import curve_pieces, groups_of, heating_pipes, pipe_curve

USUAL_RADIUS_M = 0.008
MANIFOLD, CABINET = "FLOOR HEATING MANIFOLD", "MANIFOLD CABINET"
SCREEDS = ("SCREED", "TOPPING")


def read_heating(path: Path, frame: LocalFrame) -> HeatingParts:
    """The bodies of a heating model in the architect's plan frame.

    Raises `ModelReadError` where the file cannot be read or holds neither pipes nor manifolds.
    """
    parts = HeatingReader(open_heating(path), frame).parts()
    if not parts.pipes and not parts.cabinets:
        raise ModelReadError(f"{path}: holds no heating pipe and no manifold; name the heating.ifc of a design")
    return parts


def open_heating(path: Path) -> Any:
    """The file of a heating model. Raises: ModelReadError where it cannot be read."""
    try:
        return ifcopenshell.open(str(path))
    except Exception as error:  # the parser raises errors of many kinds
        why = " ".join(str(error).split())[:120] or type(error).__name__
        raise ModelReadError(f"{path}: cannot be read as a heating model ({why}); design it again") from None


@dataclass(frozen=True, slots=True)
class HeatingReader:
    """One heating model and the plan frame in which its bodies are given."""

    model: Any
    frame: LocalFrame

    def parts(self) -> HeatingParts:
        """All bodies."""
        pipes = [(e, self._pipe(e)) for e in heating_pipes(self.model)]
        return HeatingParts(
            pipes=tuple(p for _, p in pipes if p is not None),
            cabinets=tuple(c for e in self._all("IfcElementAssembly") for c in self._cabinet(e)),
            screeds=tuple(s for e in self._all("IfcCovering") for s in self._screed(e)),
            sleeves=tuple(s for e in self._all("IfcBuildingElementProxy") for s in self._sleeve(e)),
            unread=tuple(e.GlobalId for e, p in pipes if p is None),
        )

    def _all(self, kind: str) -> list[Any]:
        """Elements of a class; none where the schema does not have it."""
        try:
            return list(self.model.by_type(kind))
        except RuntimeError:
            return []

    # --- pipes ------------------------------------------------------------------------------

    def _pipe(self, element: Any) -> PipePart | None:
        """A circuit's pipe; None where its axis cannot be read."""
        curve, radius = pipe_curve(element)
        pieces = curve_pieces(curve) if curve is not None else []
        if not pieces:
            return None
        scale = metres_per_unit(self.model)
        points = piece_points([tuple(tuple(scale * c for c in p) for p in piece) for piece in pieces])  # type: ignore[misc]
        number = element.Tag or element.Name or element.GlobalId
        return PipePart(
            ifc_guid=element.GlobalId,
            number=number,
            manifold=_system(element),
            storey=_storey(element),
            points=self.frame.to_local(self.world(element, points)),
            radius_m=radius * scale if radius else USUAL_RADIUS_M,
        )

    def world(self, element: Any, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """World points [m] of points [m] in an element's own frame."""
        matrix = np.eye(4)
        if element.ObjectPlacement is not None:
            matrix = np.array(ifc_placement.get_local_placement(element.ObjectPlacement), dtype=float)
        matrix[:3, 3] *= metres_per_unit(self.model)
        return np.asarray(points @ matrix[:3, :3].T + matrix[:3, 3])

    # --- bodies -----------------------------------------------------------------------------

    def _cabinet(self, assembly: Any) -> Iterator[CabinetPart]:
        """The cabinet of a manifold; the hull of all its parts where it has none of its own."""
        if assembly.ObjectType != MANIFOLD:
            return
        parts = [p for r in assembly.IsDecomposedBy or () for p in r.RelatedObjects]
        own = [p for p in parts if p.ObjectType == CABINET]
        found = [s for s in (self.shape(p) for p in own or parts) if s is not None]
        if found:
            hull = shapely.union_all([s[0] for s in found]).convex_hull
            yield CabinetPart(
                ifc_guid=(own[0] if own else assembly).GlobalId,
                manifold=assembly.Name or assembly.GlobalId,
                storey=_storey(assembly),
                outline=Polygon(hull.exterior),
                bottom_m=min(s[1] for s in found),
                top_m=max(s[2] for s in found),
                service=self._service(assembly),
            )

    def _service(self, assembly: Any) -> Polygon | None:
        """The space for service, from the assembly's clearance."""
        shape = self.shape(assembly, "Clearance")
        parts = polygons(shape[0]) if shape is not None else []
        return parts[0] if parts else None

    def _screed(self, covering: Any) -> Iterator[ScreedPart]:
        """The screed of a room."""
        if covering.ObjectType not in SCREEDS and covering.PredefinedType not in SCREEDS:
            return
        shape = self.shape(covering)
        if shape is not None:
            label = (covering.Name or covering.GlobalId).partition(", ")[2] or covering.Name or covering.GlobalId
            area, low, high = shape
            yield ScreedPart(
                ifc_guid=covering.GlobalId,
                label=label,
                storey=_storey(covering),
                outline=area,
                bottom_m=low,
                top_m=high,
            )

    def _sleeve(self, proxy: Any) -> Iterator[SleevePart]:
        """A hole that is asked for in a wall."""
        shape = self.shape(proxy) if getattr(proxy, "PredefinedType", "") == "PROVISIONFORVOID" else None
        if shape is not None:
            yield SleevePart(ifc_guid=proxy.GlobalId, storey=_storey(proxy), outline=shape[0])

    def shape(self, element: Any, which: str = "Body") -> tuple[Area, float, float] | None:
        """(plan outline, lowest and greatest world height [m]) of a representation; None without one."""
        if element.Representation is None:
            return None
        shown = [r for r in element.Representation.Representations if r.RepresentationIdentifier == which]
        meshes = [m for r in shown for m in (kernel_mesh(geometry_settings(), r),) if m is not None and len(m[1])]
        if not meshes:
            return None
        body = body_of_parts([Body(element, self.world(element, v), f) for v, f in meshes])
        flat = plan_shape(body, self.frame)
        return None if flat is None else (flat.area, flat.bottom_m, flat.top_m)


# --- attributes -----------------------------------------------------------------------------------


def _storey(element: Any) -> str:
    """GlobalId of the storey that contains an element, "" for none."""
    return next((r.RelatingStructure.GlobalId for r in element.ContainedInStructure or ()), "")


def _system(element: Any) -> str:
    """Name of the manifold whose system an element is in, "" for none."""
    groups = groups_of(element)
    systems = [g for g in groups if g.is_a() == "IfcDistributionSystem" or g.ObjectType == "HEATING"]
    return next((g.Name or "" for g in systems), "")
