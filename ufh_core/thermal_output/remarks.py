"""Findings about the output of rooms."""

from __future__ import annotations

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, note
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
        text = Message(
            "{called}: short by {shortfall:.0f} W ({limited_by}); {advice}",
            called=request.called,
            shortfall=output.shortfall_w,
            limited_by=Message(LIMIT_WORDS.get(output.limited_by, output.limited_by)),
            advice=output.advice,
        )
        remarks.append(_finding("output.short", Severity.WARNING, text, request, "EN 1264-2"))
    if request.finish_r > 0.15 + 1e-9:
        text = Message(
            "{called}: the finish resists {finish_r:.2f} m²K/W, more than the 0.15 that EN 1264 "
            "covers; its output is estimated: choose a thinner finish",
            called=request.called,
            finish_r=request.finish_r,
        )
        remarks.append(_finding("output.finish-beyond-standard", Severity.WARNING, text, request, "EN 1264-2"))
    return remarks


def governing_remark(governing: RoomRequest, flow_c: float, flow_without_c: float) -> Finding:
    """Which room sets the flow temperature, and what the others would do with."""
    text = Message(
        "{called} sets the flow temperature of {flow:.1f} °C",
        called=governing.called,
        flow=flow_c,
    )
    if flow_without_c < flow_c - 0.05:
        words = note("{text}; without it {flow:.1f} °C would do")
        text = Message(words, text=text, flow=flow_without_c)
    return _finding("output.governing-room", Severity.NOTE, text, governing, "EN 1264-3")


def _finding(code: str, severity: Severity, message: Message, request: RoomRequest, source: str) -> Finding:
    return Finding(code=code, severity=severity, message=message, ifc_guids=(request.room,), source=source)
