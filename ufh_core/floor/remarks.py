"""Findings of the floors: where the model leaves too little height, or does not say how much."""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Room
from ufh_core.floor.types import BuildUp


def floor_findings(build_ups: Sequence[BuildUp], rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """One finding for each amount of missing height [mm], and one for the floors without a slab."""
    labels = {room.ifc_guid: room.label for room in rooms}
    by_missing: dict[float, list[BuildUp]] = {}
    for build_up in build_ups:
        if build_up.missing_height_m > 0.0005:
            by_missing.setdefault(round(build_up.missing_height_m, 3), []).append(build_up)
    unknown = [build_up for build_up in build_ups if build_up.available_m is None]
    found = [_missing(missing, group, labels) for missing, group in sorted(by_missing.items())]
    return (*found, *([_unknown(unknown, labels)] if unknown else []))


def _missing(missing: float, group: list[BuildUp], labels: dict[str, str]) -> Finding:
    return Finding(
        code="floor.height-missing",
        severity=Severity.WARNING,
        message=f"{_names(group, labels)}: the floor needs {1000 * missing:.0f} mm more over the slab than the model "
        "leaves, and is drawn that much higher: lower the slab, or raise floors, doors and stairs",
        ifc_guids=tuple(build_up.room for build_up in group),
        source="EN 1264-4",
    )


def _unknown(group: list[BuildUp], labels: dict[str, str]) -> Finding:
    return Finding(
        code="floor.height-unknown",
        severity=Severity.NOTE,
        message=f"{_names(group, labels)}: no slab found under the floor, so the height for the layers is not known; "
        "they are stacked down from the floor of the room: ask the architect for the top of the slab",
        ifc_guids=tuple(build_up.room for build_up in group),
        source="EN 1264-4",
    )


def _names(group: list[BuildUp], labels: dict[str, str]) -> str:
    """The first five rooms in words."""
    names = ", ".join(labels.get(build_up.room, build_up.room) for build_up in group[:5])
    return names + (f" and {len(group) - 5} more" if len(group) > 5 else "")
