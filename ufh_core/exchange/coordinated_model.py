"""coordinated.ifc: the architect's model in its own schema, with the heating added and nothing of it changed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ifcopenshell
import numpy as np
from ifcopenshell.util import unit as ifc_unit

from ufh_core.basis.errors import OutputError
from ufh_core.basis.whole_file import write_whole
from ufh_core.building.earlier_additions import ADDED, PROVENANCE
from ufh_core.building.model_file import open_model
from ufh_core.building.types import Room, Storey
from ufh_core.design_result import Design, RoomStatus
from ufh_core.exchange.header import stated, written_at
from ufh_core.exchange.heating_model import provenance_rows, write_storeys
from ufh_core.exchange.ifc_units import FileUnits
from ufh_core.exchange.merged_model import MergedModel
from ufh_core.exchange.project_frame import VIEWS, ProjectFrame, derived_space, new_storey, plan_frame_matrix, world
from ufh_core.exchange.properties import own_set
from ufh_core.exchange.trade_model import MODEL


def write_coordinated_model(design: Design, architect_path: Path, out: Path) -> None:
    """Write the architect's model with our elements; additions of an earlier run are replaced.

    Raises `ModelReadError` when the architect's file cannot be read again, `OutputError` when it has no
    geometric context or `out` cannot be written; then nothing is left behind.
    """
    write_whole(out, coordinated_file(design, open_model(architect_path).model).to_string())


def coordinated_file(design: Design, source: Any) -> Any:
    """Add the design to the architect's open file, which holds no earlier additions; the file itself is changed."""
    add_to_model(design, source)
    _header(source, design.software_version)
    return source


def add_to_model(design: Design, source: Any) -> tuple[str, ...]:
    """Add the design to an open file that holds no earlier additions; GlobalIds of what was added.

    Raises `OutputError` where the file has no geometric context.
    """
    project = source.by_type("IfcProject")[0]
    length, angle = (float(ifc_unit.calculate_unit_scale(source, kind)) for kind in ("LENGTHUNIT", "PLANEANGLEUNIT"))
    units = FileUnits(length_m=length, angle_rad=angle)
    contexts = _Contexts(source, project)
    model = MergedModel(source, units, contexts, project.GlobalId, design.software_version)
    frame = ProjectFrame(project=project, storeys=_storeys(model, design), spaces=_spaces(model, design))
    write_storeys(model, frame, design)
    model.finish()
    rows = [*provenance_rows(design), (ADDED, "IfcIdentifier", tuple(model.added))]
    own_set(model, project, PROVENANCE, rows)
    return tuple(model.added)


class _Contexts(dict[str, Any]):
    """Subcontexts by identifier, each made when it is first used: what nothing uses could not be taken out again."""

    def __init__(self, file: Any, project: Any) -> None:
        super().__init__()
        self._file, self._parent = file, _for_bodies(project)

    def __missing__(self, name: str) -> Any:
        self[name] = _subcontext(self._file, self._parent, name, VIEWS[name])
        return self[name]


def _for_bodies(project: Any) -> Any:
    """The architect's context for bodies."""
    own = [c for c in project.RepresentationContexts or () if c.is_a("IfcGeometricRepresentationContext")]
    whole = [c for c in own if not c.is_a("IfcGeometricRepresentationSubContext")]
    found = [c for c in whole if c.ContextType == MODEL] or [c for c in whole if c.CoordinateSpaceDimension == 3]
    if not found:
        raise OutputError("coordinated.ifc: the architect's model has no 3D geometric context; export it with geometry")
    return found[0]


def _subcontext(file: Any, parent: Any, name: str, view: str) -> Any:
    """The architect's subcontext where it is in use, else one of ours.

    One that nothing uses is left alone, so that taking our additions out again can never take it along.
    """
    for there in parent.HasSubContexts:
        if (there.ContextIdentifier, there.TargetView) == (name, view) and file.get_total_inverses(there):
            return there
    return file.create_entity(
        "IfcGeometricRepresentationSubContext",
        ContextIdentifier=name,
        ContextType=MODEL,
        ParentContext=parent,
        TargetView=view,
    )


def _storeys(model: MergedModel, design: Design) -> dict[str, Any]:
    """The architect's storeys by GlobalId; those that the file does not have are made."""
    found = {}
    for storey in design.building.storeys:
        entity = _there(model.file, storey.ifc_guid) or new_storey(model, storey, _whole(model.file))
        base = np.linalg.inv(world(entity, model.units.length_m)) @ plan_frame_matrix(design.building)
        model.set_base(entity, base)
        found[storey.ifc_guid] = entity
    return found


def _whole(file: Any) -> Any:
    """What a storey of ours is a part of: the first building (else site, else project)."""
    return next(e for kind in ("IfcBuilding", "IfcSite", "IfcProject") for e in file.by_type(kind))


def _spaces(model: MergedModel, design: Design) -> dict[str, Any]:
    """The rooms that are heated or should be, by GlobalId; those found from walls are made."""
    wanted = {r.room for s in design.storeys for r in s.rooms if r.status is not RoomStatus.NOT_HEATED}
    rooms = [(s, room) for s in design.building.storeys for room in s.rooms if room.ifc_guid in wanted]
    return {room.ifc_guid: _space(model, storey, room) for storey, room in rooms}


def _space(model: MergedModel, storey: Storey, room: Room) -> Any:
    """A room of the architect's, or one of ours."""
    there = _there(model.file, room.ifc_guid)
    return there or derived_space(model, model.file.by_guid(storey.ifc_guid), room)


def _there(file: Any, guid: str) -> Any | None:
    """The element of a GlobalId."""
    try:
        return file.by_guid(guid)
    except RuntimeError:
        return None


def _header(file: Any, version: str) -> None:
    """Name, time and tool; the architect's description, author and organisation stay."""
    name = file.header.file_name
    name.name = "coordinated.ifc"
    name.time_stamp = written_at().strftime("%Y-%m-%dT%H:%M:%S")
    name.author, name.organization = stated(name.author), stated(name.organization)
    name.preprocessor_version = f"IfcOpenShell {ifcopenshell.version}"
    name.originating_system = f"Warmloom - Warmloom - {version}"
