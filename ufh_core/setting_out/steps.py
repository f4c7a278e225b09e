"""The steps of a card in their order. Marks here are ways along the plan axis [m]; the card adds the rise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from ufh_core.circuits.types import LaidCircuit
from ufh_core.setting_out.ground import Ground
from ufh_core.setting_out.turns import Spacing, spacing, turn_round, width_of_turn
from ufh_core.setting_out.types import Step, StepKind
from ufh_core.setting_out.visits import STEP_M, Visit, crossings, jambs, room_at
from ufh_core.setting_out.way import HAIR_M, PipeWay

LEAST_TAIL_RUN_M, LEAST_RUN_M = 0.5, 0.4
FIRST_RUNS = 4
TOUCH_M = 0.03
LEAST_EVEN, EVEN_GAP = 0.6, (1.6, 2.5)
_ORDER = tuple(StepKind)


def circuit_steps(laid: LaidCircuit, way: PipeWay, stays: Sequence[Visit], ground: Ground) -> list[Step]:
    """Steps from the flow port to the return port, by rising mark."""
    fields = _field_stretches(laid, way)
    first = min((start for _, start, _ in fields), default=way.length_m / 2)
    steps = [*_crossings(way, stays, ground), *_tail_runs(way, stays, ground, first)]
    for room, start, end in fields:
        steps += _field(laid, way, ground, (room, start, end))
    steps += _joints(laid, way, stays, ground)
    steps.sort(key=lambda step: (step.at_m, _ORDER.index(step.kind)))
    home = stays[0].room if stays else ""
    last = stays[-1].room if stays else ""
    return [
        Step(kind=StepKind.START, at_m=0.0, point=laid.axis.start, room=home),
        *steps,
        Step(kind=StepKind.END, at_m=way.length_m, point=laid.axis.end, room=last),
    ]


def _field_stretches(laid: LaidCircuit, way: PipeWay) -> list[tuple[str, float, float]]:
    """(room, first way, last way along the pipe [m]) of the fields of each room of a circuit."""
    ways, points = way.sampled(STEP_M)
    found = []
    for room in dict.fromkeys(field.room for field in laid.fields):
        floor = shapely.union_all([field.outline.buffer(TOUCH_M) for field in laid.fields if field.room == room])
        shapely.prepare(floor)
        inside = np.flatnonzero(shapely.contains_xy(floor, points[:, 0], points[:, 1]))
        if len(inside):
            found.append((room, float(ways[inside[0]]), float(ways[inside[-1]])))
    return found


def _crossings(way: PipeWay, stays: Sequence[Visit], ground: Ground) -> Iterator[Step]:
    """A step for each change of room."""
    for crossing in crossings(way, stays, ground.passages):
        kind = StepKind.WALL_SLEEVE
        if crossing.passage is not None and crossing.passage.kind != "sleeve":
            kind = StepKind.OPEN_SIDE if crossing.passage.kind == "open" else StepKind.DOORWAY
        sides = jambs(way, crossing) or (None, None)
        yield Step(
            kind=kind,
            at_m=crossing.at_m,
            point=way.at(crossing.at_m),
            room=crossing.from_room,
            to_room=crossing.to_room,
            left_m=sides[0],
            right_m=sides[1],
            walls=ground.walls(crossing.from_room).nearest_two(way.at(crossing.start_m), way.heading(crossing.start_m))
            if kind is StepKind.WALL_SLEEVE
            else (),
        )


def _joints(laid: LaidCircuit, way: PipeWay, stays: Sequence[Visit], ground: Ground) -> Iterator[Step]:
    """A step for each movement joint that the pipe crosses, with the length of its sleeve."""
    line = way.axis.line()
    for crossing in ground.joints:
        if crossing.circuit == laid.number:
            at = float(shapely.line_locate_point(line, shapely.Point(crossing.at), normalized=True)) * way.length_m
            room, length = room_at(stays, at), float(crossing.sleeve.length)
            yield Step(kind=StepKind.JOINT, at_m=at, point=crossing.at, room=room, run_m=length)


def _tail_runs(way: PipeWay, stays: Sequence[Visit], ground: Ground, until_m: float) -> Iterator[Step]:
    """The long runs of the flow tail, with the wall beside each."""
    for run in way.runs:
        if run.start_m < until_m and run.length_m >= LEAST_TAIL_RUN_M:
            yield from _run(way, stays, ground, run.start_m, run.end_m)


def _run(way: PipeWay, stays: Sequence[Visit], ground: Ground, start_m: float, end_m: float) -> Iterator[Step]:
    """A run as a step, measured in the middle of its longest part that lies in one room."""
    parts = [(min(end_m, s.end_m) - max(start_m, s.start_m), s) for s in stays]
    length, stay = max(parts, key=lambda part: part[0], default=(0.0, None))
    if stay is None or length <= 0:
        return
    middle = (max(start_m, stay.start_m) + min(end_m, stay.end_m)) / 2
    beside = ground.walls(stay.room).beside(way.at(middle), way.heading(middle))
    bend = next((b for b in way.bends if abs(b.start_m - end_m) < HAIR_M), None)
    studs = ground.grid(stay.room).inside_bend(bend.arcs, ground.pipe_m) if bend else None
    yield Step(
        kind=StepKind.RUN,
        at_m=start_m,
        point=way.at(start_m),
        room=stay.room,
        walls=beside,
        run_m=end_m - start_m,
        turn_deg=bend.turn_deg if bend else None,
        studs=studs[0] if studs else None,
    )


def _field(laid: LaidCircuit, way: PipeWay, ground: Ground, stretch: tuple[str, float, float]) -> Iterator[Step]:
    """The steps of one field: where it begins, first runs, gap on the way in, turn-round, end."""
    room, start, end = stretch
    grid, pitch = ground.grid(room), next(laid.pitch_of(f) for f in laid.fields if f.room == room)
    turn = turn_round(way, start, end, pitch)
    inwards = [r for r in way.runs if r.start_m >= start - 1e-6 and r.end_m <= (end if turn is None else turn)]
    own = spacing([r for r in way.runs if r.start_m >= start - 1e-6 and r.end_m <= end + 1e-6], grid)
    walls = ground.walls(room).nearest_two(way.at(start), way.heading(start))
    yield Step(
        kind=StepKind.FIELD, at_m=start, point=way.at(start), room=room, walls=walls, pitch_m=pitch,
        gap_m=own.gap_m if own else None, studs=own.studs if own else None,
    )  # fmt: skip
    stay = [Visit(room=room, start_m=start, end_m=end)]
    first = [run for run in inwards if run.length_m >= LEAST_RUN_M][:FIRST_RUNS]
    for run in first:
        yield from _run(way, stay, ground, run.start_m, run.end_m)
    if first and turn is not None:
        gap, at = _even_gap(spacing(inwards, grid), pitch), first[-1].end_m
        sizes = (gap.gap_m, gap.studs) if gap else (None, None)
        yield Step(kind=StepKind.GAP, at_m=at, point=way.at(at), room=room, gap_m=sizes[0], studs=sizes[1])
    yield _middle(way, ground, room, (start, turn, end))
    yield Step(kind=StepKind.FIELD_END, at_m=end, point=way.at(end), room=room)


def _even_gap(gap: Spacing | None, pitch_m: float) -> Spacing | None:
    """The gap of a way in that a fitter can go by: most of it keeps it, and the way back fits in once."""
    if gap is None or gap.share < LEAST_EVEN or not EVEN_GAP[0] <= gap.gap_m / pitch_m <= EVEN_GAP[1]:
        return None
    return gap


def _middle(way: PipeWay, ground: Ground, room: str, ways: tuple[float, float | None, float]) -> Step:
    """The turn-round of a field, or half of its pipe where it has none."""
    start, turn, end = ways
    at = (start + end) / 2 if turn is None else turn
    width = None if turn is None else width_of_turn(way, turn, ground.grid(room))
    return Step(
        kind=StepKind.HALF_WAY if turn is None else StepKind.TURN_ROUND,
        at_m=at,
        point=way.at(at),
        room=room,
        walls=ground.walls(room).nearest_two(way.at(at), way.heading(at)),
        gap_m=width.gap_m if width else None,
        studs=width.studs if width else None,
    )
