"""What came back, as findings: one line each that says what was changed, and what becomes of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Building
from ufh_core.exchange.edited_heating import EditedHeating, EditedPipe
from ufh_core.returned.manifold_moves import Move
from ufh_core.returned.plan_way import PlanWay, greatest_offset_m
from ufh_core.returned.types import ReturnedCircuit, State
from ufh_core.revision.earlier_design import EarlierDesign
from ufh_core.zones.kept_pipes import KeptPipe

OFF_LEVEL_M = 0.005
MOST_NAMED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A circuit with the way that was read for it, and where its curve is at fault; `unread` where none was."""

    circuit: ReturnedCircuit
    way: PlanWay | None = None
    at: Point | None = None
    unread: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """What the lines are about: the design with its pipes by number, the file, how its manifolds were moved."""

    building: Building
    earlier: EarlierDesign
    pipes: Mapping[str, KeptPipe]
    edited: EditedHeating
    moves: Mapping[str, Move | None]

    def findings(self, looks: Sequence[Look], strangers: Sequence[EditedPipe]) -> tuple[Finding, ...]:
        """A finding for each thing that was changed."""
        found = [*self._manifolds(looks), *(f for look in looks for f in self._circuit(look))]
        return (*found, *self._heights(looks), *self._unknown(strangers), *self._whole())

    # --- manifolds ------------------------------------------------------------------------------

    def _manifolds(self, looks: Sequence[Look]) -> Iterator[Finding]:
        for name, move in self.moves.items():
            mine = [look.circuit for look in looks if look.circuit.manifold == name]
            if move is None:
                words = f"manifold {name} is not in the file; its circuits are laid anew from where it suits"
                yield self._finding("manifold-missing", Severity.WARNING, words, mine, None)
            elif not move.still:
                yield self._finding("manifold-moved", Severity.NOTE, self._move(name, move, mine), mine, move.position)

    def _move(self, name: str, move: Move, mine: Sequence[ReturnedCircuit]) -> str:
        x, y = self._world(move.position)
        along = " along its wall" if abs(move.along_m - move.way_m) < 0.02 * move.way_m else ""
        followed = [c.number for c in mine if c.state is State.CHANGED]
        anew = [c.number for c in mine if c.state is not State.CHANGED]
        parts = [f"{_named(followed)} came with it"] * bool(followed) + [f"{_named(anew)} led anew"] * bool(anew)
        return f"manifold {name} was moved by {move.way_m:.2f} m{along}, to [{x:.2f}, {y:.2f}]: {'; '.join(parts)}"

    # --- circuits -------------------------------------------------------------------------------

    def _circuit(self, look: Look) -> Iterator[Finding]:
        circuit, words = look.circuit, f"circuit {look.circuit.number}"
        if look.unread:
            text = f"{words}: no curve can be read; its way is taken to be the earlier one, look whether it is"
            yield self._finding("unread", Severity.WARNING, text, [circuit], None)
        elif circuit.state is State.CHANGED:
            yield self._finding("way-changed", Severity.NOTE, f"{words}: {self._change(look)}", [circuit], None)
        elif circuit.state is State.REFUSED:
            where = "" if look.at is None else " at [{:.2f}, {:.2f}]".format(*self._world(look.at))
            text = f"{words}: its changed way cannot stay, {circuit.reason}{where}; it is laid anew"
            yield self._finding("way-refused", Severity.WARNING, text, [circuit], look.at)
        elif circuit.state is State.MISSING:
            text = (
                f"{words}: its pipe is not in the file; its floor is laid anew "
                "(heat = false under [[rooms.overrides]] leaves a room unheated)"
            )
            yield self._finding("circuit-missing", Severity.WARNING, text, [circuit], None)
        elif circuit.state is State.AS_IT_WAS and look.way is not None and look.way.fault:
            where = "" if look.way.fault_at is None else " at [{:.2f}, {:.2f}]".format(*self._world(look.way.fault_at))
            text = f"{words}: {look.way.fault}{where}; that is not taken over, its way in plan is as it was"
            yield self._finding("not-taken", Severity.WARNING, text, [circuit], look.way.fault_at)
        elif circuit.reason.endswith("on it now"):
            yield self._finding(
                "led-anew", Severity.NOTE, f"{words}: {circuit.reason}; it is laid anew", [circuit], None
            )

    def _change(self, look: Look) -> str:
        assert look.way is not None
        was = self.pipes[look.circuit.number].axis
        off, corners = greatest_offset_m(look.way.axis, was), look.way.rounded
        bends = f"; {corners} sharp corner{'s' * (corners > 1)} got the least bend" * bool(corners)
        lengths = f"{was.length_m:.1f} m to {look.way.axis.length_m:.1f} m in plan"
        return f"its way was changed, by up to {off:.2f} m, {lengths}, and stays as it was drawn{bends}"

    # --- the rest -------------------------------------------------------------------------------

    def _heights(self, looks: Sequence[Look]) -> Iterator[Finding]:
        """Pipes at another height than the floor's build-up gives them."""
        rows = [r for s in self.earlier.results["storeys"] for r in (s.get("build_up") or {}).items()]
        given = {guid: float(row["pipe_axis_m"]) for guid, row in rows if row.get("pipe_axis_m") is not None}
        off = [
            look.circuit
            for look in looks
            if look.way is not None
            and (mine := [given[g] for g in self._rooms(look.circuit) if g in given])
            and min(abs(look.way.level_m - z) for z in mine) > OFF_LEVEL_M
        ]
        if off:
            words = f"{_named([c.number for c in off])} at another height in the file; heights follow from the build-up"
            yield self._finding("height", Severity.NOTE, words, off, None)

    def _unknown(self, strangers: Sequence[EditedPipe]) -> Iterator[Finding]:
        for pipe in strangers:
            text = (
                f'pipe "{pipe.name}" ({pipe.ifc_guid}) is no circuit of the design and is not taken over; '
                "draw it with points under [[circuits.keep]]"
            )
            yield Finding(
                code="returned.pipe-unknown",
                severity=Severity.WARNING,
                message=Message("{text}", text=text),
                ifc_guids=(pipe.ifc_guid,),
            )

    def _whole(self) -> Iterator[Finding]:
        if self.edited.by_storeys:
            text = "the file lies elsewhere in the world, with its storeys; it was read by its place in them"
            yield Finding(code="returned.file-moved", severity=Severity.NOTE, message=Message("{text}", text=text))

    def _finding(
        self, code: str, severity: Severity, words: str, mine: Sequence[ReturnedCircuit], at: Point | None
    ) -> Finding:
        storeys = [c.storey for c in self.earlier.circuits if c.number in {m.number for m in mine}]
        return Finding(
            code=f"returned.{code}",
            severity=severity,
            message=Message("{words}", words=words),
            ifc_guids=tuple(dict.fromkeys(g for c in mine for g in (*self._pipe_guid(c), *self._rooms(c)))),
            at=at,
            storey=storeys[0] if storeys else "",
        )

    def _rooms(self, circuit: ReturnedCircuit) -> tuple[str, ...]:
        return next((c.rooms for c in self.earlier.circuits if c.number == circuit.number), ())

    def _pipe_guid(self, circuit: ReturnedCircuit) -> tuple[str, ...]:
        storey = next((c.storey for c in self.earlier.circuits if c.number == circuit.number), "")
        return (deterministic_guid(self.edited.project, "IfcPipeSegment", storey, circuit.number),)

    def _world(self, point: Point) -> tuple[float, float]:
        x, y = self.building.frame.to_world(np.array([point], dtype=float))[0]
        return float(x), float(y)


def _named(numbers: Sequence[str]) -> str:
    """Circuits by number, with the verb that follows."""
    many = len(numbers) > 1
    more = f" and {len(numbers) - MOST_NAMED} more" * (len(numbers) > MOST_NAMED)
    return f"circuit{'s' * many} {', '.join(numbers[:MOST_NAMED])}{more}"
