"""Two states of a model compared: elements matched, changes told, and put to the earlier design, where there is one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ufh_core.building.types import Building
from ufh_core.revision.carrying import carried_settings
from ufh_core.revision.earlier_design import EarlierDesign
from ufh_core.revision.element_changes import (
    KINDS,
    Sides,
    element_changes,
    figure_changes,
    sides_of,
    with_doors_put_together,
)
from ufh_core.revision.pairing import room_pairs, storey_pairs
from ufh_core.revision.room_changes import come_and_gone, level_changes, shape_changes, use_changes
from ufh_core.revision.touched import Standing, Verdict, standing_of, state_of
from ufh_core.revision.types import Change, Effect, Revision
from ufh_core.revision.whole_model import whole_model_changes
from ufh_core.revision.world_shift import moved_building, world_shift

NEAR_PIPE_M = 0.15
NEAR_MANIFOLD_M = 0.5
BY_ROOMS = ("revision.room-", "revision.wall-", "revision.column-", "revision.unit-", "revision.level-")


def compare_models(old: Building, new: Building, earlier: EarlierDesign | None = None) -> Revision:
    """What changed from one state of a building to the next, and what of the earlier design it touches.

    Raises: UfhError where the design is of another model.
    """
    shift = world_shift(old, new)
    before = moved_building(old, new, shift)
    storeys = storey_pairs(before, new)
    rooms = room_pairs(before, new, storeys)
    sides = sides_of(before, new, rooms, storeys)
    changes = [*whole_model_changes(old, new, shift, sides), *_changes(sides)]
    found = Revision(
        old=before,
        new=new,
        changes=tuple(changes),
        rooms=rooms,
        same_ids=sides.same_ids,
        shift=shift,
    )
    found = found if earlier is None else _put_to_design(found, earlier)
    return replace(found, changes=tuple(sorted(found.changes, key=lambda c: _rank(c, designed=found.designed))))


def _changes(sides: Sides) -> list[Change]:
    """Every change but those of the whole model."""
    built = [c for kind in KINDS for c in element_changes(sides, kind)]
    told, rest = shape_changes(sides.rooms, [*come_and_gone(sides.rooms), *with_doors_put_together(built)])
    return [
        *told,
        *rest,
        *level_changes(sides.rooms, sides.new),
        *use_changes(sides.rooms),
        *figure_changes(sides),
    ]


def _put_to_design(found: Revision, earlier: EarlierDesign) -> Revision:
    """The revision with what it does to an earlier design."""
    before = state_of(found.old, earlier.settings)
    after = state_of(found.new, carried_settings(earlier.settings, found))
    standing = standing_of(earlier, before, after, found.rooms)
    return replace(
        found,
        changes=tuple(_blamed(found.changes, standing)),
        designed=True,
        circuits=standing.circuits,
        cabinets=standing.cabinets,
        touched=tuple(v.circuit for v in standing.verdicts),
        manifolds=standing.manifolds,
        panels=standing.panels,
    )


def _blamed(changes: Sequence[Change], standing: Standing) -> Iterator[Change]:
    """Each change with the circuits that it touches; a circuit that none accounts for is a line of its own."""
    by_change: dict[int, list[Verdict]] = {}
    for verdict in standing.verdicts:
        mine = [k for k, c in enumerate(changes) if _at_its_place(c, verdict)]
        mine = mine or [k for k, c in enumerate(changes) if _in_its_rooms(c, verdict)]
        for k in mine:
            by_change.setdefault(k, []).append(verdict)
        if not mine:
            yield _unexplained(verdict, standing)
    for k, change in enumerate(changes):
        some = by_change.get(k, [])
        lost = {v.circuit.manifold for v in some if v.manifold_at is not None} & set(standing.manifolds)
        yield replace(
            change,
            circuits=tuple(v.circuit.number for v in some),
            manifolds=tuple(sorted(lost)),
            pipe_m=sum(v.circuit.length_m for v in some if v.circuit.effect is Effect.LAY_ANEW),
            effect=_effect_on_design(change, some),
        )


def _effect_on_design(change: Change, some: Sequence[Verdict]) -> Effect:
    return max((v.circuit.effect for v in some), default=change.effect)


def _at_its_place(change: Change, verdict: Verdict) -> bool:
    """Whether a change lies where the circuit's way or manifold is, or is one of a room that asks for it."""
    if change.effect is Effect.NONE:
        return False
    grave = verdict.circuit.effect is Effect.LAY_ANEW
    if grave != (change.effect is Effect.LAY_ANEW) and not change.code.startswith("revision.level-"):
        return False
    if verdict.manifold_at is not None:
        return bool(change.area.distance(verdict.manifold_at) < NEAR_MANIFOLD_M)
    if verdict.way and not change.area.is_empty and change.area.distance(verdict.line) < NEAR_PIPE_M:
        return True
    return bool(set(change.rooms) & set(verdict.rooms)) and (not grave or change.code.startswith(BY_ROOMS))


def _in_its_rooms(change: Change, verdict: Verdict) -> bool:
    return change.effect is not Effect.NONE and bool(set(change.rooms) & set(verdict.circuit.fields))


def _unexplained(verdict: Verdict, standing: Standing) -> Change:
    circuit = verdict.circuit
    home = next(c.storey for c in standing.circuits if c.number == circuit.number)
    return Change(
        code="revision.circuit-touched",
        words=f"circuit {circuit.number} cannot stay as it lies: {circuit.reason}",
        storey=home,
        elements=circuit.fields,
        rooms=circuit.fields,
        area=verdict.line,
        effect=circuit.effect,
        circuits=(circuit.number,),
        pipe_m=circuit.length_m,
    )


def _rank(change: Change, *, designed: bool) -> tuple[object, ...]:
    """The most serious first: manifolds, circuits to lay anew by their pipe, figures, the rest."""
    touches = bool(change.circuits) or not designed
    return (-len(change.manifolds), -int(change.effect) if touches else 0, -change.pipe_m, -int(change.effect))
