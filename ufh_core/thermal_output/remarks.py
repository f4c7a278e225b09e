"""Findings about the output of rooms."""

from __future__ import annotations

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import note
from ufh_core.thermal_output.types import RoomOutput, RoomRequest

LIMIT_WORDS = {
    "surface": note("its floor would get too warm"),
    "flow temperature": note("the water is not warm enough"),
    "area": note("no floor is left to heat"),
}
"""What keeps a room short, in words, by `RoomOutput.limited_by`."""


def room_remarks(request: RoomRequest, output: RoomOutput) -> list[Finding]:
    """What a designer should know of one room's output."""
    remarks = []
    if output.shortfall_w > 0:
        text = (
            f"{request.called}: short by {output.shortfall_w:.0f} W "
            f"({LIMIT_WORDS.get(output.limited_by, output.limited_by)}); {output.advice}"
        )
        remarks.append(_finding("output.short", Severity.WARNING, text, request, "EN 1264-2"))
    if request.finish_r > 0.15 + 1e-9:
        text = (
            f"{request.called}: the finish resists {request.finish_r:.2f} m²K/W, more than the 0.15 that "
            "EN 1264 covers; its output is estimated: choose a thinner finish"
        )
        remarks.append(_finding("output.finish-beyond-standard", Severity.WARNING, text, request, "EN 1264-2"))
    return remarks


def governing_remark(governing: RoomRequest, flow_c: float, flow_without_c: float) -> Finding:
    """Which room sets the flow temperature, and what the others would do with."""
    text = f"{governing.called} sets the flow temperature of {flow_c:.1f} °C"
    if flow_without_c < flow_c - 0.05:
        text += f"; without it {flow_without_c:.1f} °C would do"
    return _finding("output.governing-room", Severity.NOTE, text, governing, "EN 1264-3")


def _finding(code: str, severity: Severity, message: str, request: RoomRequest, source: str) -> Finding:
    return Finding(code=code, severity=severity, message=message, ifc_guids=(request.room,), source=source)
