"""Checks of setting-out as design.json holds it, by the paths beside it: marks, doorways, bends.

Doorways are counted by other means than the card's: the pipe's path against the middle line of each passage.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from ufh_core.basis.pipe_axis import arc_through
from ufh_core.building.read import read_building
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.building.types import Passage
from ufh_core.settings import Settings

THROUGH = ("doorway", "open side")
NEAR_M = 0.03


def line_of(path: list[Any]) -> shapely.LineString:
    """A path of design.json with its arcs in short chords."""
    points = [path[0]]
    for step in path[1:]:
        if isinstance(step, dict):
            arc = arc_through(*map(tuple, step["arc"]))
            first = np.arctan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
            for share in np.linspace(0, 1, 17)[1:]:
                angle = first + share * arc.sweep
                points.append([arc.centre[k] + arc.radius_m * f(angle) for k, f in enumerate((np.cos, np.sin))])
        else:
            points.append(step)
    return shapely.LineString(points)


def middle_line(passage: Passage, turn: np.ndarray) -> shapely.LineString:
    """The line across a passage half-way through it, from jamb to jamb, in the storey's frame."""
    corners = shapely.get_coordinates(passage.outline)
    along = np.array(passage.direction)
    across = np.array([-along[1], along[0]])
    half = ((corners @ along).min() + (corners @ along).max()) / 2
    ends = [along * half + across * side for side in ((corners @ across).min(), (corners @ across).max())]
    return shapely.LineString([(turn @ np.array([*end, 1.0]))[:2] for end in ends])


def mark_faults(circuit: dict[str, Any]) -> Iterator[str]:
    """Marks that do not rise from 0 to the pipe's length, or that lie elsewhere on the path than they say."""
    card, line, number = circuit["setting_out"], line_of(circuit["path"]), circuit["number"]
    marks = [step["at_m"] for step in card["steps"]]
    if marks != sorted(marks) or marks[0] != 0 or abs(marks[-1] - circuit["length_m"]) > 1e-5:
        yield f"{number}: marks {marks} of {circuit['length_m']} m"
    if [card["steps"][0]["kind"], card["steps"][-1]["kind"]] != ["start", "end"]:
        yield f"{number} does not run from port to port"
    tens = [check["at_m"] for check in card["check_marks"]]
    if tens != [10.0 * k for k in range(1, len(tens) + 1)] or circuit["length_m"] - len(tens) * 10 > 10.6:
        yield f"{number}: marks to check at {tens}"
    rise = card["bends"][0]["at_m"] - card["bends"][0]["run_m"] if card["bends"] else 0.0
    for place in [*card["steps"][1:-1], *card["check_marks"]]:
        spot = shapely.Point(place["point"])
        if line.distance(spot) > NEAR_M or abs(line.project(spot) + rise - place["at_m"]) > NEAR_M:
            yield f"{number}: {place} is not on the pipe"


def bend_faults(circuit: dict[str, Any]) -> Iterator[str]:
    """Bends whose marks are not the straights and bends before them added up."""
    bends, line = circuit["setting_out"]["bends"], line_of(circuit["path"])
    at = bends[0]["at_m"] - bends[0]["run_m"] if bends else 0.0
    rise = at
    for bend in bends:
        at += bend["run_m"]
        if bend["run_m"] < -1e-6 or abs(at - bend["at_m"]) > 1e-3:
            yield f"{circuit['number']}: bend at {bend['at_m']}, added up {at}"
        at += abs(np.radians(bend["turn_deg"])) * bend["radius_m"]
    if at - rise > line.length + 0.05:
        yield f"{circuit['number']}: {at - rise} m of {line.length} m"


def doorways_passed(model: Path, storeys: list[dict[str, Any]]) -> Iterator[tuple[str, Counter[Any], Counter[Any]]]:
    """(circuit, passages that its path crosses, passages on its card), each by the pair of rooms."""
    building = read_building(model, Settings())
    for storey in storeys:
        (own,) = (s for s in building.storeys if s.ifc_guid == storey["ifc_guid"])
        turn = plan_to_storey(building, own)
        passages = [(frozenset(p.rooms), middle_line(p, turn)) for p in own.passages if len(p.rooms) > 1]
        for circuit in storey["circuits"]:
            line = line_of(circuit["path"])
            passed: Counter[frozenset[str]] = Counter()
            for rooms, across in passages:
                met = shapely.intersection(line, across)
                passed[rooms] += 0 if met.is_empty else len(shapely.get_parts(met))
            steps = circuit["setting_out"]["steps"]
            told = Counter(frozenset((s["room"], s["to_room"])) for s in steps if s["kind"] in THROUGH)
            yield circuit["number"], +passed, told
