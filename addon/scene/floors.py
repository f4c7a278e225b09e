"""What lies flat in the floor: heated fields under the pipes, and the panels that carry them."""

from __future__ import annotations

from collections.abc import Mapping

import bpy

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.circuits.types import HeatedField
from ufh_core.design_result import CircuitDesign, Design, StoreyDesign
from ufh_core.exchange.pipe_run import circuit_levels
from ufh_core.panels.types import Piece

from . import names
from .bodies import Body
from .looks import dressed
from .objects import placed

FIELD_OVER_PANEL_M = 0.002
"""The pipe lies on the panel's base; a field is drawn this much over it, so that the two can be told apart."""
EDGE_M = 0.003
"""Half the width of the line that shows the joint of two panels."""
PANEL_LOOKS = ("panel", "panel piece", "panel pinned", "panel edge")
WHOLE, CUT, PINNED, EDGE = range(4)
FIELD_LOOKS = ("field", "other field")


def show_fields(inside: bpy.types.Collection, design: Design, storey: StoreyDesign, project_guid: str) -> None:
    """Every heated field of a storey, in two tints in turn from circuit to circuit; edge zones are darker."""
    labels = {room.ifc_guid: room.label for s in design.building.storeys for room in s.rooms}
    for turn, circuit in enumerate(storey.circuits):
        height = circuit_levels(design, storey, circuit.laid).pipe_m - design.settings.pipe.outside_diameter_m / 2
        for number, field in enumerate(circuit.laid.fields, start=1):
            body = Body()
            body.area(field.outline, height + FIELD_OVER_PANEL_M)
            marks = _marks(circuit, storey, field)
            role = (project_guid, "IfcSpatialZone", storey.storey, circuit.laid.number, field.room, str(number))
            title = f"{circuit.laid.number} {labels.get(field.room, field.room)}"
            made = placed(inside, title, body.mesh(title), "field", {names.GUID: deterministic_guid(*role), **marks})
            dressed(made, "edge zone" if field.edge else FIELD_LOOKS[turn % 2])


def show_panels(inside: bpy.types.Collection, design: Design, storey: StoreyDesign) -> None:
    """The laying plan of a storey as one mesh, with lines at the joints; pieces are paler, pinned ones darker."""
    if storey.panels is None:
        return
    tops = _panel_tops(storey)
    if not tops:
        return
    body, otherwise = Body(), min(tops.values())
    for piece in storey.panels.pieces:
        inner = piece.outline.buffer(-EDGE_M, join_style="mitre")
        height = tops.get(piece.room, otherwise)
        body.area(inner, height, _slot(piece))
        body.area(piece.outline.difference(inner), height, EDGE)
    title = next(s.name for s in design.building.storeys if s.ifc_guid == storey.storey)
    marks = {names.STOREY: storey.storey, "ufh_panels": storey.panels.panels, "ufh_pieces": len(storey.panels.pieces)}
    made = placed(inside, f"Panels {title}", body.mesh(names.shown_name(title)), "panels", marks)
    dressed(made, *PANEL_LOOKS)


def _slot(piece: Piece) -> int:
    """The look of a piece: whole, cut, or to be pinned."""
    return PINNED if piece.pin else WHOLE if piece.whole else CUT


def _marks(circuit: CircuitDesign, storey: StoreyDesign, field: HeatedField) -> Mapping[str, object]:
    """What the object of a field says of it."""
    return {
        names.STOREY: storey.storey,
        names.NUMBER: circuit.laid.number,
        "ufh_room": field.room,
        "ufh_area_m2": field.area_m2,
        "ufh_pitch_m": circuit.laid.pitch_of(field),
    }


def _panel_tops(storey: StoreyDesign) -> dict[str, float]:
    """World height of the panels' base, on which the pipe lies, by room [m]."""
    floors = [room.build_up for room in storey.rooms if room.build_up is not None]
    return {b.room: layer.top_m for b in floors for layer in b.layers if layer.role == "panel"}
