"""How long the floors of a storey take to follow their water, by the section through each of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.design_result import RoomDesign, WarmUp
from ufh_core.section import Section, WaterAt, section_of, step_response
from ufh_core.settings.types import Settings

STEP_K = 15.0  # conduction is linear: any step takes as long
FOLLOWED_S = 2 * 86400.0
HOUR_S = 3600.0


def with_warm_ups(rooms: Iterable[RoomDesign], settings: Settings) -> tuple[RoomDesign, ...]:
    """The rooms, those with a floor as laid with how long it takes to follow its water; equal floors once."""
    known: dict[Section, WarmUp | None] = {}
    found: list[RoomDesign] = []
    for room in rooms:
        section = _section(room, settings)
        if section is not None and section not in known:
            known[section] = _warm_up(section)
        found.append(room if section is None else replace(room, warm_up=known[section]))
    return tuple(found)


def warm_up_findings(rooms: Iterable[RoomDesign]) -> tuple[Finding, ...]:
    """A note how long floors take to follow their water, so that a set-back ends early enough."""
    taken = [room.warm_up for room in rooms if room.warm_up is not None]
    if not taken:
        return ()
    constant = _span([one.time_constant_s for one in taken])
    most = _span([one.to_90_percent_s for one in taken])
    text = Message(
        "the floors follow warmer water with a time constant of {constant} and reach 90 % of the "
        "change after {most}, at an even room temperature: end a set-back that much earlier, and "
        "more where walls have cooled",
        constant=constant,
        most=most,
    )
    return (Finding(code="output.warm-up", severity=Severity.NOTE, message=text, source="section solver, transient"),)


def _section(room: RoomDesign, settings: Settings) -> Section | None:
    """The section through the floor of a room with its own fields; None where there is none to speak of."""
    if room.output is None or room.build_up is None or room.heated_area_m2 <= 0:
        return None
    try:
        return section_of(room.build_up, settings, room.output.pitch_m)
    except NoSolution:
        return None


def _warm_up(section: Section) -> WarmUp | None:
    """Times after a step of the water, None where the floor takes longer than is followed."""
    response = step_response(section, WaterAt(celsius=20.0 + STEP_K), before=WaterAt(celsius=20.0), seconds=FOLLOWED_S)
    constant, most = response.time_constant_s, response.time_to_90_s
    return WarmUp(time_constant_s=constant, to_90_percent_s=most) if constant and most else None


def _span(seconds: list[float]) -> str:
    """From the least to the greatest of some times, in hours."""
    low, high = (round(value / HOUR_S, 1) for value in (min(seconds), max(seconds)))
    if low == high:
        return Message("{hours:.1f} h", hours=low)
    return Message("{low:.1f} to {high:.1f} h", low=low, high=high)
