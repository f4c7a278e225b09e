"""What is screwed into floors later: door stops and thresholds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import shapely

from ufh_core.basis.findings import Finding
from ufh_core.basis.message import Message
from ufh_core.building.door_swings import DoorSwing
from ufh_core.building.types import Opening, Storey
from ufh_core.coordination.pipe_runs import PipeRuns
from ufh_core.coordination.rules import Place, broken, listed

SCREW_M = 0.06  # a screw this near to a pipe's axis may hit it


def drilling_findings(pipes: Sequence[PipeRuns], storey: Storey, swings: Mapping[str, DoorSwing]) -> Iterator[Finding]:
    """One note on all doors of a storey whose stops or thresholds would be screwed into pipes."""
    lines = shapely.union_all([runs.line for runs in pipes])
    shapely.prepare(lines)
    met = [o for o in storey.openings if o.kind == "door" and _drilled(o, lines, swings.get(o.ifc_guid))]
    if met:
        place = Place(ifc_guids=tuple(sorted(o.ifc_guid for o in met)), storey=storey.ifc_guid)
        yield broken("drilling", place, what=listed(_between(storey, o) for o in met))


def _drilled(door: Opening, lines: shapely.Geometry, swing: DoorSwing | None) -> bool:
    """Whether a pipe lies in a doorway or where the stop of its door would stand."""
    stops = [shapely.Point(p) for p in (swing.stops if swing is not None else ())]
    return bool(lines.intersects(door.outline)) or any(shapely.dwithin(lines, stop, SCREW_M) for stop in stops)


def _between(storey: Storey, door: Opening) -> str:
    """A door by the rooms that it joins, else by its name or GlobalId."""
    joins = next((p.rooms for p in storey.passages if p.ifc_guid == door.ifc_guid), ())
    names = [room.label for room in storey.rooms if room.ifc_guid in joins]
    if len(names) == 2:
        return Message("{room} to {other}", room=names[0], other=names[1])
    return Message("door of {room}", room=names[0]) if names else door.name or door.ifc_guid
