"""How deep one may drill into a heated floor, room by room, as far as the screed's records prove it.

From the finished surface down: finish, and the screed over the pipe as it was laid at its thinnest, less a margin.
Without a record of the screed nothing is proved, and nothing may be drilled.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ufh_core.basis.message import Message
from ufh_core.records.hold_points import SiteState
from ufh_core.records.kinds import ScreedPour
from ufh_core.records.site_design import SiteDesign

SHIFT_MM = 5.0
"""How much higher than fixed a pipe may lie [mm]. Source: EN 1264-4, from memory: 5 mm of vertical shift."""
MARGIN_MM = 10.0
"""For a depth stop that slips and a floor that is not even [mm]. Own rule."""
STEP_MM = 5.0
BASIS = Message(
    "Depths are finish and screed over the pipe at its thinnest, as recorded, less {shift:g} mm by which a pipe may "
    "lie higher (EN 1264-4, from memory) and {margin:g} mm for the drill (own rule), in whole {step:g} mm downward.",
    shift=SHIFT_MM,
    margin=MARGIN_MM,
    step=STEP_MM,
)
_HAIR = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """A room with finish and screed over its pipes [mm]; `most_mm` is None where no record proves any depth."""

    guid: str
    room: str
    storey: str
    finish_mm: float
    cover_mm: float
    most_mm: float | None


def depths(table: Mapping[str, Any], site: SiteDesign, state: SiteState) -> tuple[Depth, ...]:
    """All rooms with a floor build-up, from the content of design.json and the records on file."""
    return tuple(_depths(table, site, state))


def _depths(table: Mapping[str, Any], site: SiteDesign, state: SiteState) -> Iterator[Depth]:
    names = {room.guid: room.name for room in site.rooms}
    outside = site.settings.pipe.outside_diameter_m
    for storey in table["storeys"]:
        for guid, build_up in storey["build_up"].items():
            layers = {layer["role"]: layer for layer in build_up["layers"]}
            if "screed" not in layers or guid not in names:
                continue
            cover = 1000 * (layers["screed"]["top_m"] - build_up["pipe_axis_m"] - outside / 2)
            finish = layers.get("finish", {"top_m": 0.0, "bottom_m": 0.0})
            finish_mm = 1000 * (finish["top_m"] - finish["bottom_m"])
            thinner = _thinner_mm(names[guid], storey["name"], site, state)
            most = None if thinner is None else most_depth_mm(finish_mm, cover - thinner)
            yield Depth(
                guid=guid,
                room=names[guid],
                storey=storey["name"],
                finish_mm=finish_mm,
                cover_mm=cover,
                most_mm=most,
            )


def most_depth_mm(finish_mm: float, cover_mm: float) -> float:
    """Greatest depth from the finished surface [mm], in whole steps downward.

    >>> most_depth_mm(15.0, 45.0)
    45.0
    """
    return max(0.0, STEP_MM * math.floor((finish_mm + cover_mm - SHIFT_MM - MARGIN_MM + _HAIR) / STEP_MM))


def _thinner_mm(room: str, storey: str, site: SiteDesign, state: SiteState) -> float | None:
    """How much thinner than designed the screed of a room was laid [mm]; None where a field of it is not on file."""
    poured = {f.record.field: f.record for f in state.filed if isinstance(f.record, ScreedPour)}
    own = [field for field in site.fields if room in field.rooms and field.storey == storey]
    if not own or any(field.name not in poured for field in own):
        return None
    return max(0.0, *(1000 * field.thickness_m - poured[field.name].thickness_mm for field in own), 0.0)
