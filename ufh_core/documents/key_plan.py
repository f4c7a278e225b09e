"""Key plans: which of the storeys a sheet shows, and where in a storey a manifold stands."""

from __future__ import annotations

from collections.abc import Callable

import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import Design, ManifoldDesign
from ufh_core.documents.lettering import clean, wrapped
from ufh_core.documents.pen import INK, PAPER, Pen, polygons, united
from ufh_core.documents.plan_base import WALL_GREY
from ufh_core.documents.sheet import COLUMN_MM, Sheet
from ufh_core.documents.storey_view import StoreyView

HIGH_MM, WIDE_MM = 24.0, 84.0
LEAST_BAR_MM, MOST_BAR_MM = 2.6, 5.0
SPOT_MM = 1.1
DrawKey = Callable[[Pen, Sheet, float, float], None]


def storey_key(design: Design, shown: str) -> DrawKey:
    """The storeys one over the other, the one that is `shown` (GlobalId) filled; as many as there is room for."""
    named = {storey.ifc_guid: clean(storey.name) for storey in design.building.storeys}
    order = [storey.storey for storey in design.storeys]
    at = order.index(shown) if shown in order else 0
    most = int(HIGH_MM / LEAST_BAR_MM)
    first = min(max(0, at - most // 2), max(0, len(order) - most))
    order = order[first : first + most]

    def draw(pen: Pen, sheet: Sheet, x: float, middle: float) -> None:
        high = min(MOST_BAR_MM, HIGH_MM / len(order))
        low = middle - high * len(order) / 2
        for k, storey in enumerate(order):
            foot = low + k * high
            box = shapely.box(*sheet.at(x + 3.0, foot), *sheet.at(x + 23.0, foot + high))
            pen.fill(box, "SHEET", INK if storey == shown else PAPER)
            pen.outline(box, "SHEET")
            text = wrapped(named.get(storey, ""), COLUMN_MM - 30.0, 1.8, 1)[0]
            pen.text(sheet.at(x + 26.0, foot + high / 2 - 0.9), text, 1.8, "SHEET", bold=storey == shown)

    return draw


def manifold_key(view: StoreyView, shown: ManifoldDesign) -> DrawKey:
    """The storey small, with a dot at every manifold; the one that is `shown` filled and named."""
    rooms = united([room.room.outline for room in view.rooms if room.shown]).intersection(view.window)
    walls = united([wall.outline for wall in view.storey.walls]).intersection(view.window)

    def draw(pen: Pen, sheet: Sheet, x: float, middle: float) -> None:
        west, south, east, north = view.bounds
        share = min(WIDE_MM / (east - west), HIGH_MM / (north - south))  # mm of paper for 1 m

        def spot(point: Point) -> Point:
            return sheet.at(
                x + COLUMN_MM / 2 + share * (point[0] - (west + east) / 2),
                middle + share * (point[1] - (south + north) / 2),
            )

        for part in polygons(rooms):
            pen.line([spot((px, py)) for px, py, *_ in part.exterior.coords], "SHEET", weight_mm=0.09)
        for part in polygons(walls):
            small = shapely.transform(part, lambda at: [spot((px, py)) for px, py in at])
            pen.fill(small, "SHEET", WALL_GREY)
        for manifold in view.result.manifolds:
            dot = shapely.Point(spot(manifold.manifold.position)).buffer(pen.mm(SPOT_MM))
            pen.fill(dot, "SHEET", INK if manifold is shown else PAPER)
            pen.outline(dot, "SHEET")
        at = spot(shown.manifold.position)
        pen.text((at[0] + pen.mm(1.8), at[1] - pen.mm(0.9)), shown.manifold.name, 1.8, "SHEET", bold=True)

    return draw
