"""Results into the rows that panels show. Nothing is calculated; what the designer chose for a room stays."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from ufh_core.basis.findings import Finding
from ufh_core.design_result import CircuitDesign, Design, RoomStatus, StoreyDesign
from ufh_core.documents.finding_groups import circuits_named
from ufh_core.documents.summary import why_not_carried
from ufh_core.exchange.pipe_run import circuit_run

from .carried import take_choices
from .choices import place_words, settings_of
from .memory import Designed, Reading, remember
from .properties import OWN, given

LONGEST_LIST = 500
SAME_LENGTH_M = 2e-3  # single precision
"""Findings shown at most; all of them are in design.json."""

STATUS_WORDS = {
    RoomStatus.HEATED: "heated",
    RoomStatus.SHORT: "short",
    RoomStatus.FAILED: "not laid",
    RoomStatus.NOT_HEATED: "not heated",
}


def take_reading(record: Any, reading: Reading) -> None:
    """Show a building that was read, with the answers that its model carries; a design of another reading is gone."""
    settings = settings_of(record)
    record.model_path, record.opened = str(reading.path), reading.opened
    record.reading_id, record.design_id, record.headline, record.outdated = remember(reading), "", "", False
    _facts(record, reading.report)
    _rooms_as_read(record, reading)
    take_choices(record, reading.building, settings)
    _findings(record, reading.report.assumed)
    record.manifolds.clear()
    record.circuits.clear()


def take_design(record: Any, designed: Designed) -> None:
    """Show a design: what became of rooms, its manifolds, circuits and findings."""
    design = designed.design
    record.design_id, record.headline = remember(designed), designed.summary.headline
    rows = {row.guid: row for row in record.rooms}
    for storey in design.storeys:
        for room in storey.rooms:
            if room.room in rows:
                _room_as_designed(rows[room.room], room, storey)
    _manifolds(record, designed)
    _circuits(record, design)
    _findings(record, _gravest_first(design.findings))
    record.outdated = False


def _facts(record: Any, report: Any) -> None:
    """What was read, and what to ask the architect for."""
    record.facts.clear()
    record.questions.clear()
    elements = {
        name: sum(s.elements.get(name, 0) for s in report.storeys) for s in report.storeys for name in s.elements
    }
    counts = ", ".join(f"{count} {name}" for name, count in elements.items())
    storeys = ", ".join(storey.name for storey in report.storeys)
    for label, value in (("", report.title), *report.facts, ("storeys", storeys), ("elements", counts)):
        _add(record.facts, label=f"{label}: {value}" if label else value)
    for question in report.questions:
        _add(record.questions, label=question.text, guids=" ".join(question.ifc_guids))


def _rooms_as_read(record: Any, reading: Reading) -> None:
    keys = ("heat", "leave_out", "also", *(key for own, _, _ in OWN for key in (own, given(own))))
    chosen = {row.guid: {key: getattr(row, key) for key in keys} for row in record.rooms}
    needs = {demand.ifc_guid: demand.taken_w for demand in reading.report.demands}
    record.rooms.clear()
    for storey in reading.report.storeys:
        for room in storey.rooms:
            _add(
                record.rooms,
                guid=room.ifc_guid,
                label=room.label,
                storey=storey.name,
                kind=room.kind,
                area_m2=room.area_m2,
                heated=room.heated,
                status="" if room.heated else STATUS_WORDS[RoomStatus.NOT_HEATED],
                reason=room.reason,
                need_w=needs.get(room.ifc_guid, 0.0),
                **chosen.get(room.ifc_guid, {}),
            )


def _room_as_designed(row: Any, room: Any, storey: StoreyDesign) -> None:
    mine = [circuit.laid for circuit in storey.circuits if room.room in circuit.laid.rooms]
    row.heated = room.status is not RoomStatus.NOT_HEATED
    row.status, row.reason = STATUS_WORDS[room.status], why_not_carried(room)
    row.laid_circuits = ", ".join(laid.number for laid in mine)
    row.need_w = room.demand.demand_w if room.demand and row.heated else 0.0
    row.gives_w = room.heat_w if room.output else 0.0
    row.laid_pitch_m = mine[0].pitch_m if mine else 0.0
    layers = room.build_up.layers if room.build_up else ()
    row.laid_finish_r = next((layer.r_value for layer in layers if layer.role == "finish"), 0.0)


def _manifolds(record: Any, designed: Designed) -> None:
    """Manifolds with their places in the model's plan; one that stands at a place that was fixed keeps its mark."""
    fixed = {(row.storey, row.place or row.label) for row in record.manifolds if row.fixed}
    building = designed.reading.building
    rooms = {room.ifc_guid: room.label for storey in building.storeys for room in storey.rooms}
    record.manifolds.clear()
    for storey, lines in zip(designed.design.storeys, designed.summary.storeys, strict=True):
        for each, line in zip(storey.manifolds, lines.manifolds, strict=True):
            x, y = building.frame.to_world(np.array([each.manifold.position]))[0]
            _add(
                record.manifolds,
                label=line.name,
                storey=lines.name,
                room=rooms.get(each.manifold.room, ""),
                circuits=line.circuits,
                flow_c=line.flow_c,
                return_c=line.return_c,
                volume_flow=line.volume_flow,
                pump_pa=line.pump_pa,
                pipe_m=line.pipe_m,
                at=place_words((float(x), float(y))),
                place=each.manifold.place,
                fixed=(lines.name, each.manifold.place) in fixed,
            )


def _circuits(record: Any, design: Any) -> None:
    rooms = {room.ifc_guid: room.label for storey in design.building.storeys for room in storey.rooms}
    fixed = {row.label: row.length_m for row in record.circuits if row.fixed}
    record.circuits.clear()
    for storey in design.storeys:
        for circuit in storey.circuits:
            row = _circuit(design, storey, circuit, rooms)
            stayed = abs(fixed.get(row["label"], math.inf) - row["length_m"]) < SAME_LENGTH_M
            _add(record.circuits, **row, fixed=stayed)


def _circuit(design: Design, storey: StoreyDesign, circuit: CircuitDesign, rooms: dict[str, str]) -> dict[str, Any]:
    """One circuit; its length is that of the pipe as drawn, as in heating.ifc and design.json."""
    return {
        "label": circuit.laid.number,
        "rooms": ", ".join(rooms[guid] for guid in circuit.laid.rooms),
        "length_m": circuit_run(design, storey, circuit).length_m,
        "volume_flow": circuit.flow.volume_flow,
        "setting": circuit.valve_setting,
        "drop_pa": circuit.flow.pressure_drop_pa,
        "output_w": circuit.output_w,
        "pitch_m": circuit.laid.pitch_m,
    }


def _findings(record: Any, findings: Sequence[Finding]) -> None:
    record.findings.clear()
    for finding in findings[:LONGEST_LIST]:
        _add(
            record.findings,
            severity=finding.severity.value,
            code=finding.code,
            message=finding.message,
            guids=" ".join(finding.ifc_guids),
            circuits=" ".join(sorted(circuits_named(finding))),
        )


def _gravest_first(findings: Iterable[Finding]) -> list[Finding]:
    order = ["error", "warning", "note"]
    return sorted(findings, key=lambda f: order.index(f.severity.value))


def _add(rows: Any, **values: Any) -> None:
    row = rows.add()
    for key, value in values.items():
        setattr(row, key, value)
