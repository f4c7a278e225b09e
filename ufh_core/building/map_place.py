"""Where a model's own coordinates lie on the map, and how one model's coordinates become another's.

Source: ISO 16739, IfcMapConversion: rotation by (XAxisAbscissa, XAxisOrdinate), Scale, then Eastings, Northings
and OrthogonalHeight in the map's unit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import ifcopenshell.util.unit as ifc_unit
import numpy as np
from numpy.typing import NDArray

from ufh_core.building.model_file import ModelFile

Matrix4 = NDArray[np.float64]
ODD_SCALE = 0.01  # a scale further from 1, in metres, is a slip of units and not meant


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapPlace:
    """From a model's world [m] to the map [m], and the name of the map's system ("" for none)."""

    to_map: Matrix4
    system: str


def map_place(source: ModelFile) -> MapPlace | None:
    """The map conversion of a model; None where it has none."""
    conversions = source.of_class("IfcMapConversion")
    if not conversions:
        return None
    found = conversions[0]
    unit = _map_unit(found, source)
    cos, sin = _direction(found)
    scale = float(found.Scale or 1.0) * unit / source.scale
    scale = scale if abs(scale - 1.0) <= ODD_SCALE else 1.0
    shift = [float(v or 0.0) * unit for v in (found.Eastings, found.Northings, found.OrthogonalHeight)]
    rows = [[cos * scale, -sin * scale, 0, shift[0]], [sin * scale, cos * scale, 0, shift[1]], [0, 0, scale, shift[2]]]
    name = (getattr(found.TargetCRS, "Name", None) or "").strip()
    return MapPlace(to_map=np.array([*rows, [0, 0, 0, 1]], dtype=float), system=name)


def _direction(conversion: Any) -> tuple[float, float]:
    """(cosine, sine) of the model's x axis on the map."""
    x = 1.0 if conversion.XAxisAbscissa is None else float(conversion.XAxisAbscissa)
    y = float(conversion.XAxisOrdinate or 0.0)
    size = math.hypot(x, y)
    return (x / size, y / size) if size > 1e-9 else (1.0, 0.0)


def _map_unit(conversion: Any, source: ModelFile) -> float:
    """Metres in the unit of eastings and northings: the map's own, else the model's."""
    unit = getattr(conversion.TargetCRS, "MapUnit", None)
    if unit is None:
        return source.scale
    try:
        scale = float(ifc_unit.convert(1, getattr(unit, "Prefix", None), unit.Name, None, "METRE"))
    except Exception:  # conversion-based and broken units
        ratio = getattr(getattr(unit, "ConversionFactor", None), "ValueComponent", None)
        scale = float(getattr(ratio, "wrappedValue", 0.0) or 0.0)
    return scale if scale > 0 else source.scale


def between(source: MapPlace | None, target: MapPlace | None) -> Matrix4:
    """From one model's world [m] to another's, through the map where both are on the same one; else as it is."""
    if source is None or target is None or source.system.casefold() != target.system.casefold():
        return np.eye(4)
    return np.asarray(np.linalg.inv(target.to_map) @ source.to_map)
