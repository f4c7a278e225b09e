"""Which circuits of an earlier design can stay in the new state, by the rules that any kept circuit must keep.

A circuit is touched where its way breaks a rule now, where its manifold lost the wall, and where a room that it heats
got floor that a run would fit on, another use or another level.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import LineString, Point, box

from ufh_core.basis.areas import Area
from ufh_core.basis.errors import UfhError
from ufh_core.building.types import Building, Room
from ufh_core.circuits.kept_layout import standing_faults
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.lanes.kept_places import kept_places
from ufh_core.revision.earlier_design import EarlierDesign
from ufh_core.revision.shapes import changed_area, wide_parts
from ufh_core.revision.types import TOLERANCE_M, EarlierCabinet, EarlierPipe, Effect, RoomPair, TouchedCircuit
from ufh_core.settings.earlier_run import EarlierCircuit
from ufh_core.settings.types import Settings
from ufh_core.zones.floor_answers import with_floor_answers
from ufh_core.zones.kept_pipes import KeptPipe, pipe_of
from ufh_core.zones.level_plan import Level, levels_of
from ufh_core.zones.selection import select_rooms

GAINED_M = 0.05  # floor that is gained in a narrower strip takes no run: half the least pitch
PASSES_M = 0.3  # a pipe that lies in a room for less only touches it


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Why a circuit is touched: `rooms` (GlobalIds of the new state) that ask for it, `way` where its own way does."""

    circuit: TouchedCircuit
    rooms: tuple[str, ...]
    line: LineString
    way: bool
    manifold_at: Point | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Circuits and manifolds of the earlier design, what is touched, manifolds that lost their wall, new panels."""

    circuits: tuple[EarlierPipe, ...]
    cabinets: tuple[EarlierCabinet, ...]
    verdicts: tuple[Verdict, ...]
    manifolds: tuple[str, ...]
    panels: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One state of the building with the levels on which its rooms are heated, and their floors by room."""

    building: Building
    levels: tuple[Level, ...]
    settings: Settings

    @property
    def floors(self) -> dict[str, Area]:
        """The floor of every heated room less what stands on it."""
        return {guid: level.floors[guid] for level in self.levels for guid in level.heated}


def state_of(building: Building, settings: Settings) -> State:
    """The levels of a building as a design would lay them."""
    selection = select_rooms(building, settings)
    answered, _ = with_floor_answers(building, selection)
    levels = [
        level
        for storey in answered.storeys
        for level in levels_of(
            storey, frozenset(r.ifc_guid for r in storey.rooms if selection[r.ifc_guid].heat), settings
        )
    ]
    return State(building=building, levels=tuple(levels), settings=settings)


def standing_of(earlier: EarlierDesign, before: State, after: State, pairs: Sequence[RoomPair]) -> Standing:
    """What of an earlier design stands in the new state. Raises: UfhError where it is of another model."""
    pipes = {c.number: _pipe(c, before.building) for c in earlier.circuits}
    same = {p.old.ifc_guid: p.new.ifc_guid for p in pairs if p.old is not None and p.new is not None}
    moved = {n: _in_new(pipe, same) for n, pipe in pipes.items()}
    then, now = faults_in_state(pipes, before), faults_in_state(moved, after)
    homeless = _homeless(moved, after) - _homeless(pipes, before)
    lost = {c.manifold.name for c in earlier.circuits if c.number in homeless}
    rooms = _room_reasons(pairs, before, after)
    verdicts = []
    for circuit in earlier.circuits:
        number, name = circuit.number, circuit.manifold.name
        own = "" if then[number] else now[number]
        if name in lost:
            own = f"manifold {name} has no free straight wall with free floor in front any more"
        found = _verdict(circuit, own, pipes[number], rooms, same, pairs, earlier, name in lost)
        verdicts += [found] if found else []
    circuits = tuple(_earlier_pipe(c, pipes[c.number], earlier) for c in earlier.circuits)
    return Standing(
        circuits=circuits,
        cabinets=_cabinets(earlier, pipes),
        verdicts=tuple(verdicts),
        manifolds=tuple(sorted(lost)),
        panels=_panels(earlier, before, after, pairs),
    )


def _cabinets(earlier: EarlierDesign, pipes: Mapping[str, KeptPipe]) -> tuple[EarlierCabinet, ...]:
    """The cabinets of all manifolds, each once."""
    depth, found = earlier.settings.manifold.cabinet_depth_m, {}
    for circuit in earlier.circuits:
        kept = pipes[circuit.number].manifold
        if kept is not None:
            nx, ny = kept.normal
            ends = [kept.position[k] + side * kept.width_m / 2 * (-ny, nx)[k] for side in (-1, 1) for k in (0, 1)]
            outline = box(*_bounds(ends[0], ends[1], ends[2] + depth * nx, ends[3] + depth * ny))
            found[kept.name] = EarlierCabinet(name=kept.name, storey=circuit.storey, outline=outline)
    return tuple(found.values())


def _bounds(x0: float, y0: float, x1: float, y1: float) -> tuple[float, float, float, float]:
    return (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def _pipe(circuit: EarlierCircuit, old: Building) -> KeptPipe:
    storey = next((s for s in old.storeys if s.ifc_guid == circuit.storey), None)
    if storey is None:
        raise UfhError(
            f"{circuit.file}: storey {circuit.storey} is not in the old model; name the design of that model"
        )
    return replace(pipe_of(circuit, storey, old), label=circuit.number)


def _earlier_pipe(circuit: EarlierCircuit, pipe: KeptPipe, earlier: EarlierDesign) -> EarlierPipe:
    return EarlierPipe(
        number=circuit.number,
        manifold=circuit.manifold.name,
        storey=circuit.storey,
        rooms=tuple(dict.fromkeys((*circuit.rooms, *(f.room for f in circuit.fields)))),
        line=pipe.axis.line(),
        length_m=earlier.lengths_m[circuit.number],
    )


def _in_new(pipe: KeptPipe, same: Mapping[str, str]) -> KeptPipe:
    """A pipe with the GlobalIds that its rooms have in the new state."""
    fields = tuple((same.get(room, room), outline) for room, outline in pipe.fields)
    return replace(pipe, room=same.get(pipe.room, pipe.room), fields=fields)


def _by_level(pipes: Mapping[str, KeptPipe], state: State) -> list[tuple[Level, list[KeptPipe]]]:
    found = []
    for level in state.levels:
        here = {r.ifc_guid for r in level.rooms}
        mine = [p for p in pipes.values() if p.room in here]
        found += [(level, mine)] if mine else []
    return found


def faults_in_state(pipes: Mapping[str, KeptPipe], state: State) -> dict[str, str]:
    """The rule that each pipe breaks, in words; "" for none."""
    found = dict.fromkeys(pipes, "its room is gone or not heated any more")
    for level, mine in _by_level(pipes, state):
        pitches = {p.room: p.pitch_m or 0.0 for p in mine}
        found |= standing_faults(mine, LevelBrief(level=level, pitches=pitches, settings=state.settings))
    return found


def _homeless(pipes: Mapping[str, KeptPipe], state: State) -> set[str]:
    """Numbers of circuits whose manifold has no place on its wall."""
    found: set[str] = set()
    for level, mine in _by_level(pipes, state):
        places = kept_places(mine, level, state.settings)
        found |= {p.label for p in mine if p.label not in places}
    return found


def _room_reasons(pairs: Sequence[RoomPair], before: State, after: State) -> dict[str, tuple[Effect, str]]:
    """Why the circuits of a room are touched, by its GlobalId in the new state."""
    then, now = before.floors, after.floors
    found: dict[str, tuple[Effect, str]] = {}
    for pair in pairs:
        if pair.old is None or pair.new is None or pair.new.ifc_guid not in now:
            continue
        old, new = pair.old, pair.new
        gain = _gained(then.get(old.ifc_guid), now[new.ifc_guid])
        rise = new.floor_m - old.floor_m
        if gain > 0:
            found[new.ifc_guid] = (Effect.LAY_ANEW, f"{new.label} got {gain:.2f} m² of floor more")
        elif old.kind != new.kind:
            found[new.ifc_guid] = (Effect.LAY_ANEW, f"{new.label} is for another use")
        elif abs(rise) > TOLERANCE_M:
            words = f"{new.label} lies {abs(rise):.3f} m {'higher' if rise > 0 else 'lower'}"
            found[new.ifc_guid] = (Effect.FIGURES, words)
        elif _figures(old, new):
            found[new.ifc_guid] = (Effect.FIGURES, f"the figures of {new.label} are others")
    return found


def _gained(old: Area | None, new: Area) -> float:
    """Floor [m²] that a run of pipe could use and that was none before."""
    if old is None:
        return 0.0
    return float(wide_parts(shapely.difference(new, old, grid_size=1e-5), GAINED_M).area)


def _figures(old: Room, new: Room) -> bool:
    slabs = [r.floor_m - r.slab_top_m for r in (old, new) if r.slab_top_m is not None]
    build_up = len(slabs) == 2 and abs(slabs[1] - slabs[0]) > TOLERANCE_M
    return build_up or (old.indoor_c, old.heat_load_w) != (new.indoor_c, new.heat_load_w)


def _verdict(
    circuit: EarlierCircuit,
    own: str,
    pipe: KeptPipe,
    reasons: Mapping[str, tuple[Effect, str]],
    same: Mapping[str, str],
    pairs: Sequence[RoomPair],
    earlier: EarlierDesign,
    homeless: bool,
) -> Verdict | None:
    """Whether a circuit is touched, its own way first, then its rooms, the gravest first."""
    rooms = [same.get(g, g) for g in dict.fromkeys((*circuit.rooms, *(f.room for f in circuit.fields)))]
    asked = sorted(((*reasons[g], g) for g in rooms if g in reasons), key=lambda r: -r[0])
    effect, reason = (Effect.LAY_ANEW, own) if own else asked[0][:2] if asked else (Effect.NONE, "")
    if effect is Effect.FIGURES and _steps(pipe, pairs):
        effect, reason = Effect.LAY_ANEW, "the rooms on its way do not lie at one level any more"
    if effect is Effect.NONE:
        return None
    touched = TouchedCircuit(
        number=circuit.number,
        manifold=circuit.manifold.name,
        effect=effect,
        reason=reason,
        fields=tuple(rooms),
        length_m=earlier.lengths_m[circuit.number],
    )
    at = Point(pipe.manifold.position) if homeless and pipe.manifold is not None else None
    ask = tuple(g for e, _, g in asked if e is effect)
    return Verdict(circuit=touched, rooms=ask, line=pipe.axis.line(), way=bool(own), manifold_at=at)


def _steps(pipe: KeptPipe, pairs: Sequence[RoomPair]) -> bool:
    """Whether the rooms in which a pipe lies were raised by different heights."""
    line = pipe.axis.line()
    rises = [
        p.new.floor_m - p.old.floor_m
        for p in pairs
        if p.old is not None and p.new is not None and line.intersection(p.old.outline).length > PASSES_M
    ]
    return bool(rises) and max(rises) - min(rises) > TOLERANCE_M


def _panels(earlier: EarlierDesign, before: State, after: State, pairs: Sequence[RoomPair]) -> tuple[str, ...]:
    """Rooms (GlobalIds of the new state) whose panels are laid anew, of storeys that have laying plans."""
    there = {r.ifc_guid for s in before.building.storeys if s.ifc_guid in earlier.with_panels for r in s.rooms}
    then, now = before.floors, after.floors
    found = []
    for pair in pairs:
        old = then.get(pair.old.ifc_guid) if pair.old is not None and pair.old.ifc_guid in there else None
        new = now.get(pair.new.ifc_guid) if pair.new is not None else None
        if pair.new is not None and old is not None and new is not None and not changed_area(old, new).is_empty:
            found.append(pair.new.ifc_guid)
    return tuple(found)
