"""Why each room's circuits lie as they do, as plain text for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.circuits.types import LaidCircuit
from ufh_core.design_result import Design, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.fields.choice import Candidate, CircuitChoice

HEAD = "    cost   floor missed   farthest, pitches   unevenness   bends per m"


def explanation(design: Design) -> list[str]:
    """Lines for every heated room: what was tried, how it was rated, what stops a better one."""
    return [line for storey in design.storeys for room in storey.rooms for line in _room(design, storey, room)]


def _room(design: Design, storey: StoreyDesign, result: RoomDesign) -> Iterator[str]:
    if result.status is RoomStatus.NOT_HEATED:
        return
    room = design.building.room(result.room)
    mine = [c.laid for c in storey.circuits if result.room in c.laid.rooms]
    yield f"{room.label}, {room.outline.area:.1f} m²: {_count(len(mine))}"
    if not mine:
        yield f"  {result.reason}"
    for laid in mine:
        for choice in laid.choices_for(result.room):
            yield from _circuit(laid, choice)


def _count(circuits: int) -> str:
    return f"{circuits or 'no'} circuit{'' if circuits == 1 else 's'}"


def _circuit(laid: LaidCircuit, choice: CircuitChoice) -> Iterator[str]:
    pitch_m = laid.pitch_m if choice is laid.choice else choice.asked_pitch_m
    yield f"  {laid.number}, pitch {1000 * pitch_m:.0f} mm: {choice.drawn} loops drawn and rated"
    if choice.candidates:
        yield HEAD
    yield from map(_candidate, choice.candidates)
    for refusal in choice.refusals:
        where = "at the end of its tails" if refusal.place == 0 else f"{refusal.place} steps back along its tails"
        yield f"    refused: pitch {1000 * refusal.pitch_m:.0f} mm, opened {where}: {refusal.reason}"
    stops = "; ".join(choice.limits) or "nothing that was found"
    yield f"    what stops a better one: {stops}"


def _candidate(one: Candidate) -> str:
    figures = f"{one.cost:8.2f}{100 * one.missed:13.1f} %{one.gap:20.2f}{one.unevenness:13.3f}{one.bends_per_m:14.2f}"
    return f"{figures}   {one.verdict}"
