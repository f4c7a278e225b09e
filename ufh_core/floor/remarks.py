"""Findings of the floors: missing height and what would mend it, thin screeds, soft boards, water too warm for them."""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, first_of, joined, note
from ufh_core.building.types import Storey
from ufh_core.floor.clashes import height_clashes
from ufh_core.floor.remedies import HAIR_M, height_remedy
from ufh_core.floor.strength import least_cover
from ufh_core.floor.types import BuildUp, HeightRemedy
from ufh_core.settings.floor_types import FloorSettings
from ufh_core.settings.types import Settings

GREATEST_SCREED_C = 55.0
"""Lasting mean temperature at the pipes of cement and calcium sulphate screeds; DIN 18560-2."""


def floor_findings(
    build_ups: Sequence[BuildUp], storey: Storey, flow_c: float, settings: Settings
) -> tuple[Finding, ...]:
    """What there is to say of the floors of a storey whose water flows in at `flow_c` [°C]."""
    labels = {room.ifc_guid: room.label for room in storey.rooms}
    by_missing: dict[float, list[BuildUp]] = {}
    for build_up in build_ups:
        if build_up.missing_height_m > HAIR_M:
            by_missing.setdefault(round(build_up.missing_height_m, 3), []).append(build_up)
    unknown = [build_up for build_up in build_ups if build_up.available_m is None]
    found = [
        _missing(missing, group, labels, height_remedy(group, settings))
        for missing, group in sorted(by_missing.items())
    ]
    return (
        *found,
        *height_clashes(build_ups, storey),
        *([_unknown(unknown, labels)] if unknown else []),
        *(_screed(settings.floor, flow_c) if build_ups else []),
    )


def _missing(missing: float, group: list[BuildUp], labels: dict[str, str], remedy: HeightRemedy | None) -> Finding:
    return Finding(
        code="floor.height-missing",
        severity=Severity.WARNING,
        message=Message(
            "{names}: the floor needs {missing:.0f} mm more over the slab than the model leaves, and "
            "is drawn that much higher: {remedy}lower the slab, or raise floors, doors and "
            "stairs",
            names=_names(group, labels),
            missing=1000 * missing,
            remedy=_remedy_in_words(remedy),
        ),
        ifc_guids=tuple(build_up.room for build_up in group),
        source="EN 1264-4",
    )


def _remedy_in_words(remedy: HeightRemedy | None) -> str:
    """What would help, with the settings that say it; "" where nothing does."""
    if remedy is None:
        return ""
    if remedy.left_m > HAIR_M:
        return Message(
            "with the thinnest layers that the rules allow {left:.0f} mm are still missing; ",
            left=1000 * remedy.left_m,
        )
    words = joined((change.words for change in remedy.changes), note(" and "))
    keys = ", ".join(f"floor.{key} = {_value(value)}" for change in remedy.changes for key, value in change.floor)
    return Message("it fits with {words} ({keys}); else ", words=words, keys=keys)


def _value(value: str | float) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def _unknown(group: list[BuildUp], labels: dict[str, str]) -> Finding:
    return Finding(
        code="floor.height-unknown",
        severity=Severity.NOTE,
        message=Message(
            "{names}: no slab found under the floor, so the height for the layers is not known; they "
            "are stacked down from the floor of the room: ask the architect for the top of the slab",
            names=_names(group, labels),
        ),
        ifc_guids=tuple(build_up.room for build_up in group),
        source="EN 1264-4",
    )


def _screed(floor: FloorSettings, flow_c: float) -> list[Finding]:
    """Screed thinner than its load asks for, boards too soft for it, water too warm for it."""
    found = []
    kind = Message("{screed} screed of class {strength}", screed=Message(floor.screed), strength=floor.screed_strength)
    try:
        least = least_cover(floor.screed, floor.screed_strength, floor.load_kn_m2, floor.insulation_deflection_m)
    except NoSolution as error:
        found.append(
            _warning("floor.screed-load", Message("{kind}: {error}", kind=kind, error=error.message), "DIN 18560-2")
        )
    else:
        if floor.screed_cover_m < least - 1e-9:
            words = Message(
                "{kind}: {screed_cover:g} mm over the pipe are less than the {least:g} mm for "
                "{load:g} kN/m²: set floor.screed_cover_m = {least_m}, or a stronger screed",
                kind=kind,
                screed_cover=1000 * floor.screed_cover_m,
                least=1000 * least,
                load=floor.load_kn_m2,
                least_m=f"{least:g}",
            )
            found.append(_warning("floor.screed-thin", words, "DIN 18560-2"))
    if flow_c > GREATEST_SCREED_C:
        words = Message(
            "water of {flow:.1f} °C is too warm for the screed, which stands {most:g} °C "
            "at its pipes: lay tighter, or choose a finish that lets more heat through",
            flow=flow_c,
            most=GREATEST_SCREED_C,
        )
        found.append(_warning("floor.screed-hot", words, "DIN 18560-2"))
    return found


def _warning(code: str, words: Message, source: str) -> Finding:
    return Finding(code=code, severity=Severity.WARNING, message=words, source=source)


def _names(group: list[BuildUp], labels: dict[str, str]) -> str:
    """The first five rooms in words."""
    return first_of([labels.get(build_up.room, build_up.room) for build_up in group])
