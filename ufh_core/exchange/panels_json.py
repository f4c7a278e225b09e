"""The laying plan of panels in design.json: what lies where, what is cut from what and in which order."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.design_result import Design, StoreyDesign
from ufh_core.exchange.plan_points import moved, turned
from ufh_core.floor.fixing import PANELS, fixing_of
from ufh_core.panels.types import CutPanel, PanelArea, PanelPlan, Piece

Turn = NDArray[np.float64]


def panel_size(design: Design, storey: StoreyDesign) -> dict[str, Any]:
    """What holds the pipes; where panels do, their size [m] and the floor of the rooms that get them [m2]."""
    floor, fixing = design.settings.floor, fixing_of(design.settings)
    if fixing.name != PANELS:
        return {"fixing": fixing.name}
    built = [design.building.room(r.room) for r in storey.rooms if r.build_up is not None]
    return {
        "fixing": fixing.name,
        "length_m": floor.panel_length_m,
        "width_m": floor.panel_width_m,
        "stud_pitch_m": design.settings.layout.stud_pitch_m,
        "covered_area_m2": sum(room.outline.area for room in built),
    }


def panel_rows(plan: PanelPlan | None, turn: Turn) -> dict[str, Any]:
    """The plan of a storey; places in the storey's frame [m], cuts in the panel's own measures. Empty for none."""
    if plan is None:
        return {}
    return {
        "lap_m": plan.size.lap * plan.size.stud_m,
        "count": plan.panels,
        "laid_whole": sum(piece.whole for piece in plan.pieces),
        "laid_area_m2": plan.covered_m2,
        "waste_share": plan.waste,
        "off_cuts_area_m2": plan.left_m2,
        "rooms": [
            {
                "ifc_guid": room.room,
                "whole": room.whole,
                "pieces": room.pieces,
                "laid_area_m2": room.covered_m2,
                "used_area_m2": room.used_m2,
                "waste_share": room.waste,
            }
            for room in plan.rooms
        ],
        "floors": [_floor(area, turn) for area in plan.areas],
        "cut_panels": [_cut_panel(panel) for panel in plan.cut_panels],
        "cutting_list": [
            {"width_m": line.width_m, "length_m": line.length_m, "pieces": line.pieces, "panels": line.panels}
            for line in plan.cutting_list
        ],
    }


def _floor(area: PanelArea, turn: Turn) -> dict[str, Any]:
    return {
        "letter": area.letter,
        "rooms": area.rooms,
        "threshold": area.threshold,
        "corner": moved(turn, area.corner),
        "heading": turned(turn, area.heading),
        "pieces": [_piece(piece, turn) for piece in area.pieces],
    }


def _piece(piece: Piece, turn: Turn) -> dict[str, Any]:
    return {
        "number": piece.number,
        "room": piece.room,
        "outline": _ring(piece.outline, turn),
        "holes": [_ring(Polygon(hole), turn) for hole in piece.outline.interiors],
        "from_panel": piece.from_panel,
        "cut_m": piece.cut_m,
        "lap_m": piece.lap_m,
        "length_m": piece.length_m,
        "width_m": piece.width_m,
        "whole": piece.whole,
        "trimmed": piece.trimmed,
        "pin": piece.pin,
    }


def _cut_panel(panel: CutPanel) -> dict[str, Any]:
    return {
        "number": panel.number,
        "pieces": panel.pieces,
        "cuts": [{"part_m": cut.part_m, "across": cut.across, "at_m": cut.at_m} for cut in panel.cuts],
        "off_cuts_m": panel.left_m,
    }


def _ring(outline: Polygon, turn: Turn) -> list[Any]:
    return [moved(turn, (float(x), float(y))) for x, y in list(outline.exterior.coords)[:-1]]
