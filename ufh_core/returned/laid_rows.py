"""A design's circuits as far as they may stay: the rows of design.json that keep them, without all the rest of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.design_result import CircuitDesign, Design, ManifoldDesign
from ufh_core.exchange.plan_points import moved, turned
from ufh_core.returned.carrying_on import Turn, rounded_point, way_row
from ufh_core.revision.carrying import DIGITS

NO_ROWS: Mapping[str, Mapping[str, Any]] = {}


def laid_rows(design: Design, drawn: Mapping[str, Mapping[str, Any]] = NO_ROWS) -> dict[str, Any]:
    """What `settings.earlier_run` reads of a design.json; `drawn` are other ways and fields of circuits, by number."""
    storeys = {s.ifc_guid: s for s in design.building.storeys}
    found = []
    for storey in design.storeys:
        turn = plan_to_storey(design.building, storeys[storey.storey])
        circuits = [{**_circuit(c, turn), **drawn.get(c.laid.number, {})} for c in storey.circuits]
        manifolds = [_manifold(m, turn) for m in storey.manifolds]
        found.append({"ifc_guid": storey.storey, "manifolds": manifolds, "circuits": circuits})
    frame = design.building.frame
    place = {"origin_m": [float(v) for v in frame.origin], "rotation_rad": float(frame.rotation)}
    return {"plan_frame": place, "storeys": found}


def _manifold(design: ManifoldDesign, turn: Turn) -> dict[str, Any]:
    manifold = design.manifold
    return {
        "name": manifold.name,
        "place": manifold.place or None,
        "room": manifold.room,
        "position": rounded_point(moved(turn, manifold.position)),
        "normal": rounded_point(turned(turn, manifold.normal)),
        "width_m": round(manifold.width_m, DIGITS),
        "station_side": manifold.station_side,
    }


def _circuit(design: CircuitDesign, turn: Turn) -> dict[str, Any]:
    laid = design.laid
    row = {
        "number": laid.number,
        "port": laid.port,
        "manifold": laid.manifold,
        "rooms": list(laid.rooms),
        "pitch_m": round(laid.pitch_m, DIGITS),
        "wall_sleeves": laid.sleeves,
    }
    return row | way_row(laid.axis, tuple((f.room, f.outline) for f in laid.fields), turn)
