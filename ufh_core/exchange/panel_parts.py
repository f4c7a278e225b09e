"""The panels of the laying plan one by one: whole ones as copies of one body, pieces with bodies of their own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from ufh_core.exchange import shapes
from ufh_core.exchange.pipes import StoreyScope
from ufh_core.exchange.properties import own_set
from ufh_core.exchange.trade_model import TradeModel
from ufh_core.floor.types import BuildUp, Layer
from ufh_core.panels.types import PanelArea, PanelPlan, Piece

LAYER = "Floor heating - panels"
STYLE = "Castellated panel"


@dataclass(slots=True)
class PanelType:
    """The product that whole panels are, and its body once for each thickness [m]."""

    model: TradeModel
    plan: PanelPlan
    entity: Any = None
    maps: dict[float, Any] = field(default_factory=dict)

    def body(self, thickness_m: float) -> Any:
        """The body of a whole panel, lock edges left out, with its corner at the origin."""
        key = round(thickness_m, 6)
        if key not in self.maps:
            long, wide = (n * self.plan.size.stud_m for n in (self.plan.size.long, self.plan.size.wide))
            solids = shapes.upright(self.model, shapely.box(0, 0, long, wide), (0.0, key), (0.0, 0.0, 0.0))
            shape = self.model.shape("Body", "SweptSolid", solids, LAYER, STYLE)
            self.maps[key] = self.model.make("IfcRepresentationMap", self.model.axes((0.0, 0.0, 0.0)), shape)
            self.entity.RepresentationMaps = list(self.maps.values())
        return self.maps[key]


def write_panel_parts(
    model: TradeModel, scope: StoreyScope, build_ups: Mapping[str, BuildUp], coverings: Mapping[str, Any]
) -> None:
    """Every panel and piece of a storey as a part of the covering of its room; `build_ups`, `coverings` by room."""
    plan = scope.storey.panels
    if plan is None:
        return
    kind = _panel_type(model, scope, plan)
    layers = {room: next((a for a in b.layers if a.role == "panel"), None) for room, b in build_ups.items()}
    for area in plan.areas:
        for piece in area.pieces:
            layer, covering = layers.get(piece.room), coverings.get(piece.room)
            if layer is not None and covering is not None:
                _part(model, scope, kind, area, piece, layer, covering)


def _panel_type(model: TradeModel, scope: StoreyScope, plan: PanelPlan) -> PanelType:
    size = plan.size
    name = f"Castellated panel {1000 * size.long * size.stud_m:.0f} x {1000 * size.wide * size.stud_m:.0f} mm"
    role = (scope.entity.GlobalId, "panel type")
    made = model.root("IfcBuildingElementPartType", role, Name=name, PredefinedType="INSULATION")
    return PanelType(model=model, plan=plan, entity=made)


def _part(
    model: TradeModel,
    scope: StoreyScope,
    kind: PanelType,
    area: PanelArea,
    piece: Piece,
    layer: Layer,
    covering: Any,
) -> None:
    corner = _corner(area, piece)
    at = (corner[0], corner[1], layer.bottom_m)
    shape = _copy(model, kind, area, layer) if piece.whole else _own_body(model, piece, layer, at)
    if shape is None:
        return
    made = model.product(
        "IfcBuildingElementPart",
        (piece.room, "panel part", piece.number),
        scope.entity,
        at,
        [shape],
        Name=piece.number,
        ObjectType="CASTELLATED PANEL",
        PredefinedType="INSULATION",
    )
    model.gather("IfcRelAggregates", covering, [made])
    if piece.whole:
        model.gather("IfcRelDefinesByType", kind.entity, [made])
    own_set(model, made, "UFH_PanelPiece", _rows(piece))


def _corner(area: PanelArea, piece: Piece) -> tuple[float, float]:
    """The corner of a piece at the start of its row."""
    east = np.array(area.heading)
    points = shapely.get_coordinates(piece.outline)
    along, across = points @ east, points @ np.array([-east[1], east[0]])
    x, y = along.min() * east + across.min() * np.array([-east[1], east[0]])
    return float(x), float(y)


def _copy(model: TradeModel, kind: PanelType, area: PanelArea, layer: Layer) -> Any:
    """The body of a whole panel, turned along its row."""
    x, y = area.heading
    turn = model.make(
        "IfcCartesianTransformationOperator3D",
        model.direction((x, y, 0.0)),
        model.direction((-y, x, 0.0)),
        model.make("IfcCartesianPoint", [0.0, 0.0, 0.0]),
        1.0,
        model.direction((0.0, 0.0, 1.0)),
    )
    item = model.make("IfcMappedItem", kind.body(layer.thickness_m), turn)
    return model.shape("Body", "MappedRepresentation", [item])


def _own_body(model: TradeModel, piece: Piece, layer: Layer, at: tuple[float, float, float]) -> Any | None:
    solids = shapes.upright(model, piece.outline, (layer.bottom_m, layer.top_m), at)
    return model.shape("Body", "SweptSolid", solids, LAYER, STYLE) if solids else None


def _rows(piece: Piece) -> list[tuple[str, str, Any]]:
    return [
        ("Number", "IfcLabel", piece.number),
        ("FromPanel", "IfcInteger", piece.from_panel),
        ("CutLength", "IfcLengthMeasure", piece.length_m),
        ("CutWidth", "IfcLengthMeasure", piece.width_m),
        ("Whole", "IfcBoolean", piece.whole),
        ("Pin", "IfcBoolean", piece.pin),
    ]
