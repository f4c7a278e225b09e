"""One case of the quality bench: drawn, laid, judged; and laid again to be drawn."""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import dwelling_cases
import field_checks
import layout_checks
import numpy as np
import path_judge
import pipe_drawing
import room_cases
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString
from shapely.ops import unary_union

from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LevelLayout
from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldFailure
from ufh_core.joints.doorways import ScreedRoom
from ufh_core.joints.storey import planned_joints
from ufh_core.settings.types import Settings
from ufh_core.storeys.answers import lay_as_wished
from ufh_core.storeys.screed_joints import BETWEEN_ROOMS, parted_levels
from ufh_core.zones.level_plan import levels_of
from ufh_core.zones.partners import partners_of
from ufh_core.zones.wishes import NO_WISHES

STEP = 0.05
CLOSED = 0.1  # a gap between pipes or a pipe and a wall narrower than twice this lets no pair through


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of a case: `tags` to sort by, broken rules and failures in words, figures by name."""

    name: str
    tags: tuple[str, ...]
    plain: bool
    breaks: tuple[str, ...]
    failed: tuple[str, ...]
    figures: dict[str, float]


def room_outcome(seed: str) -> Outcome:
    """Lay and judge the room of a seed."""
    return _room(seed)[0]


def dwelling_outcome(seed: str) -> Outcome:
    """Lay and judge the dwelling of a seed."""
    return _dwelling(seed)[0]


def hall_outcome(seed: str) -> Outcome:
    """Lay and judge the large room of a seed."""
    return _hall(seed)[0]


def drawing(kind: str, seed: str) -> str:
    """The case of a seed as SVG."""
    outcome, sheet = {"room": _room, "dwelling": _dwelling, "hall": _hall}[kind](seed, draw=True)
    words = "; ".join((*outcome.breaks, *(f"FAILED {f}" for f in outcome.failed)))[:200]
    head = f"{kind} {seed}: {', '.join(outcome.tags)}"
    sheet.caption = "\n".join([head, *([words] if words else []), *_lines(outcome.figures)])
    return sheet.text()


def _lines(values: dict[str, float]) -> list[str]:
    words = list(pipe_drawing.figures(values))
    return ["   ".join(words[k : k + 5]) for k in range(0, len(words), 5)]


def _room(seed: str, draw: bool = False) -> tuple[Outcome, Any]:
    case = room_cases.random_room(seed)
    asked = room_cases.request(case)
    began = time.process_time()
    laid, crash = _tried(lambda: lay_field(asked))
    seconds = time.process_time() - began
    tags = (
        case.kind,
        f"{1000 * case.pitch_m:.0f} mm",
        "studs" if case.on_studs else "no studs",
        _size(case.floor.area),
    )
    figures = {"area_m2": case.floor.area}
    breaks, failed, cold, line = (), (), np.zeros((0, 2)), None
    if laid is None:
        breaks = (crash,)
    elif isinstance(laid, FieldFailure):
        failed = (f"{case.floor.area:.1f} m²: {laid.reason}",)
        line = LineString(laid.best) if draw and len(laid.best) > 1 else None
    else:
        verdict = path_judge.judge(case, laid.corners, laid.heated)
        breaks, cold = verdict.breaks, verdict.cold
        figures |= {**verdict.figures, "seconds": seconds}
        line = (field_checks.drawn(laid.corners, path_judge.RADIUS) or LineString(laid.corners)) if draw else None
    outcome = Outcome(
        name=seed, tags=tags, plain=case.kind in room_cases.PLAIN, breaks=breaks, failed=failed, figures=figures
    )
    return outcome, pipe_drawing.room_sheet(case, line, cold) if draw else None


def _tried(lay: Callable[[], Any]) -> tuple[Any, str]:
    """What was laid; None and the words of the error where the layout gave up with one."""
    try:
        return lay(), ""
    except Exception as error:  # whatever it is, the bench goes on and names the case
        return None, f"crash: {type(error).__name__}: {str(error)[:90]}"


def _size(area_m2: float) -> str:
    return next((f"to {most} m²" for most in (2, 4, 8, 16) if area_m2 <= most), "over 16 m²")


def _dwelling(seed: str, draw: bool = False) -> tuple[Outcome, Any]:
    storey, pitches = dwelling_cases.random_plan(seed)
    return _level(seed, storey, pitches, (f"{len(storey.rooms)} rooms",), draw)


def _hall(seed: str, draw: bool = False) -> tuple[Outcome, Any]:
    storey, pitches = dwelling_cases.random_hall(seed)
    area = storey.rooms[1].outline.area
    return _level(seed, storey, pitches, (f"{area:.0f} m²", f"{1000 * pitches['R1']:.0f} mm"), draw)


def _level(seed: str, storey: Any, pitches: dict[str, float], tags: tuple[str, ...], draw: bool) -> tuple[Outcome, Any]:
    """Lay and judge the rooms of a storey that have a pitch."""
    joints = planned_joints(storey, _screeds(storey, pitches), Settings())
    (level,) = parted_levels(levels_of(storey, frozenset(pitches), Settings()), joints)
    within = [joint.line for joint in joints.joints if joint.reason not in BETWEEN_ROOMS]
    began = time.process_time()
    partners = partners_of(level, dict.fromkeys(pitches, 20.0), NO_WISHES, Settings())
    brief = LevelBrief(level=level, pitches=pitches, settings=Settings(), partners=partners)
    laid, crash = _tried(lambda: lay_as_wished(brief))
    seconds = time.process_time() - began
    layout = laid or LevelLayout(level=level, manifolds=(), circuits=(), failed=())
    lines = [layout_checks.drawn(c.axis) for c in layout.circuits]
    cold, figures = np.zeros((0, 2)), {"rooms": float(len(pitches)), "dwelling_seconds": seconds}
    if laid:
        cold, share = _cold(storey, pitches, [c.pitch_m for c in layout.circuits], lines)
        apart = [_separation(li, c, storey.rooms) for c, li in zip(layout.circuits, lines, strict=True)]
        figures |= {
            "dwelling_covered": share,
            "spread": max((by for by, cut in spreads(layout) if not cut), default=math.nan),
            "cut_spread": max((by for by, cut in spreads(layout) if cut), default=math.nan),
            "dwelling_separation": min(apart, default=math.nan),
        }
    outcome = Outcome(
        name=seed,
        tags=(*tags, f"{len(layout.circuits)} circuits"),
        plain=False,
        breaks=_broken(storey, layout, pitches, within) if laid else (crash,),
        failed=tuple(f"{f.room}: {f.reason}" for f in layout.failed),
        figures=figures,
    )
    return outcome, pipe_drawing.level_sheet(storey, layout, lines, cold) if draw else None


def _screeds(storey: Any, pitches: dict[str, float]) -> list[ScreedRoom]:
    """The rooms as their screed sees them: all alike, those with a pitch heated."""
    return [
        ScreedRoom(room=r.ifc_guid, outline=r.outline, heated=r.ifc_guid in pitches, indoor_c=20.0, finish_r=0.1)
        for r in storey.rooms
    ]


def _broken(storey: Any, layout: LevelLayout, pitches: dict[str, float], joints: list[LineString]) -> tuple[str, ...]:
    """Hard rules that a layout breaks, in words."""
    return (*layout_checks.faults(storey, layout, list(pitches)), *layout_checks.joint_faults(layout, joints))


def spreads(layout: Any) -> list[tuple[float, bool]]:
    """For each room with several circuits, (longest − shortest) ÷ mean of their lengths, and whether tails cut it.

    Circuits on both sides of a movement joint are counted as if of two rooms: no cut shares out floor between them.
    In a room that strangers' tails cut into pieces, circuits that lie in different ones cannot be made alike.
    """
    rooms: dict[tuple[str, int], list[Any]] = defaultdict(list)
    for circuit in layout.circuits:
        rooms[circuit.rooms[0], _side(layout, circuit)].append(circuit)
    found = []
    for (guid, _), circuits in rooms.items():
        lengths = [c.length_m for c in circuits]
        if len(circuits) > 1:
            by = (max(lengths) - min(lengths)) * len(lengths) / sum(lengths)
            found.append((by, _cut_by_tails(layout, guid, circuits)))
    return found


def _side(layout: Any, circuit: Any) -> int:
    """On which side of the joints of its room a circuit lies."""
    floor = layout.level.room(circuit.rooms[0]).outline.difference(layout.level.joints.buffer(0.01))
    sides = list(getattr(floor, "geoms", [floor]))
    fields = unary_union([f.outline for f in circuit.fields])
    return max(range(len(sides)), key=lambda k: sides[k].intersection(fields).area)


def _cut_by_tails(layout: Any, guid: str, circuits: list[Any]) -> bool:
    """Whether the circuits of a room lie on different sides of the tails of others."""
    strangers = [layout_checks.drawn(c.axis) for c in layout.circuits if c not in circuits]
    floor = layout.level.room(guid).outline.difference(unary_union(strangers).buffer(CLOSED))
    pieces = list(getattr(floor, "geoms", [floor]))
    fields = [unary_union([f.outline for f in c.fields]) for c in circuits]
    homes = {max(range(len(pieces)), key=lambda k: pieces[k].intersection(own).area) for own in fields}
    return len(homes) > 1


def _separation(line: LineString, circuit: Any, rooms: Sequence[Any]) -> float:
    """Least distance of two runs of a whole circuit in one room, where they are fields [pitches].

    Left out are its tails, which begin at the ends and never leave the pair, a pair between two pieces of floor
    for each branch, and where these open out; a branch may begin where the tails open. Runs of two rooms are
    parted by their wall.
    """
    pitch = min(circuit.pitches_m)
    runs, xy = path_judge.along(line, STEP / 2)
    tails = max(path_judge.pair_runs(runs, xy)) + path_judge.OPENING
    field = (runs > tails) & (runs < runs[-1] - tails)
    necks = path_judge.paired(runs[field], xy[field], pitch)
    ends = np.split(necks, 1 + np.nonzero(np.diff(necks) > path_judge.OPENING)[0]) if len(necks) else []
    apart = [e for e in ends if tails + path_judge.OPENING < e[0] and e[-1] < runs[-1] - tails - path_judge.OPENING]
    if len(apart) <= 2 * len(circuit.branch_choices):
        field &= np.abs(runs[:, None] - necks).min(axis=1, initial=np.inf) > path_judge.OPENING
    inside = [field & shapely.contains_xy(room.outline, xy[:, 0], xy[:, 1]) for room in rooms]
    return min(path_judge.least_distance(runs[one], xy[one], pitch) for one in inside) / pitch


def _cold(storey: Any, pitches: dict[str, float], laid: list[float], lines: list[LineString]) -> tuple[Any, float]:
    """(cold places, share of the floor that a pipe can warm and does, within 0.75 of its room's pitch)."""
    solid = [o.outline for o in storey.obstacles]
    cold, count = [np.zeros((0, 2))], 0
    trees = [cKDTree(path_judge.along(line, 0.02)[1]) for line in lines]
    for room in [r for r in storey.rooms if r.ifc_guid in pitches]:
        floor, pitch = room.outline, pitches[room.ifc_guid]
        for thing in solid:
            floor = floor.difference(thing)
        turn = max(2 * path_judge.RADIUS, path_judge.SEPARATION * pitch) + path_judge.STUD
        places = floor.buffer(-path_judge.CLEARANCE - turn / 2).buffer(turn / 2 + pitch / 2)
        points = path_judge.grid_points(places.intersection(floor.buffer(-path_judge.INSET)), STEP)
        away = np.min(
            [t.query(points, distance_upper_bound=1.0)[0] / max(p, pitch) for t, p in zip(trees, laid, strict=True)]
            or [np.full(len(points), np.inf)],
            axis=0,
        )
        cold.append(points[away > path_judge.REACH + 0.01])
        count += len(points)
    every = np.concatenate(cold)
    return every, 1 - len(every) / max(count, 1)
