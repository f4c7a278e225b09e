"""heating.ifc: the heating trade's own model, whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ufh_core.basis.whole_file import write_whole
from ufh_core.building.earlier_additions import DIGEST, PROVENANCE
from ufh_core.building.model_file import open_model
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.exchange.coverings import write_build_up, write_doorways
from ufh_core.exchange.header import write_header
from ufh_core.exchange.joints import write_joints
from ufh_core.exchange.manifolds import write_manifold
from ufh_core.exchange.panel_parts import write_panel_parts
from ufh_core.exchange.pipes import StoreyScope, write_circuit, write_pipe_type
from ufh_core.exchange.project_frame import ProjectFrame, write_frame
from ufh_core.exchange.properties import Row, own_set
from ufh_core.exchange.room_choices import write_choices
from ufh_core.exchange.trade_model import TradeModel
from ufh_core.exchange.zones import write_fields, write_room_results, write_sleeves


def write_heating_model(design: Design, architect_path: Path, out: Path, *, panel_parts: bool = False) -> None:
    """Write the design as IFC4 (IFC4X3_ADD2 for an IFC4X3 source), in the frame of the architect's model.

    With `panel_parts` every panel and piece of the laying plans is a part of its room's covering.

    Raises `ModelReadError` when the architect's file cannot be read again, `OutputError` when `out`
    cannot be written; then nothing is left behind and a file that was there before is unchanged.
    """
    source = open_model(architect_path).model
    write_whole(out, heating_file(design, source, panel_parts=panel_parts).to_string())


def heating_file(design: Design, source: Any, *, panel_parts: bool = False) -> Any:
    """The heating model as an open IFC file; `source` is the architect's open file, `panel_parts` as above."""
    model, frame = write_frame(design, source)
    write_storeys(model, frame, design, panel_parts=panel_parts)
    own_set(model, frame.project, PROVENANCE, provenance_rows(design))
    model.finish()
    write_header(model.file, source, design.software_version)
    return model.file


def write_storeys(model: TradeModel, frame: ProjectFrame, design: Design, *, panel_parts: bool = False) -> None:
    """All that is ours, storey by storey; `panel_parts` as in `write_heating_model`."""
    pipe_type = write_pipe_type(model, design.settings.pipe) if any(s.circuits for s in design.storeys) else None
    for storey in design.storeys:
        _write_storey(model, _scope(design, frame, storey, pipe_type), panel_parts)


def _scope(design: Design, frame: ProjectFrame, storey: StoreyDesign, pipe_type: Any) -> StoreyScope:
    """What the builders of one storey need."""
    rooms = [room for s in design.building.storeys for room in s.rooms]
    return StoreyScope(
        design=design,
        storey=storey,
        entity=frame.storeys[storey.storey],
        labels={room.ifc_guid: room.label for room in rooms},
        spaces=frame.spaces,
        pipe_type=pipe_type,
    )


def _write_storey(model: TradeModel, scope: StoreyScope, panel_parts: bool) -> None:
    """Circuits, manifolds, fields, provisions, build-ups and results of a storey."""
    pipes = [write_circuit(model, scope, circuit) for circuit in scope.storey.circuits]
    for manifold in scope.storey.manifolds:
        own = [p for p in pipes if p.design.laid.manifold == manifold.manifold.name]
        write_manifold(model, scope, manifold, own)
    for written in pipes:
        write_fields(model, scope, written)
        write_sleeves(model, scope, written)
    rooms = {room.ifc_guid: room for s in scope.design.building.storeys for room in s.rooms}
    apart = {p.room for p in scope.storey.panels.pieces} if panel_parts and scope.storey.panels else set()
    coverings = {}
    for room in scope.storey.rooms:
        write_room_results(model, scope, room)
        if room.build_up is not None:
            bare = room.room in apart
            coverings[room.room] = write_build_up(model, scope, rooms[room.room], room.build_up, panels_apart=bare)
    write_doorways(model, scope, rooms)
    if apart:
        write_panel_parts(model, scope, {r.room: r.build_up for r in scope.storey.rooms if r.build_up}, coverings)
    write_joints(model, scope)
    write_choices(model, scope)


def provenance_rows(design: Design) -> list[Row]:
    """What the file was made with and from."""
    return [
        ("SoftwareVersion", "IfcLabel", design.software_version),
        ("SettingsDigest", "IfcLabel", design.settings_digest),
        (DIGEST, "IfcLabel", design.building.file_digest),
    ]
