"""The summary of a design as a page on the terminal."""

from __future__ import annotations

from pathlib import Path

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from ufh_core.basis.findings import Severity
from ufh_core.design_result import RoomStatus
from ufh_core.documents.finding_groups import FindingGroup
from ufh_core.documents.summary import ManifoldLine, RoomLine, StoreyLines, Summary

_STATUS_STYLE = {RoomStatus.HEATED: "green", RoomStatus.SHORT: "yellow", RoomStatus.FAILED: "red"}
_SEVERITY_STYLE = {Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "dim"}
_STATUS_WORD = {RoomStatus.NOT_HEATED: "not heated", RoomStatus.FAILED: "not laid"}
_RIGHT = ("area m²", "need W", "gives W", "pitch mm")


def show_summary(console: Console, summary: Summary, folder: Path) -> None:
    """Write what came of the design: rooms and manifolds by storey, findings, and where the files are."""
    for storey in summary.storeys:
        if storey.rooms:
            console.print(_room_table(storey))
        for manifold in storey.manifolds:
            console.print(_manifold_line(manifold), markup=False)
    if any(storey.manifolds for storey in summary.storeys):
        console.print()
    if empty := [storey.name for storey in summary.storeys if not storey.rooms]:
        console.print(f"no rooms on: {', '.join(empty)}", markup=False)
    for group in summary.findings:
        console.print(_finding_line(group))
    console.print(summary.headline, markup=False)
    console.print(f"written to {folder}", markup=False)


def _room_table(storey: StoreyLines) -> Table:
    """Make the table of a storey's rooms."""
    table = Table(title=Text(storey.name), title_justify="left", box=box.SIMPLE_HEAD, pad_edge=False)
    for head in ("room", "", *_RIGHT, "circuits, remarks"):
        table.add_column(head, justify="right" if head in _RIGHT else "left")
    for room in storey.rooms:
        table.add_row(*_cells(room))
    return table


def _cells(room: RoomLine) -> list[Text]:
    """Make one line of the table."""
    short = f"short by {room.shortfall_w:.0f} W: " if room.shortfall_w > 0.5 else ""
    remarks = "; ".join(part for part in (", ".join(room.circuits), f"{short}{room.reason}") if part)
    return [
        Text(room.label),
        Text(_STATUS_WORD.get(room.status, room.status.value), _STATUS_STYLE.get(room.status, "dim")),
        Text(f"{room.area_m2:.1f}"),
        Text("" if room.demand_w is None else f"{room.demand_w:.0f}"),
        Text("" if room.output_w is None else f"{room.output_w:.0f}"),
        Text("" if room.pitch_m is None else f"{room.pitch_m * 1000:.0f}"),
        Text(remarks),
    ]


def _manifold_line(manifold: ManifoldLine) -> str:
    """Say what a manifold needs."""
    return (
        f"{manifold.name}: {manifold.circuits} circuit{'' if manifold.circuits == 1 else 's'}, "
        f"{manifold.pipe_m:.0f} m of pipe, "
        f"longest {manifold.longest_circuit_m:.0f} m, flow {manifold.flow_c:.1f} °C, "
        f"return {manifold.return_c:.1f} °C, "
        f"pump {manifold.volume_flow * 60000:.1f} l/min at {manifold.pump_pa / 1000:.1f} kPa"
    )


def _finding_line(group: FindingGroup) -> Text:
    """Say a finding, and for what it holds likewise."""
    line = Text(f"{group.severity.value}: ", _SEVERITY_STYLE[group.severity])
    return line.append(group.text, "default")
