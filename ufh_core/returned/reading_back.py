"""What an edited heating model changed of its design, and what of that can stay.

A moved manifold is a given place; circuits that were drawn on with it, or whose way was changed, stay where they keep
the rules that any circuit must keep. What was not changed is not judged. Where two changed things meet, the circuit
that was left alone stays.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from shapely.geometry import LineString

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.basis.pipe_axis import PipeAxis
from ufh_core.building.types import Building
from ufh_core.circuits.rules import pair_faults
from ufh_core.exchange.edited_heating import EditedHeating, EditedManifold, EditedPipe
from ufh_core.returned.changed_fields import Fields, changed_fields
from ufh_core.returned.manifold_moves import Move, move_of
from ufh_core.returned.own_runs import changed_gap_m
from ufh_core.returned.plan_way import PlanWay, greatest_offset_m, plan_way, reversed_axis
from ufh_core.returned.telling import Look, Telling
from ufh_core.returned.types import Returned, ReturnedCircuit, ReturnedManifold, State
from ufh_core.revision.earlier_design import EarlierDesign
from ufh_core.revision.touched import faults_in_state, state_of
from ufh_core.settings.earlier_run import EarlierCircuit
from ufh_core.zones.kept_pipes import KeptManifold, KeptPipe, pipe_of

SAME_M = 0.001  # a way that lies nearer to the earlier one than this is that one
AT_PORT_M = 0.010  # an end may lie so far from its port
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Before:
    """The earlier design in the plan frame: its pipes by number."""

    building: Building
    earlier: EarlierDesign
    pipes: Mapping[str, KeptPipe]


def read_back(building: Building, earlier: EarlierDesign, readings: Sequence[EditedHeating]) -> Returned:
    """What came back of a design, `readings` being the edited file in the frames in which it may be meant.

    Raises: UfhError where the design is of another model.
    """
    before = _Before(building=building, earlier=earlier, pipes=_pipes(earlier, building))
    edited = max(readings, key=lambda one: _agreeing(before, one))
    moves = dict(_moves(before, edited))
    found = [_first_look(c, before, edited, moves) for c in earlier.circuits]
    looks = _in_the_way(_judged(found, before, moves), before, moves)
    circuits = tuple(look.circuit for look in looks)
    telling = Telling(building=building, earlier=earlier, pipes=before.pipes, edited=edited, moves=moves)
    return Returned(
        building=building,
        earlier=earlier,
        circuits=circuits,
        moved=tuple(_moved(c, moves) for c in _one_each(earlier) if (m := moves[c.manifold.name]) and not m.still),
        findings=telling.findings(looks, _strangers(before, edited)),
    )


def _pipes(earlier: EarlierDesign, building: Building) -> dict[str, KeptPipe]:
    storeys = {s.ifc_guid: s for s in building.storeys}
    there = [c for c in earlier.circuits if c.storey in storeys]
    return {c.number: replace(pipe_of(c, storeys[c.storey], building), label=c.number) for c in there}


def _one_each(earlier: EarlierDesign) -> list[EarlierCircuit]:
    """A circuit of every manifold."""
    return list({c.manifold.name: c for c in reversed(earlier.circuits)}.values())[::-1]


# --- what is what -------------------------------------------------------------------------------


def _edited_pipe(circuit: EarlierCircuit, edited: EditedHeating) -> EditedPipe | None:
    """A circuit's pipe in the file, by GlobalId, else by number where one only has it."""
    guid = deterministic_guid(edited.project, "IfcPipeSegment", circuit.storey, circuit.number)
    same = [p for p in edited.pipes if p.ifc_guid == guid]
    return _only(same or [p for p in edited.pipes if p.name == circuit.number])


def _edited_manifold(circuit: EarlierCircuit, edited: EditedHeating) -> EditedManifold | None:
    guid = deterministic_guid(edited.project, "IfcElementAssembly", circuit.storey, circuit.manifold.name)
    same = [m for m in edited.manifolds if m.ifc_guid == guid]
    return _only(same or [m for m in edited.manifolds if m.name == circuit.manifold.name])


def _only(found: Sequence[T]) -> T | None:
    return found[0] if len(found) == 1 else None


def _strangers(before: _Before, edited: EditedHeating) -> tuple[EditedPipe, ...]:
    """Pipes in the file that are no circuit of the design."""
    known = {p.ifc_guid for c in before.earlier.circuits if (p := _edited_pipe(c, edited)) is not None}
    return tuple(p for p in edited.pipes if p.ifc_guid not in known)


def _agreeing(before: _Before, edited: EditedHeating) -> tuple[int, bool]:
    """(circuits that lie where they lay, whether by the world): the more, the likelier the frame is the one meant."""
    radius = before.earlier.settings.pipe.least_bend_radius_m
    pairs = ((c, _edited_pipe(c, edited)) for c in before.earlier.circuits if c.number in before.pipes)
    ways = [(c, plan_way(p.pieces, radius)) for c, p in pairs if p is not None]
    still = sum(w is not None and _same(w.axis, before.pipes[c.number].axis) for c, w in ways)
    return still, not edited.by_storeys


def _same(axis: PipeAxis, was: PipeAxis) -> bool:
    return greatest_offset_m(_forward(axis, was), was) < SAME_M


def _moves(before: _Before, edited: EditedHeating) -> Iterator[tuple[str, Move | None]]:
    """How each manifold was moved; None for one that is not in the file or stood at no upright wall."""
    for circuit in _one_each(before.earlier):
        now, pipe = _edited_manifold(circuit, edited), before.pipes.get(circuit.number)
        was = pipe.manifold if pipe is not None else None
        yield circuit.manifold.name, None if now is None or was is None else move_of(was, now)


def _moved(circuit: EarlierCircuit, moves: Mapping[str, Move | None]) -> ReturnedManifold:
    move = moves[circuit.manifold.name]
    assert move is not None
    return ReturnedManifold(
        name=circuit.manifold.name, storey=circuit.storey, position=move.position, normal=move.normal
    )


# --- circuits -----------------------------------------------------------------------------------


def _first_look(
    circuit: EarlierCircuit, before: _Before, edited: EditedHeating, moves: Mapping[str, Move | None]
) -> Look:
    """What became of a circuit before any rule is asked."""
    pipe, was, move = _edited_pipe(circuit, edited), before.pipes.get(circuit.number), moves[circuit.manifold.name]
    if pipe is None or was is None:
        return _state(circuit, State.MISSING, "it is not in the file")
    if move is None:
        return _state(circuit, State.LED_ANEW, f"manifold {circuit.manifold.name} is not in the file")
    way = plan_way(pipe.pieces, before.earlier.settings.pipe.least_bend_radius_m)
    if way is None:
        unread = _state(circuit, State.AS_IT_WAS) if move.still else _anew(circuit)
        return replace(unread, unread=True)
    way = replace(way, axis=_forward(way.axis, was.axis))
    if move.still and greatest_offset_m(way.axis, was.axis) < SAME_M:
        return replace(_state(circuit, State.AS_IT_WAS), way=way)
    off = _off_ports_m(way.axis, was.axis, move)
    if off > AT_PORT_M:
        words = f"its ends lie {1000 * off:.0f} mm off the ports of {circuit.manifold.name}"
        return replace(_state(circuit, State.REFUSED, words), way=way) if move.still else _anew(circuit)
    return _changed(circuit, was, way)


def _state(circuit: EarlierCircuit, state: State, reason: str = "") -> Look:
    made = ReturnedCircuit(number=circuit.number, manifold=circuit.manifold.name, state=state, reason=reason)
    return Look(circuit=made)


def _anew(circuit: EarlierCircuit) -> Look:
    return _state(circuit, State.LED_ANEW, f"manifold {circuit.manifold.name} was moved, its pipe was not")


def _changed(circuit: EarlierCircuit, was: KeptPipe, way: PlanWay) -> Look:
    """A circuit with another way, refused where the curve itself is none that a pipe can take."""
    state = State.REFUSED if way.fault else State.CHANGED
    made = _state(circuit, state, way.fault)
    return replace(made, circuit=replace(made.circuit, axis=way.axis), way=way, at=way.fault_at)


def _forward(axis: PipeAxis, was: PipeAxis) -> PipeAxis:
    """A way from flow to return, as it was, whichever end the file begins with."""
    there = math.dist(axis.start, was.start) + math.dist(axis.end, was.end)
    back = math.dist(axis.end, was.start) + math.dist(axis.start, was.end)
    return axis if there <= back else reversed_axis(axis)


def _off_ports_m(axis: PipeAxis, was: PipeAxis, move: Move) -> float:
    """How far the ends of a way lie from where the manifold's ports are now [m]."""
    ends = ((axis.start, was.start), (axis.end, was.end))
    return max(math.dist(end, move.carried(port)) for end, port in ends)


# --- rules --------------------------------------------------------------------------------------


def _judged(looks: Sequence[Look], before: _Before, moves: Mapping[str, Move | None]) -> list[Look]:
    """Changed ways that break a rule refused, the others with the floors that they heat now."""
    if not any(look.circuit.state is State.CHANGED for look in looks):
        return list(looks)
    state = state_of(before.building, before.earlier.settings)
    pipes = {p.label: p for look in looks if (p := _as_kept(look, before, moves)) is not None}
    changed = {look.circuit.number for look in looks if look.circuit.state is State.CHANGED}
    homes = {look.circuit.number: moves[look.circuit.manifold] for look in looks}
    faults = {n: words for n, words in faults_in_state(pipes, state).items() if n in changed}
    faults |= {n: words for n in changed if not faults[n] and (words := _closer(pipes[n], before.pipes[n], homes[n]))}
    fine = sorted((n for n in pipes if not faults.get(n)), key=lambda n: n in changed)
    among = pair_faults({n: pipes[n].axis for n in fine}, before.earlier.settings)
    faults |= {n: words for n, words in among.items() if n in changed}
    floors = state.floors
    return [
        look if look.circuit.number not in changed
        else _refused(look, faults[look.circuit.number]) if faults[look.circuit.number]
        else _with_fields(look, changed_fields(before.pipes[look.circuit.number], pipes, floors))
        for look in looks
    ]  # fmt: skip


def _as_kept(look: Look, before: _Before, moves: Mapping[str, Move | None]) -> KeptPipe | None:
    """A circuit as it lies now, for the rules; None for one that does not stay."""
    circuit, move = look.circuit, moves[look.circuit.manifold]
    if circuit.state not in (State.AS_IT_WAS, State.CHANGED):
        return None
    was = before.pipes[circuit.number]
    axis = circuit.axis or was.axis
    return replace(was, axis=axis, manifold=_manifold_now(was.manifold, move))


def _manifold_now(was: KeptManifold | None, move: Move | None) -> KeptManifold | None:
    if was is None or move is None or move.still:
        return was
    x, y = (round(n) for n in move.normal)
    return replace(was, position=move.position, normal=(x, y))


def _closer(pipe: KeptPipe, was: KeptPipe, move: Move | None) -> str:
    """Whether runs lie too near to each other now that did not before; in words, "" for no."""
    line, pitch = was.axis.line(), pipe.pitch_m or 0.0
    before = line if move is None or move.still else LineString([move.carried((x, y)) for x, y in line.coords])
    gap = changed_gap_m(pipe.axis, before, pitch)
    return f"its runs lie {1000 * gap:.0f} mm apart, at a pitch of {1000 * pitch:.0f} mm" if gap else ""


def _refused(look: Look, reason: str) -> Look:
    return replace(look, circuit=replace(look.circuit, state=State.REFUSED, reason=reason))


def _with_fields(look: Look, fields: Fields) -> Look:
    return replace(look, circuit=replace(look.circuit, fields=fields))


def _in_the_way(looks: Sequence[Look], before: _Before, moves: Mapping[str, Move | None]) -> list[Look]:
    """Circuits on which a manifold stands now are led anew."""
    depth = before.earlier.settings.manifold.cabinet_depth_m
    moved = {name: m.cabinet(depth) for name, m in moves.items() if m is not None and not m.still}

    def seen(look: Look) -> Look:
        circuit = look.circuit
        if circuit.state not in (State.AS_IT_WAS, State.CHANGED):
            return look
        line = (circuit.axis or before.pipes[circuit.number].axis).line()
        on = [name for name, box in moved.items() if name != circuit.manifold and line.intersects(box)]
        if not on:
            return look
        words = f"manifold {on[0]} stands on it now"
        return replace(look, circuit=replace(circuit, state=State.LED_ANEW, reason=words))

    return [seen(look) for look in looks]
