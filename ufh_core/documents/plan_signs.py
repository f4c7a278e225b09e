"""Signs on the sheet: those of the legend, the scale bar and the north arrow."""

from __future__ import annotations

import math

import numpy as np
import shapely

from ufh_core.documents.pen import INK, PAPER, Pen
from ufh_core.documents.plan_base import (
    EDGE_TINT,
    FIELD_TINT,
    LEFT_OUT_GAP_MM,
    OBSTACLE_GREY,
    WALL_GREY,
    draw_opening_lines,
)
from ufh_core.documents.plan_joints import draw_joint_line, draw_joint_sleeve
from ufh_core.documents.plan_pipes import CABINET, FLOW_SHADES, RETURN_SHADES, draw_arrow, draw_turn_mark
from ufh_core.documents.sheet import Sheet
from ufh_core.words import say

SIGN_MM = 15.0
BAR_MM = 60.0
BAR_PARTS = 3


def draw_legend_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    left, right, at = sheet.at(x + 1, middle), sheet.at(x + 1 + SIGN_MM, middle), sheet.at(x + 1 + SIGN_MM / 2, middle)
    box = shapely.box(*sheet.at(x + 1, middle - 1.5), *sheet.at(x + 1 + SIGN_MM, middle + 1.5))
    if sign == "flow":
        pen.line([left, right], "PIPE-FLOW", colour=FLOW_SHADES[0])
        draw_arrow(pen, at, 0.0, is_flow=True)
    elif sign == "return":
        pen.line([left, right], "PIPE-RETURN", colour=RETURN_SHADES[0])
        draw_arrow(pen, at, 0.0, is_flow=False)
    elif sign == "turn":
        pen.line([left, at], "PIPE-FLOW", colour=FLOW_SHADES[0])
        pen.line([at, right], "PIPE-RETURN", colour=RETURN_SHADES[0])
        draw_turn_mark(pen, at)
    elif sign == "attempt":
        pen.line([left, right], "NOT-TO-LAY")
    elif sign == "joint":
        draw_joint_line(pen, [left, right])
    elif sign == "joint sleeve":
        pen.line([left, right], "PIPE-FLOW", colour=FLOW_SHADES[0])
        draw_joint_sleeve(pen, shapely.LineString([sheet.at(x + 3.5, middle), sheet.at(x + 13.5, middle)]))
    elif sign in ("door", "window", "opening"):
        _draw_opening_sign(pen, sign, box)
    elif sign in ("tail", "sleeve"):
        _draw_pair_sign(pen, sheet, sign, x, middle)
    else:
        _draw_area_sign(pen, sign, box)


def _draw_opening_sign(pen: Pen, sign: str, box: shapely.Polygon) -> None:
    """An opening in a piece of wall."""
    pen.fill(box, "WALL", WALL_GREY)
    west, south, east, north = box.bounds
    inset = (east - west) * 0.2
    corners = np.array([(west + inset, south), (east - inset, south), (east - inset, north), (west + inset, north)])
    pen.fill(shapely.Polygon(corners), "OPENING", PAPER)
    draw_opening_lines(pen, sign, corners)


def _draw_pair_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """A pair of tails, or one that goes through a wall in a sleeve."""
    if sign == "sleeve":
        wall = shapely.box(*sheet.at(x + 6, middle - 1.5), *sheet.at(x + 11, middle + 1.5))
        pen.fill(wall, "WALL", WALL_GREY)
    for up, layer, shade in ((0.5, "PIPE-FLOW", FLOW_SHADES[0]), (-0.5, "PIPE-RETURN", RETURN_SHADES[0])):
        if sign == "tail" or up > 0:
            y = middle + (up if sign == "tail" else 0.0)
            pen.line([sheet.at(x + 1, y), sheet.at(x + 1 + SIGN_MM, y)], layer, colour=shade)
    if sign == "sleeve":
        box = shapely.box(*sheet.at(x + 6, middle - 0.8), *sheet.at(x + 11, middle + 0.8))
        pen.outline(box, "MANIFOLD", weight_mm=0.25)


def _draw_area_sign(pen: Pen, sign: str, box: shapely.Polygon) -> None:
    if sign in ("field", "edge zone"):
        pen.fill(box, "FIELD", FIELD_TINT if sign == "field" else EDGE_TINT)
        pen.outline(box, "FIELD")
    elif sign == "manifold":
        pen.fill(box, "MANIFOLD", CABINET)
        pen.outline(box, "MANIFOLD")
    elif sign == "fixed":
        pen.fill(box, "OBSTACLE", OBSTACLE_GREY)
        pen.outline(box, "OBSTACLE")
    else:
        angles, gap = {
            "left out": ((45.0,), LEFT_OUT_GAP_MM),
            "not heated": ((135.0,), 4.0),
            "failed": ((45.0, 135.0), 3.0),
        }[sign]
        pen.hatch(box, "LEFT-OUT", angles_deg=angles, gap_mm=gap)
        pen.outline(box, "ROOM")


def bar_length_m(sheet: Sheet) -> float:
    """Length that the scale bar stands for [m]."""
    return BAR_MM * sheet.scale / 1000.0


def draw_scale_bar(pen: Pen, sheet: Sheet, x: float, y: float) -> None:
    """A bar in parts, dark and light in turn, from `x` with its foot at `y` [mm on the sheet]."""
    part = BAR_MM / BAR_PARTS
    for k in range(BAR_PARTS):
        box = shapely.box(*sheet.at(x + k * part, y), *sheet.at(x + (k + 1) * part, y + 1.6))
        pen.fill(box, "SHEET", INK if k % 2 == 0 else PAPER)
        pen.outline(box, "SHEET")
    for k in range(BAR_PARTS + 1):
        text = say("{length:g}", length=bar_length_m(sheet) * k / BAR_PARTS) + (" m" if k == BAR_PARTS else "")
        pen.text(sheet.at(x + k * part, y + 2.6), text, 1.8, "SHEET", align="middle")


def draw_north(pen: Pen, sheet: Sheet, x: float, y: float, north_rad: float | None) -> None:
    """An arrow to true north about (`x`, `y`) [mm on the sheet], or the words that it is not known."""
    if north_rad is None:
        pen.text(sheet.at(x, y + 0.6), say("north"), 1.8, "SHEET", align="middle")
        pen.text(sheet.at(x, y - 2.4), say("not given"), 1.8, "SHEET", align="middle")
        return
    east, up = (math.cos(north_rad), math.sin(north_rad)), (-math.sin(north_rad), math.cos(north_rad))

    def turned(right: float, ahead: float) -> tuple[float, float]:
        return sheet.at(x + right * east[0] + ahead * up[0], y + right * east[1] + ahead * up[1])

    tip, foot = turned(0.0, 6.0), turned(0.0, -6.0)
    pen.line([foot, tip], "SHEET", weight_mm=0.25)
    pen.fill(shapely.Polygon([tip, turned(1.7, 1.6), turned(0.0, 2.6)]), "SHEET", INK)
    pen.outline(shapely.Polygon([tip, turned(-1.7, 1.6), turned(0.0, 2.6)]), "SHEET")
    letter = turned(0.0, 7.9)
    pen.text((letter[0], letter[1] - pen.mm(1.0)), say("N"), 2.0, "SHEET", align="middle", bold=True)
