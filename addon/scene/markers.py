"""Findings at their places: an empty with its line, a flat sign whose shape tells the severity, and its number."""

from __future__ import annotations

from collections.abc import Sequence

import bpy
import numpy as np
import shapely
from shapely.geometry import Polygon

from ufh_core.basis.findings import Finding, Severity
from ufh_core.design_result import Design
from ufh_core.documents.issue_places import IssuePlace, issue_place, issue_scene

from . import names
from .bodies import Body
from .lettering import lying_text
from .looks import dressed
from .objects import placed

SIGN_M, LETTER_M, OVER_FLOOR_M = 0.14, 0.16, 0.01
CORNERS = {Severity.ERROR: 4, Severity.WARNING: 3, Severity.NOTE: 24}
"""A square stands for an error, a triangle for a warning, a disc for a note."""
EMPTIES = {Severity.ERROR: "CUBE", Severity.WARNING: "CONE", Severity.NOTE: "SPHERE"}
SPOT = "refused_spot"
"""Kind of the sign where something that was drawn breaks a rule."""
NEAR_M, SAME_M, BESIDE_M = 0.3, 0.01, 2.5

Spot = tuple[float, float]


def show_findings(inside: bpy.types.Collection, design: Design) -> None:
    """Every finding of a design, by its number in it; what is of no one place stands beside its storey."""
    found_on = issue_scene(design)
    numbered = [(number, finding, issue_place(found_on, finding)) for number, finding in enumerate(design.findings, 1)]
    taken: dict[str, list[Spot]] = {}
    for number, finding, place in sorted(numbered, key=lambda each: each[1].at is None):
        if place is not None:
            spots = taken.setdefault(place.shown.storey.ifc_guid, [])
            spots.append(_free(finding, _wanted(finding, place), spots))
            _show_finding(inside, finding, number, place, spots[-1])


def _wanted(finding: Finding, place: IssuePlace) -> Spot:
    """A finding's own point; else a little under the middle of its elements, clear of a room's name; else beside."""
    if finding.at is not None:
        return finding.at
    if place.exact:
        return place.middle[0], place.middle[1] - NEAR_M
    west, _, _, north = shapely.union_all([room.outline for room in place.shown.storey.rooms]).bounds
    return west - BESIDE_M, north


def _free(finding: Finding, wanted: Spot, taken: Sequence[Spot]) -> Spot:
    """The wanted spot, or the next below it that is free; points of findings only give way to the same point."""
    x, y = wanted
    near = SAME_M if finding.at is not None else 0.9 * NEAR_M
    while any(abs(x - u) < near and abs(y - v) < near for u, v in taken):
        y -= NEAR_M
    return x, y


def _show_finding(
    inside: bpy.types.Collection, finding: Finding, number: int, place: IssuePlace, spot: tuple[float, float]
) -> None:
    """The empty, and on it the sign and its words."""
    title = f"{finding.severity} {number}"
    marks = {
        names.NUMBER: number,
        names.STOREY: place.shown.storey.ifc_guid,
        "ufh_severity": str(finding.severity),
        "ufh_code": finding.code,
        "ufh_message": names.one_line(finding.message),
        "ufh_elements": " ".join(finding.ifc_guids),
    }
    empty = placed(inside, title, None, "finding", marks)
    empty.location = (*spot, place.floor_m + OVER_FLOOR_M)
    empty.empty_display_type, empty.empty_display_size = EMPTIES[finding.severity], SIGN_M
    body = Body()
    body.area(_sign(finding.severity), 0.0)
    sign = placed(inside, f"{title} sign", body.mesh(title), "finding_sign", {names.NUMBER: number})
    dressed(sign, str(finding.severity)).parent = empty
    words = lying_text(inside, title, (1.3 * SIGN_M, 0.0, 0.0), LETTER_M, "finding_words", align="LEFT")
    words[names.NUMBER], words.parent = number, empty
    sign.show_in_front = words.show_in_front = empty.show_in_front = True


def show_spot(inside: bpy.types.Collection, title: str, at: tuple[float, float, float], words: str) -> bpy.types.Object:
    """The sign of an error at a place of the shown plan [m], with what is wrong there; in front of all else."""
    empty = placed(inside, title, None, SPOT, {"ufh_message": names.one_line(words)})
    empty.location = at
    empty.empty_display_type, empty.empty_display_size = EMPTIES[Severity.ERROR], SIGN_M
    body = Body()
    body.area(_sign(Severity.ERROR), 0.0)
    sign = placed(inside, f"{title} sign", body.mesh(title), SPOT, {})
    dressed(sign, str(Severity.ERROR)).parent = empty
    sign.show_in_front = empty.show_in_front = True
    return empty


def clear_spots(inside: bpy.types.Collection) -> None:
    """Take such signs out."""
    old = [each for each in inside.objects if each.get(names.KIND) == SPOT]
    data = {each.data for each in old if each.data is not None}
    bpy.data.batch_remove(old)
    bpy.data.batch_remove([each for each in data if each.users == 0])


def _sign(severity: Severity) -> Polygon:
    """The sign about its middle."""
    count = CORNERS[severity]
    angle = np.pi / 2 + (np.arange(count) + (0.5 if count == 4 else 0.0)) * 2 * np.pi / count
    return Polygon(SIGN_M * np.column_stack([np.cos(angle), np.sin(angle)]))
